package figure

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// ring is one cross section of a tube: an ellipse-like curve about O, in the
// plane of Lead and Front, with its own radius to the front and to the rear.
type ring struct {
	at                golfer.Frame
	side, front, rear float64
}

// section holds the unit cross section of a tube: for each column the sine
// and cosine of a superellipse, beginning at the rear and passing the trail
// side (seen by a figure whose Lead is lead), the front, the lead side.
type section struct{ s, c []float64 }

// newSection returns a closed section of n columns. An exponent of 2 is an
// ellipse, more is squarer.
func newSection(n int, exponent float64) section {
	sec := section{make([]float64, n+1), make([]float64, n+1)}
	for i := range n + 1 {
		s, c := math.Sincos((float64(i)/float64(n) - 0.5) * 2 * math.Pi)
		r := math.Pow(math.Pow(math.Abs(s), exponent)+math.Pow(math.Abs(c), exponent), -1/exponent)
		sec.s[i], sec.c[i] = s*r, c*r
	}
	return sec
}

// tube is a mesh of rings, from the first up to the last.
type tube struct {
	*render.Mesh
	sec section
	// folds moves the surface out by metres, for each vertex.
	folds []float64
}

func newTube(cols, rows int, exponent float64, tex *render.Texture) *tube {
	return &tube{
		Mesh: render.NewGrid(cols, rows, true, tex),
		sec:  newSection(cols, exponent),
	}
}

// fold gives the tube's cloth folds: depth metres, with around and along
// waves, stronger where weight(v) says.
func (t *tube) fold(depth, around, along float64, seed uint32, weight func(v float64) float64) *tube {
	cols, rows := t.Cols(), t.Rows()
	t.folds = make([]float64, cols*rows)
	for j := range rows {
		v := float64(j) / float64(rows-1)
		for i := range cols {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(cols-1))
			n := render.Fractal(around*s+5*float64(seed%7), around*c+along*v, 2, seed)
			t.folds[j*cols+i] = depth * weight(v) * n
		}
	}
	return t
}

// set places one row.
func (t *tube) set(row int, r ring) {
	cols := t.Cols()
	for i := range cols {
		side, front := t.sec.s[i]*r.side, t.sec.c[i]
		if front > 0 {
			front *= r.front
		} else {
			front *= r.rear
		}
		if t.folds != nil {
			k := t.folds[row*cols+i]
			side += k * t.sec.s[i]
			front += k * t.sec.c[i]
		}
		t.Set(i, row, vec(r.at.At(side, 0, front)))
	}
}

// point shrinks a row to one place, which closes the tube.
func (t *tube) point(row int, p r3.Vec) {
	for i := range t.Cols() {
		t.Set(i, row, vec(p))
	}
}

func vec(p r3.Vec) render.Vec {
	return render.Vec{X: float32(p.X), Y: float32(p.Y), Z: float32(p.Z)}
}

// profile is a table of values over a place from 0 to 1, joined smoothly.
type profile []struct{ at, v float64 }

func (p profile) value(at float64) float64 {
	if at <= p[0].at {
		return p[0].v
	}
	for i := 1; i < len(p); i++ {
		if at > p[i].at {
			continue
		}
		// Cubic Hermite with the slopes of the neighbours.
		a, b := p[i-1], p[i]
		w := b.at - a.at
		slope := func(k int) float64 {
			lo, hi := max(k-1, 0), min(k+1, len(p)-1)
			return (p[hi].v - p[lo].v) / (p[hi].at - p[lo].at)
		}
		t := (at - a.at) / w
		m0, m1 := slope(i-1)*w, slope(i)*w
		return a.v*(1+2*t)*(1-t)*(1-t) + m0*t*(1-t)*(1-t) + b.v*t*t*(3-2*t) - m1*t*t*(1-t)
	}
	return p[len(p)-1].v
}

// frameAlong returns a frame at o whose Up is up and whose Front is as near to
// front as that allows.
func frameAlong(o, up, front r3.Vec) golfer.Frame {
	up = r3.Unit(up)
	lead := r3.Unit(r3.Cross(up, front))
	return golfer.Frame{O: o, Lead: lead, Up: up, Front: r3.Cross(lead, up)}
}

// curve3 returns the place and direction at t on the quadratic through a and
// c with the handle b.
func curve3(a, b, c r3.Vec, t float64) (p, d r3.Vec) {
	u := 1 - t
	p = r3.Add(r3.Add(r3.Scale(u*u, a), r3.Scale(2*u*t, b)), r3.Scale(t*t, c))
	d = r3.Add(r3.Scale(2*u, r3.Sub(b, a)), r3.Scale(2*t, r3.Sub(c, b)))
	return p, d
}

// mix returns a + t(b - a).
func mix(a, b r3.Vec, t float64) r3.Vec { return r3.Add(a, r3.Scale(t, r3.Sub(b, a))) }

// smooth is 0 below lo, 1 above hi, and rises smoothly between.
func smooth(lo, hi, x float64) float64 {
	t := math.Max(0, math.Min(1, (x-lo)/(hi-lo)))
	return t * t * (3 - 2*t)
}
