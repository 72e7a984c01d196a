package library

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// visitOf is a lesson of several swings, with what was tried in them and the pelvis turn
// that was measured in each.
func visitOf(t *testing.T, l *Library, path, date string, tried []string, values []float64) (student int64) {
	t.Helper()
	ctx := context.Background()
	lesson := written(t, path, "Mara Lindqvist", "t", date)
	first := lesson.Swings[0]
	lesson.Swings = nil
	results := make([]*annotations.Result, len(values))
	for i, v := range values {
		s := first
		s.ID, s.Tried = fmt.Sprintf("s%d", i+1), tried[i]
		lesson.Swings = append(lesson.Swings, s)
		results[i] = resultOf(v, 2)[0]
		results[i].Measures[0].Shared, results[i].Measures[0].Lasting = 1, 0.5
	}
	key := record(t, l, path, lesson)
	e, err := l.Lesson(ctx, key)
	require.NoError(t, err)
	for i := range results {
		results[i].Lesson, results[i].Index = lesson, i
	}
	require.NoError(t, l.RecordMeasures(ctx, key, e.SHA256, results))
	return e.StudentKey
}

// TestVisitsOfSeveralSwings: the value of a lesson is the mean of its usual swings, and
// the change is that of the means, as geometry.Compare has it.
func TestVisitsOfSeveralSwings(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	usual := []string{"", "", "", ""}
	visitOf(t, l, filepath.Join(dir, "a.json"), "2026-03-01", usual[:3], []float64{30, 33, 36})
	student := visitOf(t, l, filepath.Join(dir, "b.json"), "2026-04-01", []string{"lead foot turned in", "", "", ""}, []float64{70, 45, 48, 42})
	got, err := l.Progress(ctx, student, "pelvis turn", geometry.Top, annotations.AnyClub)
	require.NoError(t, err)
	require.Len(t, got, 2)
	assert.Equal(t, 3, got[1].Swings)
	assert.InDelta(t, 33, got[0].Value, 1e-9)
	assert.InDelta(t, 45, got[1].Value, 1e-9, "what was tried is not in the mean")
	visit := func(values ...float64) geometry.Visit {
		var v geometry.Visit
		for _, x := range values {
			v = append(v, geometry.Occasion{Value: x, Sigma: 2, Shared: 1, Lasting: 0.5})
		}
		return v
	}
	want := geometry.Compare(visit(30, 33, 36), visit(45, 48, 42), nil, 3)
	assert.InDelta(t, want.Low95, got[1].Change.Low95, 1e-9)
	assert.True(t, got[1].Change.Real)
	assert.True(t, got[1].Change.Spread.Estimated)
	students, err := l.Students(ctx, Query{})
	require.NoError(t, err)
	require.NoError(t, l.Improvement(ctx, students))
	assert.Equal(t, 1, students[0].Closer)

	// A swing each, 12 degrees apart: less than golfers differ by whose swings spread
	// like these.
	visitOf(t, l, filepath.Join(dir, "c.json"), "2026-05-01", usual[:1], []float64{48})
	visitOf(t, l, filepath.Join(dir, "d.json"), "2026-06-01", usual[:1], []float64{54})
	got, err = l.Progress(ctx, student, "pelvis turn", geometry.Top, annotations.AnyClub)
	require.NoError(t, err)
	require.Len(t, got, 4)
	assert.False(t, got[3].Change.Real)
	assert.True(t, got[3].Change.Spread.Estimated, "by the student's earlier visits")
	assert.InDelta(t, 4, got[3].Change.Spread.DF, 1e-9)
}
