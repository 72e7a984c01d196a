package series

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/series/seriestest"
	"turngauge/geometry"
)

func measured(t *testing.T, seed uint64, kinds ...seriestest.Kind) (results []*annotations.Result, turns []float64, o annotations.Options) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	l, turns = seriestest.Visit(l, seed, kinds...)
	o = annotations.Options{Targets: annotations.DefaultTargets()}
	results, err = annotations.EvaluateAll(context.Background(), l, o)
	require.NoError(t, err)
	return results, turns, o
}

// TestWhatWasTried films a made-up golfer in three usual swings and three in which the
// pelvis truly turns 14 degrees more: the change is found, and said.
func TestWhatWasTried(t *testing.T) {
	results, turns, o := measured(t, 1, seriestest.Kind{Swings: 3, Turn: 38}, seriestest.Kind{Swings: 3, Tried: "lead foot turned in", Turn: 52})
	list := Tries(results)
	require.Len(t, list, 1)
	truth := (turns[3]+turns[4]+turns[5])/3 - (turns[0]+turns[1]+turns[2])/3
	c, ok := list[0].Of("pelvis turn", geometry.Top, geometry.Degrees)
	require.True(t, ok)
	t.Logf("truly %+.1f, found %+.1f (%.1f to %.1f), spread %.1f", truth, c.Value, c.Low95, c.High95, c.Spread.SD)
	assert.True(t, c.Low95 <= 14 && 14 <= c.High95)
	assert.True(t, c.Real)
	assert.InDelta(t, truth, c.Value, 4)
	report := list[0].Report(false, 0)
	assert.Regexp(t, `^With the lead foot turned in the pelvis turned 1\d degrees more at the top \(\d+ to \d+\), three swings each: real$`, report.Changes[indexOf(t, report, "pelvis turn")].Says)

	// The sheet of one of them: the mean of its own kind, held against the usual swings.
	r := results[4]
	visit := Alike(r, results)
	held := Held(r, visit, results[:3], false, &o)
	m := find(t, held, "pelvis turn")
	assert.Equal(t, annotations.OnVisit, m.Basis)
	assert.InDelta(t, r.Find("pelvis turn", geometry.Top).Value, m.One.Value, 1e-12)
	assert.InDelta(t, c.Value, m.Change.Value, 1e-9)
	assert.InDelta(t, m.Value, m.Change.Later.Value, 0.2)
	assert.NotEmpty(t, m.Verdict)
	alone := find(t, Held(r, visit, results[:3], true, &o), "pelvis turn")
	assert.Nil(t, alone.One)
	assert.Equal(t, 1, alone.Change.Later.N)
	assert.Greater(t, alone.Change.High95-alone.Change.Low95, m.Change.High95-m.Change.Low95)
}

func indexOf(t *testing.T, r Compared, name string) int {
	t.Helper()
	for i := range r.Changes {
		if r.Changes[i].Name == name && r.Changes[i].Position == geometry.Top {
			return i
		}
	}
	t.Fatalf("no %s at the top", name)
	return 0
}

func find(t *testing.T, list []annotations.Measured, name string) *annotations.Measured {
	t.Helper()
	for i := range list {
		if list[i].Name == name && list[i].Position == geometry.Top {
			return &list[i]
		}
	}
	t.Fatalf("no %s at the top", name)
	return nil
}

// TestOddSwing: of five swings one turns 25 degrees farther: it is named, with why, and
// no other; the most typical is one of the four.
func TestOddSwing(t *testing.T) {
	results, _, o := measured(t, 2, seriestest.Kind{Swings: 4, Turn: 38}, seriestest.Kind{Swings: 1, Turn: 63})
	list := Of(results, &o)
	require.Len(t, list, 1)
	odd := list[0].Odd()
	require.Len(t, odd, 1)
	assert.Equal(t, 4, odd[0].Swing)
	names := map[string]bool{}
	for _, a := range odd[0].By {
		names[a.Measure.Name] = true
	}
	assert.True(t, names["pelvis turn"], "%v", names)
	assert.NotEqual(t, 4, list[0].Typical)
	alike, _, _ := measured(t, 3, seriestest.Kind{Swings: 4, Turn: 38})
	for _, s := range Of(alike, &o) {
		assert.Empty(t, s.Odd())
	}
}

// TestSwingsArePutTogether: swings before standing phones share body and cameras; a phone
// that has come nearer in one of them, its picture a tenth larger, is noticed.
func TestSwingsArePutTogether(t *testing.T) {
	results, _, o := measured(t, 4, seriestest.Kind{Swings: 3, Turn: 38})
	r := SharingOf(results)
	require.NotNil(t, r)
	assert.Equal(t, []geometry.View{geometry.FaceOn, geometry.DownTheLine}, r.Still)
	assert.Empty(t, r.Moved)
	assert.Positive(t, r.Narrower)
	assert.Regexp(t, `^The swings are fitted with one body; the face-on and the down-the-line phone stood still\. That makes`, r.String())
	alone, err := annotations.Evaluate(context.Background(), results[0].Lesson, 0, o)
	require.NoError(t, err)
	require.Nil(t, alone.Together())
	a, b := alone.Find("pelvis turn", geometry.Top), results[0].Find("pelvis turn", geometry.Top)
	assert.Less(t, b.Sigma, a.Sigma)
	assert.Less(t, b.Shared, a.Shared)
	assert.InDelta(t, a.Value, b.Value, a.Sigma)
	again := annotations.PutTogether(results)
	assert.Same(t, results[0], again[0], "what is together is not put together twice")

	l := results[0].Lesson.Clone()
	for i := range l.Swings[2].Marks {
		if m := &l.Swings[2].Marks[i]; m.Clip == "fo" {
			m.At.X, m.At.Y = 960+1.1*(m.At.X-960), 540+1.1*(m.At.Y-540)
		}
	}
	for i := range l.Swings[2].Clips {
		if c := &l.Swings[2].Clips[i]; c.ID == "fo" {
			c.GroundLines = nil
		}
	}
	moved, err := annotations.EvaluateAll(context.Background(), l, o)
	require.NoError(t, err)
	require.NotNil(t, moved[0].Together())
	r = SharingOf(moved)
	assert.Equal(t, map[geometry.View][]int{geometry.FaceOn: {3}}, r.Moved)
	assert.Equal(t, []int{1, 1, 0}, r.Cameras["face-on"])
	assert.Contains(t, r.String(), "the face-on phone moved before swing 3, and has another camera from there on")

	// What the still background tells counts though the marks would not notice it.
	l = results[0].Lesson.Clone()
	for i := range l.Swings {
		for k := range l.Swings[i].Clips {
			l.Swings[i].Clips[k].Stand = 1
		}
	}
	for k := range l.Swings[2].Clips {
		if c := &l.Swings[2].Clips[k]; c.View == geometry.DownTheLine {
			c.Stand = 2
		}
	}
	moved, err = annotations.EvaluateAll(context.Background(), l, o)
	require.NoError(t, err)
	assert.Equal(t, map[string][]int{"face-on": {1, 1, 1}, "down-the-line": {1, 1, 0}}, SharingOf(moved).Cameras)
}
