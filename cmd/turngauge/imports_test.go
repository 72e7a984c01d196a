package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	gio    = "gioui.org"
	astiav = "github.com/asticode/go-astiav"
)

// mayImport lists, for each part of the house, what of ours and which of the
// two libraries that stay in one place its packages may import, tests
// included. The longest name that fits counts. Imports go one way: cmd, ui,
// annotations, geometry; and ui, video.
var mayImport = map[string][]string{
	"turngauge/geometry":         {"turngauge/geometry"},
	"turngauge/geometry/levmar":  {"turngauge/geometry/levmar"},
	"turngauge/video":            {"turngauge/video", astiav},
	"turngauge/video/sandbox":    {"turngauge/video/sandbox"},
	"turngauge/annotations":      {"turngauge/annotations", "turngauge/geometry"},
	"turngauge/ui/demo":          {"turngauge/ui/demo", "turngauge/annotations", "turngauge/geometry", "turngauge/video"},
	"turngauge/ui/demo/render":   {"turngauge/ui/demo/render"},
	"turngauge/ui/explain":       {"turngauge/ui/explain", "turngauge/ui/bench", "turngauge/annotations", "turngauge/geometry"},
	"turngauge/ui/explain/panel": {"turngauge/ui", "turngauge/annotations", "turngauge/geometry", "turngauge/video", gio},
	"turngauge/ui/shelf/worker":  {"turngauge/ui/shelf/worker", "turngauge/ui/fault", "turngauge/annotations", "turngauge/geometry"},
	"turngauge/ui/session":       {"turngauge/ui/session", "turngauge/ui/bench", "turngauge/ui/demo", "turngauge/ui/explain", "turngauge/ui/fault", "turngauge/ui/golfer", "turngauge/ui/propose", "turngauge/ui/sheet", "turngauge/annotations", "turngauge/geometry", "turngauge/video"},
	"turngauge/ui/golfer":        {"turngauge/ui/golfer", "turngauge/ui/bench", "turngauge/annotations", "turngauge/geometry", "turngauge/video"},
	"turngauge/ui/propose":       {"turngauge/ui/propose", "turngauge/ui/bench", "turngauge/ui/demo", "turngauge/annotations", "turngauge/geometry", "turngauge/video"},
	"turngauge/ui/visit":         {"turngauge/ui/visit", "turngauge/ui/bench", "turngauge/ui/demo", "turngauge/ui/golfer", "turngauge/ui/propose", "turngauge/annotations", "turngauge/geometry", "turngauge/video"},
	"turngauge/ui/visit/panel":   {"turngauge/ui", "turngauge/annotations", "turngauge/geometry", "turngauge/video", gio},
	"turngauge/ui/profile":       {"turngauge/ui/profile", "turngauge/ui/demo", "turngauge/annotations"},
	"turngauge/ui":               {"turngauge/ui", "turngauge/annotations", "turngauge/geometry", "turngauge/video", gio},
	"turngauge/cmd":              {"turngauge/ui", "turngauge/annotations", "turngauge/geometry", "turngauge/video", gio},
}

// topLevel lists what may lie at the top of the tree beside dot-files.
var topLevel = []string{
	"annotations", "cmd", "geometry", "testdata", "ui", "video",
	"DEVELOPERS.md", "LICENSE", "Makefile", "README.md", "go.mod", "go.sum",
}

// mayBeLarge are the only files over 1 MB: the networks that propose marks.
var mayBeLarge = []string{
	"video/pose/models/pose_detection.tflite",
	"video/pose/models/pose_landmark_full.tflite",
}

func under(path, part string) bool { return path == part || strings.HasPrefix(path, part+"/") }

// partOf returns the longest key of mayImport that path is under.
func partOf(path string) string {
	best := ""
	for part := range mayImport {
		if under(path, part) && len(part) > len(best) {
			best = part
		}
	}
	return best
}

func allowed(path, imported string) bool {
	watched := under(imported, "turngauge") || under(imported, gio) || under(imported, astiav)
	return !watched || slices.ContainsFunc(mayImport[partOf(path)], func(p string) bool { return under(imported, p) })
}

func TestImportsGoOneWay(t *testing.T) {
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Name,Imports,TestImports,XTestImports", "turngauge/...")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	d := json.NewDecoder(strings.NewReader(string(out)))
	packages := 0
	for {
		var p struct {
			ImportPath, Name                   string
			Imports, TestImports, XTestImports []string
		}
		err := d.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		packages++
		assert.NotContains(t, []string{"util", "utils", "common", "helpers", "types"}, p.Name, "%s: a name that says nothing", p.ImportPath)
		assert.NotEmpty(t, partOf(p.ImportPath), "%s lies in no part of the house", p.ImportPath)
		for _, imported := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
			assert.True(t, allowed(p.ImportPath, imported), "%s must not import %s", p.ImportPath, imported)
		}
	}
	assert.Greater(t, packages, 5)
}

