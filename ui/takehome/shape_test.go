package takehome

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

// The distance from the middle of a circle drawn with cubic curves is right to
// 0.03 % (Goldapp 1991 gives 0.027 % for a quarter).
func TestCirclesAreRound(t *testing.T) {
	const r = 100.0
	path := circle(Pt{10, 20}, r)
	at := path[0].P[2]
	turn := 0.0
	for _, s := range path {
		if s.Do != CurveTo {
			continue
		}
		for i := range 20 {
			u := float64(i+1) / 20
			v := 1 - u
			x := v*v*v*at.X + 3*v*v*u*s.P[0].X + 3*v*u*u*s.P[1].X + u*u*u*s.P[2].X
			y := v*v*v*at.Y + 3*v*v*u*s.P[0].Y + 3*v*u*u*s.P[1].Y + u*u*u*s.P[2].Y
			assert.InDelta(t, r, math.Hypot(x-10, y-20), 3e-4*r)
		}
		turn += math.Pi / 2
		at = s.P[2]
	}
	assert.InDelta(t, 2*math.Pi, turn, 1e-9)
	assert.InDelta(t, 110, at.X, 1e-9)
	// A part of a circle ends where it should, either way round.
	for _, a := range []float64{-2.5, -0.3, 0.4, 4} {
		p := arc(nil, Pt{}, 1, 0.2, a)
		end := p[len(p)-1].P[2]
		assert.InDelta(t, math.Cos(0.2+a), end.X, 1e-12)
		assert.InDelta(t, math.Sin(0.2+a), end.Y, 1e-12)
	}
}

// bounds is the box of a path's points.
func bounds(path []Step) (lo, hi Pt) {
	lo, hi = Pt{math.Inf(1), math.Inf(1)}, Pt{math.Inf(-1), math.Inf(-1)}
	for _, s := range path {
		if s.Do == ClosePath {
			continue
		}
		lo = Pt{math.Min(lo.X, s.P[2].X), math.Min(lo.Y, s.P[2].Y)}
		hi = Pt{math.Max(hi.X, s.P[2].X), math.Max(hi.Y, s.P[2].Y)}
	}
	return lo, hi
}

// The dot, the interval and the target range stand where their numbers are on
// the scale: worked out by hand for one from 0 to 100 over 208 points, of which
// 4 at either end are margin, so 2 points for each.
func TestADotStandsAtItsNumber(t *testing.T) {
	before := 70.0
	r := reading{
		Unit: geometry.Degrees, Value: 30, Low: 25, High: 35, Verdict: geometry.Below,
		Target: &geometry.Range{Low: 40, High: 60}, Before: &before, From: 0, To: 100,
	}
	d := smallScale(&r, 208)
	x := func(v float64) float64 { return 4 + 2*v }
	dot, interval, band, ring := false, false, false, false
	for _, s := range d.Shapes {
		if len(s.Path) == 0 {
			continue
		}
		lo, hi := bounds(s.Path)
		mid := (lo.X + hi.X) / 2
		switch {
		case s.Fill == paper.Outside && math.Abs(mid-x(30)) < 0.01:
			dot = true
		case s.Stroke == paper.Outside && math.Abs(lo.X-x(25)) < 0.01 && math.Abs(hi.X-x(35)) < 0.01:
			interval = true
		case s.Fill.A > 0 && math.Abs(lo.X-x(40)) < 0.01 && math.Abs(hi.X-x(60)) < 0.01:
			band = true
		case s.Stroke == paper.Ghost && math.Abs(mid-x(70)) < 0.01:
			ring = true
		}
	}
	assert.True(t, dot, "dot")
	assert.True(t, interval, "interval")
	assert.True(t, band, "band")
	assert.True(t, ring, "last time")
	assert.Equal(t, "30°, 95 % interval 25 to 35°; we look for 40 to 60°; below; last time 70°", d.Says)
	// An open end of the range runs to the end of the scale; a value beyond the
	// scale stays on it.
	r.Target = &geometry.Range{Low: 40, High: math.Inf(1)}
	r.High = 300
	d = smallScale(&r, 208)
	for _, s := range d.Shapes {
		if len(s.Path) > 0 {
			lo, hi := bounds(s.Path)
			assert.GreaterOrEqual(t, lo.X, -0.01)
			assert.LessOrEqual(t, hi.X, 208.01)
		}
	}
	assert.Contains(t, d.Says, "we look for at least 40°")
}

func TestVerdictsDifferInShape(t *testing.T) {
	seen := make(map[string]geometry.Verdict)
	for _, v := range []geometry.Verdict{geometry.Within, geometry.Below, geometry.Above, geometry.CantTell} {
		d := sign(v)
		d.Says = ""
		for i := range d.Shapes { // without its colour
			s := &d.Shapes[i]
			for _, c := range []*uint8{&s.Fill.R, &s.Fill.G, &s.Fill.B, &s.Stroke.R, &s.Stroke.G, &s.Stroke.B} {
				*c = 0
			}
		}
		svg := d.SVG()
		assert.Empty(t, seen[svg], "%s looks like %s", v, seen[svg])
		seen[svg] = v
	}
}
