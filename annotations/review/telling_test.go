package review_test

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
)

// spoken writes a recording into a folder: a tone of the given level, and states by time.
func spoken(t *testing.T, folder, id string, length, level float64, states ...review.Step) review.Recording {
	t.Helper()
	out := review.Recording{List: "reviews/" + id + ".jsonl", Voice: "reviews/" + id + ".wav"}
	log, err := review.Create(filepath.Join(folder, out.List), "L1", time.Now())
	require.NoError(t, err)
	for i := range states {
		require.NoError(t, log.Show(at(states[i].At), &states[i].State))
	}
	require.NoError(t, log.Close(at(length)))
	v, err := review.CreateVoice(filepath.Join(folder, out.Voice))
	require.NoError(t, err)
	samples := make([]int16, int(length*review.Rate))
	for i := range samples {
		samples[i] = int16(level * math.Sqrt2 * math.Sin(float64(i)) * (1 << 15)) // level is its root mean square
	}
	require.NoError(t, v.Append(samples))
	require.NoError(t, v.Close())
	return out
}

// level is the root mean square of a voice in a stretch of time.
func level(voice []float32, from, to float64) float64 {
	sum, n := 0.0, 0
	for _, v := range voice[int(from*review.Rate):int(to*review.Rate)] {
		sum, n = sum+float64(v)*float64(v), n+1
	}
	return math.Sqrt(sum / float64(n))
}

func on(frame int, drawn ...review.Drawing) review.State {
	return review.State{Swing: "s1", Views: []review.View{{Clip: "fo", Frame: frame}}, Drawings: drawn}
}

// A passage said anew stands in the place of the old one, whose files are as they were; one
// said anew within it again stands there; a cough is silent, and all can be taken back.
func TestTellingWhatWasMended(t *testing.T) {
	folder := t.TempDir()
	own := spoken(t, folder, "01J", 20, 0.1, review.Step{At: 0, State: on(1)}, review.Step{At: 12, State: on(2)})
	first := spoken(t, folder, "01K", 5, 0.2, review.Step{At: 0.25, State: on(3)})
	second := spoken(t, folder, "01L", 2, 0.3, review.Step{At: 0, State: on(4)})
	r := review.Review{ID: "01J", List: own.List, Voice: own.Voice, Silenced: []review.Span{{From: 3, To: 3.5}, {From: 24, To: 24.5}}}
	r = r.Anew(review.Take{List: first.List, Voice: first.Voice, Clock: 21, Seconds: 5, Instead: []review.Span{{From: 10, To: 14}}})
	// From 11 of what is told on, so inside of the first take, and beyond its end.
	r = r.Anew(review.Take{List: second.List, Voice: second.Voice, Clock: 26, Seconds: 2, Instead: []review.Span{{From: 22, To: 26}, {From: 14, To: 15}}})
	told, err := review.Tell(folder, &r)
	require.NoError(t, err)
	assert.Empty(t, told.Notes)
	assert.Equal(t, []review.Span{{From: 0, To: 10}, {From: 21, To: 22}, {From: 26, To: 28}, {From: 15, To: 20}}, told.Order)
	assert.InDelta(t, 28, told.End(), 1e-9)
	for when, frame := range map[float64]int{1: 1, 12.5: 2, 21: 3, 25.9: 3, 26: 4} {
		assert.Equal(t, frame, told.At(when).Views[0].Frame, when)
	}
	for _, c := range []struct{ from, to, level float64 }{{1, 2, 0.1}, {3.02, 3.48, 0}, {3.6, 5, 0.1}, {20, 21, 0}, {21, 23.9, 0.2}, {24.02, 24.48, 0}, {26, 28, 0.3}} {
		assert.InDelta(t, c.level, level(told.Voice, c.from, c.to), 0.005, "%v", c)
	}

	// What is taken back in the last take brings the one before it back; in that one, both.
	back := r.Restored([]review.Span{{From: 26.5, To: 27}})
	assert.Len(t, back.Takes, 1)
	assert.Len(t, back.Silenced, 2)
	back = r.Restored([]review.Span{{From: 9, To: 10}, {From: 21, To: 21.5}})
	assert.Empty(t, back.Takes, "the later one lies in it")
	assert.Len(t, r.Takes, 2, "the review itself is as it was")
	r.Cuts = []review.Span{{From: 5, To: 6}, {From: 8, To: 9}}
	back = r.Restored([]review.Span{{From: 4, To: 5}, {From: 6, To: 7}})
	assert.Equal(t, []review.Span{{From: 8, To: 9}}, back.Cuts)
	assert.Len(t, back.Silenced, 2)

	// What is not there is told of, and the old passage is shown.
	r.Takes[0].List = "reviews/gone.jsonl"
	told, err = review.Tell(folder, &r)
	require.NoError(t, err)
	assert.Len(t, told.Notes, 2)
	assert.Equal(t, []review.Span{{From: 0, To: 20}}, told.Order)
	r.Takes = []review.Take{{List: first.List, Clock: 20000, Instead: []review.Span{{From: 1, To: 2}}}}
	told, err = review.Tell(folder, &r)
	require.NoError(t, err)
	assert.Len(t, told.Notes, 1, "a clock that is far off would be memory for nothing")
}