// TestMeasuringNeedsNoWindow lists what the program is linked from when it is
// built without its window: all commands but the report are in it.
func TestMeasuringNeedsNoWindow(t *testing.T) {
	deps := func(tags string) (gioPackages, all int) {
		cmd := exec.Command("go", "list", "-deps", "-tags", tags, "turngauge/cmd/turngauge")
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		require.NoError(t, err)
		for path := range strings.Lines(string(out)) {
			all++
			if path = strings.TrimSpace(path); under(path, gio) {
				gioPackages++
			}
		}
		return gioPackages, all
	}
	with, _ := deps("nowayland")
	assert.Positive(t, with, "the window is built with it")
	without, all := deps("nowindow")
	assert.Zero(t, without)
	assert.Greater(t, all, 100)
}

// TestTheImportRuleCatches shows that the rule is one that can be broken.
func TestTheImportRuleCatches(t *testing.T) {
	for _, c := range []struct {
		path, imported string
		ok             bool
	}{
		{"turngauge/geometry", "turngauge/annotations", false},
		{"turngauge/geometry/golfer", "turngauge/geometry", true},
		{"turngauge/geometry/levmar", "turngauge/geometry", false},
		{"turngauge/geometry", "gonum.org/v1/gonum/mat", true},
		{"turngauge/video", "turngauge/geometry", false},
		{"turngauge/video", astiav, true},
		{"turngauge/annotations", "turngauge/video", false},
		{"turngauge/annotations", "turngauge/ui", false},
		{"turngauge/annotations", gio + "/op", false},
		{"turngauge/ui/demo", gio + "/op", false},
		{"turngauge/ui/demo/figure", gio + "/op", false},
		{"turngauge/ui/explain", gio + "/op", false},
		{"turngauge/ui/session", gio + "/op", false},
		{"turngauge/ui/session", "turngauge/ui/kit", false},
		{"turngauge/ui/draw", gio + "/op", true},
		{"turngauge/ui", astiav, false},
		{"turngauge/cmd/turngauge", astiav, false},
		{"turngauge/ui", "turngauge/cmd/turngauge", false},
	} {
		assert.Equal(t, c.ok, allowed(c.path, c.imported), "%s imports %s", c.path, c.imported)
	}
}

// half matches a text in which half an interval is put behind its sign: a verb, or
// the end of what is put together.
var half = regexp.MustCompile(`±\s*(%[-+#0-9.*]*[a-z]|$)`)

// TestIntervalsAreWrittenInOnePlace looks through the texts of the program, those
// of annotations/words excepted.
func TestIntervalsAreWrittenInOnePlace(t *testing.T) {
	top, written := filepath.Join("..", ".."), 0
	err := filepath.WalkDir(top, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		inWords := strings.Contains(filepath.ToSlash(path), "annotations/words/")
		ast.Inspect(f, func(n ast.Node) bool {
			text, ok := n.(*ast.BasicLit)
			if !ok || text.Kind != token.STRING {
				return true
			}
			switch s, err := strconv.Unquote(text.Value); {
			case err != nil || !half.MatchString(s):
			case inWords:
				written++
			default:
				t.Errorf("%s writes half an interval: %s", path, text.Value)
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	assert.Positive(t, written, "where they are written")
}

// TestTheTreeIsTidy looks at what git keeps.
func TestTheTreeIsTidy(t *testing.T) {
	top := filepath.Join("..", "..")
	cmd := exec.Command("git", "ls-files", "-z")
	cmd.Dir = top
	out, err := cmd.Output()
	if err != nil && os.Getenv("CI") == "" {
		t.Skip("not a git tree: the sources were unpacked from an archive")
	}
	require.NoError(t, err)
	for name := range strings.SplitSeq(strings.TrimSuffix(string(out), "\x00"), "\x00") {
		first, _, _ := strings.Cut(name, "/")
		if !strings.HasPrefix(first, ".") {
			assert.Contains(t, topLevel, first, "%s: nothing else lies at the top", name)
		}
		if info, err := os.Stat(filepath.Join(top, name)); err == nil && !slices.Contains(mayBeLarge, name) {
			assert.LessOrEqual(t, info.Size(), int64(1<<20), "%s is larger than 1 MB", name)
		}
	}
}
