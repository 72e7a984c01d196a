package track

import (
	"context"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestTexture: the smaller eigenvalue of symmetric 2 x 2 matrices, the roots of their
// characteristic polynomials by hand. The first is the usual example of textbooks, with
// 1 and 3 (Strang, Introduction to Linear Algebra, from memory).
func TestTexture(t *testing.T) {
	for _, c := range []struct{ xx, xy, yy, want float64 }{
		{2, 1, 2, 1}, {5, 2, 2, 1}, {9, 0, 4, 4}, {4, 0, 9, 4}, {1, 1, 1, 0}, {7, -3, 1, 4 - 3*math.Sqrt2},
	} {
		for _, n := range []int{1, 3} {
			m := &matcher{n: n, gxx: c.xx, gxy: c.xy, gyy: c.yy}
			assert.InDelta(t, c.want/float64(n*n), m.texture(), 1e-12, "%+v", c)
		}
	}
}

// TestShareOfThePath goes along the hypotenuses of two triangles of 3, 4 and 5 with a
// rest between them (Euclid, Elements I.47).
func TestShareOfThePath(t *testing.T) {
	there := func(x, y float64) footprint { return footprint{x: x, y: y, there: true} }
	w := ways{verdict: aheadOnly, ahead: []footprint{there(0, 0), there(3, 4), there(3, 4), there(6, 8)}}
	w.measure()
	whole := 10 + 3*restStep
	assert.InDelta(t, whole, w.travel, 1e-12)
	for i, want := range []float64{0, 5 + restStep, 5 + 2*restStep, whole} {
		assert.InDelta(t, want/whole, w.part[i], 1e-12, "frame %d", i)
	}
	// The way back is measured where only that came to its mark, and lost frames count as rest.
	w = ways{verdict: backOnly, ahead: make([]footprint, 3), backward: []footprint{there(0, 0), {}, there(30, 40)}}
	w.measure()
	assert.InDelta(t, 2*restStep, w.travel, 1e-12)
}

// TestInside: the window of a template reaches half its side times the warp's rows, and
// interpolation takes a pixel more on each side.
func TestInside(t *testing.T) {
	p := &plane{w: 50, h: 40}
	a := &template{n: 11, half: 5}
	for _, c := range []struct {
		x, y float64
		s    affine
		want bool
	}{
		{6, 20, identity, true}, {5.9, 20, identity, false},
		{42.9, 20, identity, true}, {43, 20, identity, false},
		{20, 6, identity, true}, {20, 5.9, identity, false},
		{20, 32.9, identity, true}, {20, 33, identity, false},
		{11, 20, affine{1, 1, 0, 1}, true}, {10.9, 20, affine{1, 1, 0, 1}, false},
		{20, 11, affine{1, 0, -1, 1}, true}, {20, 10.9, affine{1, 0, -1, 1}, false},
	} {
		assert.Equal(t, c.want, a.inside(p, c.x, c.y, c.s), "%+v", c)
	}
}

// blotches draws a picture of smooth blotches, magnified about its middle, whose light
// is turned by gain about the middle grey.
func blotches(size int, magnified, gain float64) *plane {
	p := &plane{w: size, h: size, pix: make([]uint8, size*size)}
	middle := float64(size / 2)
	for y := range size {
		for x := range size {
			u, v := (float64(x)-middle)/magnified, (float64(y)-middle)/magnified
			light := math.Sin(u/3.1)*math.Cos(v/2.7) + math.Sin((u+v)/4.3)
			p.pix[y*size+x] = uint8(128 + gain*50*light)
		}
	}
	return p
}

// TestFitIsNotBelieved: a template that is found turned to its negative, or at twice its
// size, is none that a frame changes to.
func TestFitIsNotBelieved(t *testing.T) {
	const size, middle = 120, 60.0
	m := newMatcher(21, true)
	a := newTemplate(21)
	a.set(m, blotches(size, 1, 1), middle, middle)
	for _, c := range []struct {
		name            string
		magnified, gain float64
		want            bool
	}{
		{"as it was", 1, 1, true}, {"in less light", 1, 0.5, true}, {"in a fifth of the light", 1, 0.2, false}, {"its negative", 1, -1, false},
		{"1.7 times as large", 1.7, 1, true}, {"1.9 times as large", 1.9, 1, false},
	} {
		s := affine{c.magnified, 0, 0, c.magnified}
		x, y, fitted, _, ok := a.fit(blotches(size, c.magnified, c.gain), middle, middle, s)
		assert.Equal(t, c.want, ok, "%s: (%.2f, %.2f), %+v", c.name, x, y, fitted)
		if c.want {
			assert.InDelta(t, middle, x, 0.05, c.name)
			assert.InDelta(t, c.magnified, fitted.xx, 0.03, c.name)
		}
	}
}

// TestRetract takes back what was not seen well before a point was lost, up to the frame
// in which it was.
func TestRetract(t *testing.T) {
	held, guessed, lost := footprint{there: true, held: true}, footprint{there: true}, footprint{}
	prints := []footprint{guessed, held, guessed, guessed, lost, held, guessed}
	ahead := append([]footprint(nil), prints...)
	retract(ahead, 1)
	assert.Equal(t, []footprint{guessed, held, lost, lost, lost, held, guessed}, ahead)
	backward := append([]footprint(nil), prints...)
	retract(backward, -1)
	assert.Equal(t, []footprint{guessed, held, guessed, guessed, lost, held, guessed}, backward)
	backward = []footprint{lost, guessed, guessed, held, guessed}
	retract(backward, -1)
	assert.Equal(t, []footprint{lost, lost, lost, held, guessed}, backward)
}

// TestNothingToFollowIn: pictures without rows, columns or number hold no point.
func TestNothingToFollowIn(t *testing.T) {
	for _, s := range []*scene{{frames: 3, size: image.Pt(0, 40)}, {frames: 3, size: image.Pt(40, 0)}, {frames: 0, size: image.Pt(40, 40)}} {
		tracks, err := Follow(context.Background(), s, []Placed{{Frame: 0}}, Options{})
		assert.Error(t, err, "%+v", s.size)
		assert.Empty(t, tracks)
	}
}
