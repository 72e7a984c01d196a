package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
)

// TestStudentsRights goes with a student through what may be asked for: what is held, a
// consent, a copy of everything, and that it is erased.
func TestStudentsRights(t *testing.T) {
	dir := coach(t)
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	l = l.Clone()
	l.Student.Name, l.Notes = "Zerlina Quastenflosser", "torn meniscus"
	document := filepath.Join(dir, "mine", "one.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(document), 0o700))
	require.NoError(t, annotations.Save(document, l))
	_, stderr, code := program(t, "import", document, lessons)
	require.Equal(t, exitOK, code, stderr)
	stdout, stderr, code := program(t, "student", "zerlina quastenflosser")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "1 lessons; no consent is recorded")
	assert.Contains(t, stdout, document)

	_, stderr, code = program(t, "student", l.Student.Name, "--consent", "keep,show", "--by", "Anna", "--minor")
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, stderr, "until which day")
	_, stderr, code = program(t, "student", l.Student.Name, "--consent", "sell", "--by", "Anna")
	assert.Equal(t, exitUsage, code, stderr)
	stdout, stderr, code = program(t, "student", l.Student.Name, "--consent", "keep,show", "--by", "Anna", "--minor", "--until", "2020-01-01")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "films may be kept, shown, not shared; until 1 January 2020; the student is a minor")
	stdout, _, code = program(t, "student", "--due")
	assert.Equal(t, exitOK, code)
	assert.Contains(t, stdout, l.Student.Name)

	to := filepath.Join(dir, "for her")
	stdout, stderr, code = program(t, "student", l.Student.Name, "--copy-to", to)
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "lessons 1")
	assert.FileExists(t, filepath.Join(to, "README.txt"))

	stdout, stderr, code = program(t, "student", l.Student.Name, "--erase")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "With --yes")
	assert.FileExists(t, document)
	stdout, stderr, code = program(t, "student", l.Student.Name, "--erase", "--yes")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "out of reach")
	assert.NoFileExists(t, document)
	_, _, code = program(t, "student", "--due")
	assert.Equal(t, exitNothing, code)
	stdout, _, _ = program(t, "list")
	assert.NotContains(t, stdout, "Zerlina")
	assert.Contains(t, stdout, "Mara Lindqvist")
	for _, args := range [][]string{{"student"}, {"student", "a", "b"}, {"student", "--due", "a"}, {"student", "a", "--erase", "--copy-to", "x"}} {
		_, _, code = program(t, args...)
		assert.Equal(t, exitUsage, code, args)
	}
}
