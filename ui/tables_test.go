package ui

import (
	"os"
	"path/filepath"
	"testing"

	"turngauge/ui/intake"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTableOfShotsDroppedOnTheWindowIsAskedAbout(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("path;carry\n1;2\n"), 0o644))
	h.a.intake.Open([]string{path})
	h.frame()
	h.click("Add to “before”")
	assert.Len(t, h.a.desk.Bench.Lesson().Shots, 1)
}

func TestTableOfShotsWithoutALessonIsToldSo(t *testing.T) {
	h := newHarness(t)
	path := filepath.Join(t.TempDir(), "bay 4.csv")
	require.NoError(t, os.WriteFile(path, []byte("path;carry\n1;2\n"), 0o644))
	h.a.intake.Open([]string{path})
	h.frame()
	assert.False(t, roomOf[*intake.Student](h.a).IsOpen())
	require.Len(t, h.a.notices.Alerts(), 1)
	assert.Contains(t, h.a.notices.Alerts()[0], "open the lesson")
}
