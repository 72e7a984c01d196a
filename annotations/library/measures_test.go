package library

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// resultOf is a result with one measure of swing s1.
func resultOf(value, sd float64) []*annotations.Result {
	m := annotations.Measured{Measure: geometry.Measure{
		Name: "pelvis turn", Position: geometry.Top, Unit: geometry.Degrees, Value: value, Sigma: sd,
		Low95: value - 1.959964*sd, High95: value + 1.959964*sd, Method: "joint fit, 2 views",
	}}
	m.JudgeBy(annotations.Target{Range: geometry.Range{Low: 40, High: 60}, Source: "a range"}, 0)
	l := &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}}
	return []*annotations.Result{{Lesson: l, Measures: []annotations.Measured{m}}}
}

// TestChangesOverLessonsAreRealOrNoise holds the change between lessons to the
// minimal detectable change of Weir 2005, J Strength Cond Res 19:231:
// 1.96·√2·SEM, which for an SEM of 2 degrees is 5.54 degrees.
func TestChangesOverLessonsAreRealOrNoise(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	// Of two swings measured to 2 degrees of a golfer who spreads by UsualSpread.
	mdc := 1.96 * math.Sqrt2 * math.Hypot(2, geometry.UsualSpread("pelvis turn", geometry.Degrees))
	var student int64
	for i, v := range []float64{20, 20 + mdc*0.99, 20 + mdc*0.99 + mdc*1.01, 35} {
		path := filepath.Join(dir, string(rune('a'+i))+".json")
		lesson := written(t, path, "Mara Lindqvist", "t", "2026-0"+string(rune('1'+i))+"-01")
		key := record(t, l, path, lesson)
		e, err := l.Lesson(ctx, key)
		require.NoError(t, err)
		student = e.StudentKey
		if i == 0 {
			pending, err := l.Unmeasured(ctx)
			require.NoError(t, err)
			require.Len(t, pending, 1)
		}
		require.NoError(t, l.RecordMeasures(ctx, key, e.SHA256, resultOf(v, 2)))
		require.NoError(t, l.RecordMeasures(ctx, key, "an older state", resultOf(v+50, 2)))
	}
	pending, err := l.Unmeasured(ctx)
	require.NoError(t, err)
	assert.Empty(t, pending)

	got, err := l.Progress(ctx, student, "pelvis turn", geometry.Top, annotations.AnyClub)
	require.NoError(t, err)
	require.Len(t, got, 4)
	assert.Nil(t, got[0].Change)
	assert.False(t, got[1].Change.Real, "1 %% below what can be told")
	assert.True(t, got[2].Change.Real, "1 %% above it")
	assert.False(t, got[3].Change.Real)
	assert.InDelta(t, 40, got[0].Target.Low, 1e-9)
	assert.Equal(t, "a range", got[0].Source)
	none, err := l.Progress(ctx, student, "pelvis turn", geometry.Top, annotations.Driver)
	require.NoError(t, err)
	assert.Empty(t, none)

	list, err := l.MeasuresOf(ctx, student)
	require.NoError(t, err)
	assert.Equal(t, []Measure{{"pelvis turn", geometry.Top, geometry.Degrees, 4, true}}, list)

	students, err := l.Students(ctx, Query{})
	require.NoError(t, err)
	require.NoError(t, l.Improvement(ctx, students))
	assert.True(t, students[0].Compared)
	assert.Zero(t, students[0].Closer, "the last change was noise")
	require.NoError(t, l.Delete(ctx, got[3].Lesson))
	require.NoError(t, l.Improvement(ctx, students))
	assert.Equal(t, 1, students[0].Closer)
}

func TestEarlierMarksMakeMeasuresStale(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	lesson := written(t, path, "Mara Lindqvist", "t", "2026-05-02")
	key := record(t, l, path, lesson)
	e, err := l.Lesson(ctx, key)
	require.NoError(t, err)
	require.NoError(t, l.RecordMeasures(ctx, key, e.SHA256, resultOf(31, 2)))
	lesson.Swings[0].Marks[0].At.X++
	record(t, l, path, lesson)
	pending, err := l.Unmeasured(ctx)
	require.NoError(t, err)
	assert.Len(t, pending, 1)
}

func TestTargetRangesAreKeptInVersions(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	path := filepath.Join(dir, "a.json")
	record(t, l, path, written(t, path, "Mara Lindqvist", "t", "2026-05-02"))
	mara, err := l.StudentNamed(ctx, "MARA lindqvist")
	require.NoError(t, err)
	own := func(low, high float64) annotations.Targets {
		return annotations.Targets{{Measure: "pelvis turn", Position: geometry.Top, Range: geometry.Range{Low: low, High: high}, Source: "mine"}}
	}
	find := func(student int64) geometry.Range {
		all, err := l.Targets(ctx, annotations.DefaultTargets(), student)
		require.NoError(t, err)
		got, ok := all.Find("pelvis turn", geometry.Top, annotations.MidIron, geometry.Female)
		require.True(t, ok)
		return got.Range
	}
	assert.Equal(t, geometry.Range{Low: 40, High: 60}, find(mara))
	require.NoError(t, l.SetTargets(ctx, 0, own(35, 50)))
	require.NoError(t, l.SetTargets(ctx, mara, own(30, 40)))
	require.NoError(t, l.SetTargets(ctx, mara, own(30, 40))) // says nothing new
	require.NoError(t, l.SetTargets(ctx, mara, own(32, math.Inf(1))))
	assert.Equal(t, geometry.Range{Low: 35, High: 50}, find(0))
	assert.Equal(t, geometry.Range{Low: 32, High: math.Inf(1)}, find(mara))
	sets, err := l.TargetSets(ctx, mara)
	require.NoError(t, err)
	require.Len(t, sets, 2)
	assert.Equal(t, 2, sets[0].Version)
	assert.Equal(t, geometry.Range{Low: 30, High: 40}, sets[1].Ranges[0].Range)

	// One for all clubs covers the program's for one club.
	wide := annotations.Targets{{Measure: "stance width over shoulder breadth", Range: geometry.Range{Low: 1, High: 2}, Source: "mine"}}
	got, ok := Override(annotations.DefaultTargets(), wide).Find(wide[0].Measure, geometry.Address, annotations.Driver, geometry.SexUnset)
	require.True(t, ok)
	assert.Equal(t, wide[0].Range, got.Range)
}

