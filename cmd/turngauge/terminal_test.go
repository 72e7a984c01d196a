package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

// hostile is a text that clears a terminal, sets its title, turns direction and begins
// as a formula.
const hostile = "=cmd|' /C calc'!A0\x1b[2J\x1b]0;x\x07\u202egnp.\u2066\u200f\u009b31m"

// hostileLesson is a measurable lesson whose every name is hostile.
func hostileLesson(t *testing.T) string {
	t.Helper()
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	l = l.Clone()
	l.Title, l.Student.Name, l.Coach, l.Place, l.Notes = hostile, hostile, hostile, hostile, hostile
	for i := range l.Swings {
		s := &l.Swings[i]
		s.Label, s.Club.Name = hostile, "@SUM(1+1)"
		for j := range s.Clips {
			s.Clips[j].File = hostile
		}
	}
	path := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, annotations.Save(path, l))
	return path
}

// TestTerminalIsNotCommanded runs the commands on a hostile lesson.
func TestTerminalIsNotCommanded(t *testing.T) {
	coach(t)
	path := hostileLesson(t)
	for _, args := range [][]string{
		{"measure", path}, {"measure", "--csv", path, marked}, {"measure", "--json", path}, {"import", path}, {"list"}, {"list", "--json"},
		{"list", "--missing"}, {"list", hostile}, {"list", "--student", hostile}, {"curves", path}, {"export", path, "--clips", "--out", filepath.Join(t.TempDir(), "x.zip")},
		{"probe", path + hostile}, {"measure", hostile}, {hostile}, {"measure", "--" + hostile},
	} {
		stdout, stderr, _ := program(t, args...)
		require.NotEmpty(t, stdout+stderr)
		for _, r := range stdout + stderr {
			if r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
				t.Errorf("%q prints %U", args[:1], r)
				break
			}
		}
	}
	// What programs read means the same as before.
	stdout, stderr, code := program(t, "list", "--json")
	require.Equal(t, exitOK, code, stderr)
	var list []listed
	require.NoError(t, json.Unmarshal([]byte(stdout), &list))
	require.Len(t, list, 1)
	assert.Equal(t, hostile, list[0].Student)
}

// TestNamesMakeNoRows lists a lesson whose names hold ends of lines.
func TestNamesMakeNoRows(t *testing.T) {
	coach(t)
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	l = l.Clone()
	l.Title, l.Student.Name = "one\n2026-01-01  Someone Else\ttwo", "a\nb"
	path := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, annotations.Save(path, l))
	stdout, stderr, code := program(t, "import", path)
	require.Equal(t, exitOK, code, stderr)
	assert.Equal(t, 1, strings.Count(stdout, "\n"), stdout)
	stdout, stderr, code = program(t, "list")
	require.Equal(t, exitOK, code, stderr)
	assert.Equal(t, 2, strings.Count(stdout, "\n"), "the head and a row: %s", stdout)
}

func TestTerminalKeepsText(t *testing.T) {
	for _, text := range []string{"Zoë\tÅngström\n", "日本語 🏌️‍♀️", ""} {
		for cut := range len(text) + 1 {
			var b strings.Builder
			w := &terminal{to: &b}
			for _, part := range []string{text[:cut], text[cut:]} {
				n, err := w.Write([]byte(part))
				require.NoError(t, err)
				require.Equal(t, len(part), n)
			}
			assert.Equal(t, text, b.String())
		}
	}
	var b strings.Builder
	_, err := (&terminal{to: &b}).Write([]byte("a\x9bb\r\x7f"))
	require.NoError(t, err)
	assert.Equal(t, `a\x9bb\u000d\u007f`, b.String())
}

// TestNoCellIsAFormula reads the table of a hostile lesson as spreadsheets do, split at
// commas and, where those are not the separators of the land, at semicolons. What begins
// a formula: OWASP, "CSV Injection".
func TestNoCellIsAFormula(t *testing.T) {
	t.Parallel()
	stdout, stderr, code := program(t, "measure", "--csv", hostileLesson(t), marked)
	require.Equal(t, exitOK, code, stderr)
	for _, separator := range []rune{',', ';', '\t'} {
		r := csv.NewReader(strings.NewReader(stdout))
		r.Comma, r.LazyQuotes, r.FieldsPerRecord = separator, true, -1
		rows, err := r.ReadAll()
		require.NoError(t, err)
		require.Greater(t, len(rows), 10)
		for _, row := range rows {
			for _, cell := range row {
				if separator == ',' && number(cell) {
					continue
				}
				assert.NotRegexp(t, `^[\s"]*[=+\-@＝＋－＠]`, cell)
			}
		}
	}
	_, err := os.Stat(marked)
	require.NoError(t, err)
}

func number(s string) bool {
	var v float64
	return json.Unmarshal([]byte(s), &v) == nil
}
