package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReportWritesTheSheet(t *testing.T) {
	dir := t.TempDir()
	data, err := os.ReadFile(marked)
	require.NoError(t, err)
	lesson := filepath.Join(dir, "lesson.json")
	require.NoError(t, os.WriteFile(lesson, data, 0o600))
	html, pdf := filepath.Join(dir, "sheet.html"), filepath.Join(dir, "sheet.pdf")
	for _, c := range []struct {
		name  string
		args  []string
		files []string
	}{
		{"a PDF beside the lesson", []string{"report", lesson}, []string{filepath.Join(dir, "lesson.pdf")}},
		{"both", []string{"report", "--pdf", pdf, lesson, "--html", html, "--paper", "letter", "--earlier", marked}, []string{pdf, html}},
		{"HTML", []string{"report", lesson, "--html", html, "--swing", "s1", "--imperial"}, []string{html}},
	} {
		t.Run(c.name, func(t *testing.T) {
			stdout, stderr, code := program(t, c.args...)
			require.Equal(t, 0, code, stderr)
			want := ""
			for _, f := range c.files {
				want += f + "\n"
				data, err := os.ReadFile(f)
				require.NoError(t, err)
				if filepath.Ext(f) == ".pdf" {
					assert.True(t, bytes.HasPrefix(data, []byte("%PDF-")))
				} else {
					assert.Contains(t, string(data), "Mara Lindqvist")
				}
			}
			assert.Equal(t, want, stdout)
		})
	}
	after, err := os.ReadFile(lesson)
	require.NoError(t, err)
	assert.Equal(t, data, after, "the lesson is as it was")
}

func TestReportSaysWhatIsWrong(t *testing.T) {
	empty := write(t, "empty.json", `{"kind":"turngauge-lesson","version":1,"id":"e","student":{"handed":"left"},"swings":[]}`)
	for _, c := range []struct {
		name string
		args []string
		code int
		says string
	}{
		{"no lesson", []string{"report"}, 2, "name a lesson document to report on"},
		{"a file for two lessons", []string{"report", marked, empty, "--pdf", "x.pdf"}, 2, "--pdf, --html, --png and --mp4 name one file each"},
		{"a swing of two lessons", []string{"report", marked, empty, "--swing", "s1"}, 2, "--swing, --earlier and --before are for one lesson"},
		{"kinds", []string{"report", marked, "--as", "pdf,doc"}, 2, `can't be written as "doc"; use pdf, html, png or mp4`},
		{"an empty folder", []string{"report", t.TempDir()}, 3, "holds no lesson document"},
		{"paper", []string{"report", marked, "--paper", "a3"}, 2, `there is no paper "a3" here; use a4 or letter`},
		{"over the lesson", []string{"report", empty, "--pdf", empty}, 2, "is a lesson document: name another file"},
		{"over the earlier lesson", []string{"report", marked, "--earlier", empty, "--html", empty}, 2, "is a lesson document"},
		{"one file for both", []string{"report", marked, "--pdf", "x", "--html", "./x"}, 2, "x is named for two things"},
		{"size", []string{"report", marked, "--mp4", "x.mp4", "--size", "huge"}, 2, `there is no size "huge" here; use screen, full or phone`},
		{"speed", []string{"report", marked, "--mp4", "x.mp4", "--slow", "0.5"}, 2, "1 to 40 times slower than life, not 0.5"},
		{"before without a clip", []string{"report", marked, "--before", empty}, 2, "--before is for the clip; name that with --mp4"},
		{"a view of nothing", []string{"report", marked, "--mp4", "x.mp4", "--view", "face-on"}, 2, "name that with --before"},
		{"another view", []string{"report", marked, "--mp4", "x.mp4", "--before", empty, "--view", "above"}, 2, "use face-on or down-the-line"},
		{"over the lesson before", []string{"report", marked, "--before", empty, "--mp4", empty}, 2, "is a lesson document"},
		{"before itself", []string{"report", marked, "--before", marked, "--mp4", "x.mp4"}, 3, "name another one than itself"},
		{"a swing before that is not there", []string{"report", marked, "--before", empty, "--mp4", "x.mp4"}, 3, "the other lesson has none with marks"},
		{"several with before", []string{"report", marked, empty, "--before", empty}, 2, "--before are for one lesson"},
		{"a clip of no clips", []string{"report", marked, "--mp4", filepath.Join(t.TempDir(), "x.mp4")}, 1, "x.mp4 can't be made"},
		{"missing", []string{"report", "none.json"}, 3, "the lesson can't be read"},
		{"earlier missing", []string{"report", marked, "--earlier", "none.json"}, 3, "the lesson can't be read"},
		{"no swing", []string{"report", empty}, 3, "the lesson has none yet, take in a clip first"},
		{"another swing", []string{"report", marked, "--swing", "s9"}, 3, `no such swing as "s9": the lesson has "s1"`},
		{"nowhere", []string{"report", marked, "--pdf", filepath.Join(t.TempDir(), "no", "x.pdf")}, 1, "can't be written: no such file or directory"},
	} {
		t.Run(c.name, func(t *testing.T) {
			stdout, stderr, code := program(t, c.args...)
			assert.Equal(t, c.code, code, stderr)
			assert.Contains(t, stderr, c.says)
			assert.Empty(t, stdout)
		})
	}
}

// Each lesson of a batch has its files and its line; one that fails keeps none of
// the others from being written, and gives the exit code.
func TestReportOnSeveralLessons(t *testing.T) {
	data, err := os.ReadFile(marked)
	require.NoError(t, err)
	dir := t.TempDir()
	put := func(name string, data string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(data), 0o600))
		return path
	}
	a, b := put("lessons/a.json", string(data)), put("lessons/b.json", string(data))
	put("lessons/truth.json", `{"kind":"something else"}`)
	put("lessons/notes.txt", "turngauge-lesson")
	other := put("other/c.json", string(data))
	out := filepath.Join(dir, "sheets")

	stdout, stderr, code := program(t, "report", filepath.Join(dir, "lessons"), other, a, "--as", "pdf,html", "--out", out)
	require.Equal(t, 0, code, stderr)
	want := ""
	for _, path := range []string{a, b, other} {
		name := filepath.Join(out, strings.TrimSuffix(filepath.Base(path), ".json"))
		want += path + ": " + name + ".pdf, " + name + ".html\n"
		assert.FileExists(t, name+".pdf")
		assert.FileExists(t, name+".html")
	}
	assert.Equal(t, want, stdout)

	broken := put("lessons/aa.json", `{"kind": "turngauge-lesson", "version": 1,`)
	stdout, stderr, code = program(t, "report", filepath.Join(dir, "lessons"))
	assert.Equal(t, 3, code)
	assert.Contains(t, stderr, broken+": ")
	assert.Equal(t, a+": "+strings.TrimSuffix(a, "json")+"pdf\n"+b+": "+strings.TrimSuffix(b, "json")+"pdf\n", stdout)

	same := put("other/a.json", string(data))
	_, stderr, code = program(t, "report", a, same, "--out", filepath.Join(dir, "none"))
	assert.Equal(t, 2, code)
	assert.Contains(t, stderr, "would both be written as")
	assert.NoDirExists(t, filepath.Join(dir, "none"))
}
