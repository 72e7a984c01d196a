package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
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

// TestTwoStudentsOfOneName: who is meant has to be said by the id, and erasing one leaves
// the other.
func TestTwoStudentsOfOneName(t *testing.T) {
	dir := coach(t)
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	paths := make([]string, 2)
	for i, id := range []string{"01J0000000000000000000ANNA", "01J0000000000000000000BERT"} {
		l = l.Clone()
		l.ID, l.Student.ID, l.Student.Name, l.Student.Injuries = annotations.NewID(), id, "Alex Sund", "knee of "+id
		paths[i] = filepath.Join(dir, "mine", id+".json")
		require.NoError(t, os.MkdirAll(filepath.Dir(paths[i]), 0o700))
		require.NoError(t, annotations.Save(paths[i], l))
		_, stderr, code := program(t, "import", paths[i])
		require.Equal(t, exitOK, code, stderr)
	}
	_, stderr, code := program(t, "student", "alex sund", "--erase", "--yes")
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "2 students are called")
	assert.Contains(t, stderr, "01J0000000000000000000ANNA")
	stdout, stderr, code := program(t, "student", "01J0000000000000000000BERT")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, "injuries  knee of 01J0000000000000000000BERT")
	assert.NotContains(t, stdout, paths[0])
	_, _, _ = program(t, "student", "01J0000000000000000000BERT", "--erase", "--yes")
	assert.FileExists(t, paths[0])
	assert.NoFileExists(t, paths[1])
	stdout, stderr, code = program(t, "student", "Alex Sund")
	require.Equal(t, exitOK, code, stderr)
	assert.Contains(t, stdout, paths[0])
}

// TestVisitKnowsTheStudentOfTheLibrary: hand, height and club of one who is there need not
// be said; of two of one name it must be said whose visit it is, by the id.
func TestVisitKnowsTheStudentOfTheLibrary(t *testing.T) {
	dir := coach(t)
	l, _, err := annotations.Load(marked)
	require.NoError(t, err)
	for i, name := range []string{"Lina Berg", "Alex Sund", "Alex Sund"} {
		l = l.Clone()
		l.ID, l.Student.ID, l.Student.Name = annotations.NewID(), []string{"", "01J0000000000000000000ANNA", "01J0000000000000000000BERT"}[i], name
		l.Student.Handed, l.Student.StatureM, l.Swings[0].Club.Name = geometry.LeftHanded, 1.6+0.05*float64(i), "wedge"
		path := filepath.Join(dir, "mine", l.ID+".json")
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, annotations.Save(path, l))
		_, stderr, code := program(t, "import", path)
		require.Equal(t, exitOK, code, stderr)
	}
	noVideo := filepath.Join(t.TempDir(), "a.mp4")
	require.NoError(t, os.WriteFile(noVideo, []byte("this is no video"), 0o600))
	_, stderr, code := program(t, "visit", noVideo, "--student", "lina berg")
	assert.Equal(t, exitNothing, code)
	assert.Contains(t, stderr, "Lina Berg is in the library: left-handed, 160 cm, wedge")
	_, stderr, code = program(t, "visit", noVideo, "--student", "Alex Sund")
	assert.Equal(t, exitInput, code)
	assert.Contains(t, stderr, "2 students are called")
	_, stderr, _ = program(t, "visit", noVideo, "--student", "01J0000000000000000000BERT")
	assert.Contains(t, stderr, "Alex Sund is in the library: left-handed, 170 cm, wedge")
	_, stderr, code = program(t, "visit", noVideo, "--student", "Somebody New")
	assert.Equal(t, exitNothing, code)
	assert.NotContains(t, stderr, "library")
}