func TestDrillShelf(t *testing.T) {
	ctx := context.Background()
	l := openAt(t, filepath.Join(t.TempDir(), "library"))
	chair, err := l.KeepDrill(ctx, Drill{Name: "Chair", Text: "Touch it with both hips."})
	require.NoError(t, err)
	step, err := l.KeepDrill(ctx, Drill{Name: "Step", Measure: "pelvis turn"})
	require.NoError(t, err)
	require.NoError(t, l.UseDrill(ctx, chair))
	list, err := l.Drills(ctx, "")
	require.NoError(t, err)
	assert.Equal(t, []Drill{{chair, "Chair", "Touch it with both hips.", "", 1}, {step, "Step", "", "pelvis turn", 0}}, list)
	list, err = l.Drills(ctx, "pelvis turn")
	require.NoError(t, err)
	assert.Equal(t, step, list[0].Key)
	_, err = l.KeepDrill(ctx, Drill{Name: "  "})
	require.ErrorContains(t, err, "needs a name")
	require.NoError(t, l.DropDrill(ctx, chair))
	list, err = l.Drills(ctx, "")
	require.NoError(t, err)
	assert.Len(t, list, 1)
	_, err = l.KeepDrill(ctx, Drill{Key: chair, Name: "Chair"})
	require.NoError(t, err)
	list, err = l.Drills(ctx, "")
	require.NoError(t, err)
	assert.Len(t, list, 2)
}

func TestCourseIsOverThreeLessonsOrMore(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	l := openAt(t, filepath.Join(dir, "library"))
	for i, v := range []float64{31, 34, 36, 60} {
		path := filepath.Join(dir, string(rune('a'+i))+".json")
		key := record(t, l, path, written(t, path, "Mara Lindqvist", "t", "2026-0"+string(rune('1'+i))+"-01"))
		e, err := l.Lesson(ctx, key)
		require.NoError(t, err)
		require.NoError(t, l.RecordMeasures(ctx, key, e.SHA256, resultOf(v, 2)))
	}
	got, err := l.Course(ctx, &annotations.Student{Name: "mara lindqvist"}, "2026-03-01", 4)
	require.NoError(t, err)
	require.Len(t, got, 1)
	require.Len(t, got[0], 3, "up to the day of the lesson")
	assert.InDelta(t, 36, got[0][2].Value, 1e-9)
	got, err = l.Course(ctx, &annotations.Student{Name: "Mara Lindqvist"}, "2026-02-15", 4)
	require.NoError(t, err)
	assert.Empty(t, got, "two lessons are a comparison")
	got, err = l.Course(ctx, &annotations.Student{Name: "Nobody"}, "2026-03-01", 4)
	require.NoError(t, err)
	assert.Empty(t, got)
}

// TestRangesWithOneEnd keeps what was judged by ranges of which an end is open, and reads
// it back with that end open; improvement counts toward the end that there is.
func TestRangesWithOneEnd(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	for name, c := range map[string]struct {
		judged          geometry.Range
		closer, farther int
	}{
		"at most":  {geometry.Range{Low: math.Inf(-1), High: 20}, 0, 1},
		"at least": {geometry.Range{Low: 60, High: math.Inf(1)}, 1, 0},
		"none":     {geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}, 0, 0},
	} {
		l := openAt(t, filepath.Join(dir, name))
		var student int64
		for i, v := range []float64{31, 45} {
			path := filepath.Join(dir, name+string(rune('a'+i))+".json")
			key := record(t, l, path, written(t, path, "Mara Lindqvist", "t", "2026-0"+string(rune('1'+i))+"-01"))
			e, err := l.Lesson(ctx, key)
			require.NoError(t, err)
			student = e.StudentKey
			results := resultOf(v, 1)
			results[0].Measures[0].JudgeBy(annotations.Target{Range: c.judged, Source: "a range"}, 0)
			require.NoError(t, l.RecordMeasures(ctx, key, e.SHA256, results))
		}
		values, err := l.Progress(ctx, student, "pelvis turn", geometry.Top, annotations.AnyClub)
		require.NoError(t, err)
		require.Len(t, values, 2)
		for _, v := range values {
			if name == "none" {
				assert.Nil(t, v.Target, name)
				continue
			}
			require.NotNil(t, v.Target, name)
			assert.Equal(t, c.judged, *v.Target, name)
		}
		students, err := l.Students(ctx, Query{})
		require.NoError(t, err)
		require.NoError(t, l.Improvement(ctx, students))
		assert.Equal(t, c.closer, students[0].Closer, name)
		assert.Equal(t, c.farther, students[0].Farther, name)
	}
}
