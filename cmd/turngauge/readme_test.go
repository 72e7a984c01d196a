package main

import (
	"bytes"
	"image"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// papers are what is read before the sources are.
var papers = []string{"README.md", "DEVELOPERS.md"}

func paper(t *testing.T, name string) string {
	t.Helper()
	return string(read(t, filepath.Join("../..", name)))
}

// TestThePapersNameWhatIsThere looks for each file and folder that they link to
// or name, and for each target of make.
func TestThePapersNameWhatIsThere(t *testing.T) {
	makefile := paper(t, "Makefile")
	link := regexp.MustCompile(`\]\(([^)#:]+)\)`)
	named := regexp.MustCompile("`((?:annotations|cmd|geometry|testdata|ui|video|schema)/[\\w./*-]+)`")
	target := regexp.MustCompile("(?:`|    |, )make ([a-z-]+)")
	for _, name := range papers {
		text := paper(t, name)
		links := link.FindAllStringSubmatch(text, -1)
		for _, m := range append(links, named.FindAllStringSubmatch(text, -1)...) {
			at := filepath.Join("../..", m[1])
			if strings.HasPrefix(m[1], "schema/") || strings.Contains(m[1], "N.") {
				continue // of the library, where N stands for a number
			}
			found, err := filepath.Glob(at)
			require.NoError(t, err)
			assert.NotEmpty(t, found, "%s names %s", name, m[1])
		}
		targets := target.FindAllStringSubmatch(text, -1)
		assert.NotEmpty(t, targets)
		for _, m := range targets {
			assert.Regexp(t, `(?m)^`+m[1]+`:`, makefile, "%s names make %s", name, m[1])
		}
	}
	for _, line := range strings.Split(makefile, "\n") {
		if m := regexp.MustCompile(`@echo 'make ([a-z-]+)`).FindStringSubmatch(line); m != nil {
			assert.Regexp(t, `(?m)^`+m[1]+`:`, makefile, "make help names make %s", m[1])
		}
	}
}

// TestTheCommandLineIsWhatTheReadmeSays asks the program for the help of each
// command in the README, and for each option named there.
func TestTheCommandLineIsWhatTheReadmeSays(t *testing.T) {
	_, block, ok := strings.Cut(paper(t, "README.md"), "## Command line\n")
	require.True(t, ok)
	block, _, _ = strings.Cut(block, "\nA lesson is one JSON document")
	command := regexp.MustCompile(`^    turngauge ([a-z]+)`)
	option := regexp.MustCompile(`--[a-z0-9]+`)
	commands, help := 0, ""
	for _, line := range strings.Split(block, "\n") {
		if m := command.FindStringSubmatch(line); m != nil {
			commands++
			help = ""
			if m[1] != "help" {
				out, errs, code := program(t, "help", m[1])
				require.Zero(t, code, "%s: %s", m[1], errs)
				help = out
			}
		}
		for _, o := range option.FindAllString(line, -1) {
			assert.Contains(t, help, o, "%s", line)
		}
	}
	out, _, _ := program(t, "help")
	for _, m := range regexp.MustCompile(`(?m)^  ([a-z]+)  +`).FindAllStringSubmatch(out, -1) {
		if m[1] != "turngauge" && m[1] != "version" {
			assert.Contains(t, block, "    turngauge "+m[1], "a command that the README leaves out")
		}
	}
	assert.Greater(t, commands, 5)
}

// TestTheReadmesPicturesAreOfTheWindow makes sure that each is a picture, wide
// enough to be read, and that none lies about unused.
func TestTheReadmesPicturesAreOfTheWindow(t *testing.T) {
	text := paper(t, "README.md")
	files, err := filepath.Glob("../../testdata/screens/*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		assert.Contains(t, text, "](testdata/screens/"+filepath.Base(f)+")")
		c, _, err := image.DecodeConfig(bytes.NewReader(read(t, f)))
		require.NoError(t, err, f)
		assert.Greater(t, c.Width, 1000, f)
	}
}

// TestTheTestsThatDevelopersAreToldToRunExist looks for each test that
// DEVELOPERS.md says how to run.
func TestTheTestsThatDevelopersAreToldToRunExist(t *testing.T) {
	run := regexp.MustCompile(`go test (?:-tags nowayland )?(\./[\w/]+) .*?-(?:run|bench) '?([A-Za-z]+)`)
	lines := 0
	for _, m := range run.FindAllStringSubmatch(paper(t, "DEVELOPERS.md"), -1) {
		lines++
		files, err := filepath.Glob(filepath.Join("../..", m[1], "*_test.go"))
		require.NoError(t, err)
		var sources strings.Builder
		for _, f := range files {
			b, err := os.ReadFile(f)
			require.NoError(t, err)
			sources.Write(b)
		}
		assert.Regexp(t, `func (Test|Benchmark)\w*`+strings.TrimPrefix(m[2], "Test"), sources.String(), "%s", m[0])
	}
	assert.Greater(t, lines, 5)
}
