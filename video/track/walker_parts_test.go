package track

import (
	"context"
	"errors"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAffineMapsFormAGroup: turns add up (the addition theorems of sine and cosine), a
// product applies the right map first, and an inverse undoes its map.
func TestAffineMapsFormAGroup(t *testing.T) {
	turn := func(a float64) affine { return affine{math.Cos(a), -math.Sin(a), math.Sin(a), math.Cos(a)} }
	near := func(want, got affine) {
		t.Helper()
		for i, v := range [4]float64{want.xx - got.xx, want.xy - got.xy, want.yx - got.yx, want.yy - got.yy} {
			assert.InDelta(t, 0, v, 1e-12, "entry %d of %+v", i, got)
		}
	}
	near(turn(0.7), turn(0.4).times(turn(0.3)))
	near(affine{-6, -4, 1, 3}, affine{2, 0, 0, 1}.times(affine{-3, -2, 1, 3}))
	near(affine{-6, -2, 2, 3}, affine{-3, -2, 1, 3}.times(affine{2, 0, 0, 1}))
	for _, s := range []affine{{2, 1, -1, 3}, {0.5, -0.2, 0.9, 1.4}, turn(1)} {
		near(identity, s.times(s.inverse()))
		near(identity, s.inverse().times(s))
	}
}

// TestOneWayBendsToTheMark: what was followed from one mark only and misses the other
// passes through both all the same.
func TestOneWayBendsToTheMark(t *testing.T) {
	const n = 4
	o := Options{}.withDefaults(image.Pt(1920, 1080))
	from, to := &Placed{Frame: 0, X: 10, Y: 20}, &Placed{Frame: n, X: 53, Y: 58}
	straight := make([]footprint, n+1) // comes out 3 pixels left of the mark and 2 above it
	for i := range straight {
		straight[i] = footprint{x: 10 + 10*float64(i), y: 20 + 9*float64(i), there: true}
	}
	for _, w := range []ways{
		{verdict: aheadOnly, ahead: straight, backward: make([]footprint, n+1), from: from, to: to, endF: math.Hypot(3, 2), endB: math.Inf(1)},
		{verdict: backOnly, ahead: make([]footprint, n+1), backward: straight, from: &Placed{X: 7, Y: 18}, to: &Placed{X: 50, Y: 56}, endF: math.Inf(1), endB: math.Hypot(3, 2)},
	} {
		w.measure()
		for i := range straight {
			got := w.observation(i, &o)
			part := float64(i) / n // the way goes evenly
			if w.verdict == backOnly {
				part = -(1 - part)
			}
			assert.InDelta(t, straight[i].x+3*part, got.X, 1e-9)
			assert.InDelta(t, straight[i].y+2*part, got.Y, 1e-9)
			assert.Equal(t, OneWay, got.State)
		}
	}
}

// TestAHiddenPointGoesOnMoreSlowly: where it is looked for is a sum of a geometric
// series.
func TestAHiddenPointGoesOnMoreSlowly(t *testing.T) {
	o := Options{}.withDefaults(image.Pt(200, 200))
	w := &walker{m: newMatcher(11, true), template: newTemplate(11), o: &o, s: identity}
	p := newPyramid(image.Pt(200, 200), 1, 10) // of nothing: the template fits nowhere
	w.x, w.y, w.vx, w.vy, w.hidden = 50, 60, 2, -1, 1
	for k := 1; k < mostHidden; k++ {
		assert.False(t, w.regain(p).there)
		sum := 0.9 * (1 - math.Pow(0.9, float64(k))) / (1 - 0.9)
		assert.InDelta(t, 50+2*sum, w.x, 1e-9, "after %d frames", k)
		assert.InDelta(t, 60-sum, w.y, 1e-9, "after %d frames", k)
	}
}

// TestWhatHasCreptInGrows: each time that the template is taken anew, what it is off by
// from then on is added, and a new mark ends it.
func TestWhatHasCreptInGrows(t *testing.T) {
	o := Options{}.withDefaults(image.Pt(120, 120))
	o.Renew = 2 // more than any correlation: anew in each frame
	p := newPyramid(image.Pt(120, 120), 2, 10)
	copy(p.levels[0].pix, blotches(120, 1, 1).pix)
	p.build()
	w := &walker{m: newMatcher(21, true), template: newTemplate(21), o: &o}
	for range 2 {
		w.misses, w.hidden, w.crept, w.drift, w.lost, w.vx, w.vy = 2, 3, 4, 5, true, 6, 7
		first := w.begin(p, 60, 60)
		assert.Equal(t, footprint{x: 60, y: 60, correlation: 1, there: true, held: true}, first)
		assert.Equal(t, [4]float64{}, [4]float64{w.crept, w.drift, w.vx, w.vy})
		assert.Equal(t, [2]int{}, [2]int{w.misses, w.hidden})
		assert.False(t, w.lost)
		before := 0.0
		for n := range 5 {
			f := w.step(p, p)
			require.True(t, f.there)
			assert.InDelta(t, 60, f.x, 0.02)
			assert.InDelta(t, 1, f.correlation, 0.02, "the same picture")
			assert.GreaterOrEqual(t, f.sigma, before+renewSigma)
			assert.Less(t, f.sigma, before+2*renewSigma, "frame %d", n)
			before = f.sigma
		}
	}
}

// once is a clip of which a picture can't be read once, and can later.
type once struct {
	*scene
	failed bool
}

func (o *once) Gray(ctx context.Context, n int, dst *image.Gray) error {
	if n == 2 && !o.failed {
		o.failed = true
		return errors.New("the drive was away")
	}
	return o.scene.Gray(ctx, n, dst)
}

// TestTellsOfAFrameThatCouldNotBeReadOnce: the way forward ends there, also where the
// way back could go through.
func TestTellsOfAFrameThatCouldNotBeReadOnce(t *testing.T) {
	s := &once{scene: newScene(6)}
	_, err := Follow(context.Background(), s, []Placed{s.mark(0, 8, 12, 0), s.mark(0, 8, 12, 5)}, Options{})
	require.ErrorContains(t, err, "the drive was away")
}
