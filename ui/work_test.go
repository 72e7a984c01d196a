package ui

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/fault"
)

// report returns the text of the report that an alert names.
func report(t *testing.T, alert string) string {
	t.Helper()
	_, path, ok := strings.Cut(alert, "lies at ")
	require.True(t, ok, alert)
	text, err := os.ReadFile(strings.TrimSuffix(path, "."))
	require.NoError(t, err)
	return string(text)
}

func TestAMistakeInAWorkerIsToldAndTheLessonGoesOn(t *testing.T) {
	h := newHarness(t)
	h.a.work.Version = "turngauge 1.2.3"
	h.openTestLesson()
	put := false
	h.a.work.Go("Drawing the picture", func() { panic("a slip") }, func() { put = true })
	h.until("the coach to be told", func() bool { return len(h.a.notices.Alerts()) > 0 })
	said := h.a.notices.Alerts()[0]
	assert.True(t, put, "what was busy is free again")
	assert.Contains(t, said, "Drawing the picture failed")
	assert.Contains(t, said, "The lesson is safe")
	text := report(t, said)
	assert.Contains(t, text, "turngauge 1.2.3")
	assert.Contains(t, text, "work_test.go")

	h.press("1", 0)
	assert.NotEmpty(t, h.a.desk.Bench.Swing().Positions, "and there is work to go on with")
}

func TestAMistakeInTheWindowSavesTheLessonAndIsToldAtTheNextStart(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	path := h.a.desk.Path
	h.press("1", 0)
	require.NotEmpty(t, h.a.desk.Bench.Swing().Positions)
	err := fault.Guard(func() error { panic("a slip") })()
	said := h.a.stopped(err.(*fault.Error)).Error()
	assert.Contains(t, said, path)
	assert.Contains(t, report(t, said), "a slip")
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	assert.NotEmpty(t, l.Swings[0].Positions, "the last edit is on the disk")

	next := newApp(h.a.dirs, draw.NewFixedTheme(true, 1), func() {})
	next.tellOfStop()
	require.Len(t, next.notices.Alerts(), 1)
	assert.Contains(t, next.notices.Alerts()[0], path)
	again := newApp(h.a.dirs, draw.NewFixedTheme(true, 1), func() {})
	again.tellOfStop()
	assert.Empty(t, again.notices.Alerts(), "it is said once")
}