// A drawing that is moved is drawn, stroke by stroke, at its new time, and only on a frame on
// which it was seen.
func TestMovedDrawing(t *testing.T) {
	folder := t.TempDir()
	stroke := func(id string, x float64) review.Drawing {
		return review.Drawing{ID: id, Clip: "fo", Kind: "line", Points: [][2]float64{{1, 2}, {x, 4}}}
	}
	other := review.Drawing{ID: "b", Clip: "fo", Kind: "box", Points: [][2]float64{{5, 6}, {7, 8}}}
	own := spoken(t, folder, "01J", 20, 0.1,
		review.Step{At: 0, State: on(1)}, review.Step{At: 2, State: on(7, other)}, review.Step{At: 8, State: on(7, other, stroke("", 2))}, review.Step{At: 8.5, State: on(7, other, stroke("", 3))},
		review.Step{At: 9, State: on(7, other, stroke("a", 4))}, review.Step{At: 15, State: on(9)})
	r := review.Review{ID: "01J", List: own.List}
	told, err := review.Tell(folder, &r)
	require.NoError(t, err)
	assert.Empty(t, told.Voice)
	all := told.Appearances()
	require.Len(t, all, 2)
	assert.Equal(t, review.Appearance{Drawing: other, Span: review.Span{From: 2, To: 15}}, all[0])
	assert.Equal(t, review.Appearance{Drawing: stroke("a", 4), Span: review.Span{From: 8, To: 15}}, all[1])

	r.Moved = []review.Moved{{ID: "a", From: 1, To: 17}}
	told, err = review.Tell(folder, &r)
	require.NoError(t, err)
	for when, drawn := range map[float64][]review.Drawing{
		0.5: nil, 1.9: nil, // another frame
		2:   {other, stroke("a", 4)},
		8.2: {other, stroke("a", 4)}, 14.9: {other, stroke("a", 4)}, 15: nil, 16: nil,
	} {
		assert.Equal(t, drawn, told.At(when).Drawings, when)
	}
	r.Moved[0] = review.Moved{ID: "a", From: 4, To: 7}
	told, err = review.Tell(folder, &r)
	require.NoError(t, err)
	for when, drawn := range map[float64][]review.Drawing{3.9: {other}, 4: {other, stroke("a", 2)}, 4.5: {other, stroke("a", 3)}, 5: {other, stroke("a", 4)}, 6.9: {other, stroke("a", 4)}, 7: {other}, 8.7: {other}, 10: {other}} {
		assert.Equal(t, drawn, told.At(when).Drawings, when)
	}
	assert.True(t, told.At(5).Explained)
	assert.Equal(t, review.Span{From: 4, To: 7}, told.Appearances()[1].Span)
}
