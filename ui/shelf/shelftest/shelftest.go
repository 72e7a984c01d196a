// Package shelftest opens libraries for the tests of the rooms that show them.
package shelftest

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/worker"
)

// Client returns a client for the library of a window; it is not started yet.
func Client(w *kittest.Window) *worker.Client { return worker.NewClient(&w.Work, w.Alert) }

// Open opens the library and takes lessons in, whose documents it writes. It
// returns where they lie, in order.
func Open(t testing.TB, w *kittest.Window, c *worker.Client, lessons ...*annotations.Lesson) []string {
	t.Helper()
	c.Start(filepath.Join(w.Dirs.Data, "library"), annotations.DefaultTargets(), 0, func() {})
	t.Cleanup(c.Close)
	w.Until("the library", c.Ready)
	dir := t.TempDir()
	var paths []string
	for i, l := range lessons {
		path := filepath.Join(dir, string(rune('a'+i))+".json")
		require.NoError(t, annotations.Save(path, l))
		Ask(t, w, c, func(ctx context.Context, lib *library.Library) (int64, error) { return lib.Record(ctx, path, l, true) })
		paths = append(paths, path)
	}
	c.Remeasure()
	c.Changed()
	return paths
}

// Ask asks the library and waits for the answer.
func Ask[T any](t testing.TB, w *kittest.Window, c *worker.Client, do func(context.Context, *library.Library) (T, error)) T {
	t.Helper()
	var got T
	done := false
	worker.Ask(c, "the test's question", do, func(v T, err error) {
		require.NoError(t, err)
		got, done = v, true
	})
	w.Until("an answer of the library", func() bool { return done })
	return got
}

// Visit is a lesson of a student with one swing that is not marked.
func Visit(student, title, date string) *annotations.Lesson {
	l := annotations.NewLesson()
	l.Student.Name, l.Title, l.Date = student, title, date
	l.Swings = []annotations.Swing{{ID: "s1", Label: "7-iron"}}
	return l
}
