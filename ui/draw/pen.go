package draw

import (
	"image/color"
	"math"

	"gioui.org/f32"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
)

// Pen gathers filled shapes of one colour into one path. Shapes may overlap:
// the union is filled, also with a translucent colour.
//
//	var p draw.Pen
//	p.Begin(gtx.Ops)
//	p.Line(a, b, 2)
//	p.Circle(b, 4)
//	p.Fill(th.Lead)
//
// Between Begin and Fill (or End) nothing else may be added to the ops.
type Pen struct {
	path clip.Path
	ops  *op.Ops
}

// All contours run clockwise on the screen, so that overlapping shapes add up
// under the non-zero winding rule; holes run the other way.

// Begin starts an empty path.
func (p *Pen) Begin(ops *op.Ops) {
	p.ops = ops
	p.path.Begin(ops)
}

// Fill ends the path and fills it.
func (p *Pen) Fill(c color.NRGBA) {
	paint.FillShape(p.ops, c, clip.Outline{Path: p.path.End()}.Op())
}

// End ends the path and returns it, for clipping or for keeping.
func (p *Pen) End() clip.PathSpec { return p.path.End() }

func (p *Pen) quad(a, b, c, d f32.Point) {
	p.path.MoveTo(a)
	p.path.LineTo(b)
	p.path.LineTo(c)
	p.path.LineTo(d)
	p.path.Close()
}

// unit returns the direction from a to b and their distance; ok is false where
// they coincide.
func direction(a, b f32.Point) (d f32.Point, length float32, ok bool) {
	v := b.Sub(a)
	l := float32(math.Hypot(float64(v.X), float64(v.Y)))
	if l < 1e-6 {
		return f32.Point{}, 0, false
	}
	return v.Div(l), l, true
}

// normal turns a direction a quarter turn anticlockwise on the screen.
func normal(d f32.Point) f32.Point { return f32.Pt(d.Y, -d.X) }

// Line adds a line with flat ends.
func (p *Pen) Line(a, b f32.Point, width float32) {
	d, _, ok := direction(a, b)
	if !ok {
		return
	}
	n := normal(d).Mul(width / 2)
	p.quad(a.Add(n), b.Add(n), b.Sub(n), a.Sub(n))
}

// RoundLine adds a line with round ends. With a equal to b it is a dot.
func (p *Pen) RoundLine(a, b f32.Point, width float32) {
	d, _, ok := direction(a, b)
	if !ok {
		p.Circle(a, width/2)
		return
	}
	// One contour: overlapping parts would show, as their smoothed edges add.
	n := normal(d).Mul(width / 2)
	from := angleOf(n)
	p.path.MoveTo(a.Add(n))
	p.path.LineTo(b.Add(n))
	p.arcTo(b, width/2, from, from+math.Pi)
	p.path.LineTo(a.Sub(n))
	p.arcTo(a, width/2, from+math.Pi, from+turn)
	p.path.Close()
}

// cap adds the half disc that rounds the end of a line at a, which runs in the
// direction d there.
func (p *Pen) cap(a, d f32.Point, width float32) {
	n := normal(d)
	from := angleOf(n)
	p.path.MoveTo(a.Add(n.Mul(width / 2)))
	p.arcTo(a, width/2, from, from+math.Pi)
	p.path.Close()
}

// RoundPolyline is Polyline with round ends.
func (p *Pen) RoundPolyline(pts []f32.Point, width float32) {
	p.Polyline(pts, width, false)
	if n := len(pts); n >= 2 {
		if d, _, ok := direction(pts[n-2], pts[n-1]); ok {
			p.cap(pts[n-1], d, width)
		}
		if d, _, ok := direction(pts[1], pts[0]); ok {
			p.cap(pts[0], d, width)
		}
	}
}

func angleOf(d f32.Point) float32 { return float32(math.Atan2(float64(d.Y), float64(d.X))) }

// DashedLine adds a line of dashes on pixels long and off pixels apart. A
// dash stands at both ends: the gaps are stretched to fit.
func (p *Pen) DashedLine(a, b f32.Point, width, on, off float32) {
	d, l, ok := direction(a, b)
	if !ok {
		return
	}
	gaps := math.Round(float64((l - on) / (on + off)))
	if gaps < 1 || on <= 0 {
		p.Line(a, b, width)
		return
	}
	// A line of a thousand dashes is no longer seen as dashed.
	gaps = min(gaps, 1000)
	step := (l - on) / float32(gaps)
	for i := range int(gaps) + 1 {
		s := a.Add(d.Mul(step * float32(i)))
		p.Line(s, s.Add(d.Mul(on)), width)
	}
}

// Polyline adds a line through pts with mitred corners (bevelled where very
// sharp), closed back to its start if closed.
func (p *Pen) Polyline(pts []f32.Point, width float32, closed bool) {
	n := len(pts)
	if n < 2 {
		return
	}
	h := width / 2
	at := func(i int) f32.Point { return pts[(i+n)%n] }
	// corner returns the offset from vertex i to the left edge of the line
	// for the segment starting (or ending) there.
	corner := func(i int, own f32.Point) f32.Point {
		if !closed && (i == 0 || i == n-1) {
			return own.Mul(h)
		}
		in, _, ok1 := direction(at(i-1), at(i))
		out, _, ok2 := direction(at(i), at(i+1))
		if !ok1 || !ok2 {
			return own.Mul(h)
		}
		a, b := normal(in), normal(out)
		m := a.Add(b)
		// |m|² = 2 + 2 cos(turn); the mitre is m scaled by 2h/|m|².
		q := m.X*m.X + m.Y*m.Y
		if q < 0.5 { // turns by more than about 140°
			return own.Mul(h)
		}
		return m.Mul(2 * h / q)
	}
	last := n - 1
	if closed {
		last = n
	}
	for i := range last {
		a, b := at(i), at(i+1)
		d, _, ok := direction(a, b)
		if !ok {
			continue
		}
		own := normal(d)
		ca, cb := corner(i, own), corner((i+1)%n, own)
		p.quad(a.Add(ca), b.Add(cb), b.Sub(cb), a.Sub(ca))
	}
}

// Polygon adds a closed polygon; the order of its corners does not matter.
func (p *Pen) Polygon(pts ...f32.Point) {
	if len(pts) < 3 {
		return
	}
	var area float32
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		area += a.X*b.Y - b.X*a.Y
	}
	if area >= 0 { // clockwise on the screen
		p.path.MoveTo(pts[0])
		for _, q := range pts[1:] {
			p.path.LineTo(q)
		}
	} else {
		p.path.MoveTo(pts[len(pts)-1])
		for i := len(pts) - 2; i >= 0; i-- {
			p.path.LineTo(pts[i])
		}
	}
	p.path.Close()
}

// arcTo continues the path along a circle from angle a to angle b.
// Quadratic pieces of at most 30° are off the circle by less than r/8000.
func (p *Pen) arcTo(c f32.Point, r, a, b float32) {
	n := int(math.Ceil(math.Abs(float64(b-a)) / (math.Pi / 6)))
	if n == 0 {
		return
	}
	step := float64(b-a) / float64(n)
	k := float64(r) / math.Cos(step/2)
	for i := range n {
		s, e := float64(a)+step*float64(i), float64(a)+step*float64(i+1)
		m := (s + e) / 2
		ctrl := f32.Pt(c.X+float32(k*math.Cos(m)), c.Y+float32(k*math.Sin(m)))
		p.path.QuadTo(ctrl, polar(c, r, float32(e)))
	}
}

func polar(c f32.Point, r, angle float32) f32.Point {
	s, co := math.Sincos(float64(angle))
	return f32.Pt(c.X+r*float32(co), c.Y+r*float32(s))
}

// Polar returns the place at distance r from c in the direction angle.
func Polar(c f32.Point, r, angle float32) f32.Point { return polar(c, r, angle) }

const turn = 2 * math.Pi

// Circle adds a filled circle.
func (p *Pen) Circle(c f32.Point, r float32) {
	if r <= 0 {
		return
	}
	p.path.MoveTo(polar(c, r, 0))
	p.arcTo(c, r, 0, turn)
	p.path.Close()
}

// Ring adds a circle line; r is the radius of its middle.
func (p *Pen) Ring(c f32.Point, r, width float32) {
	p.Circle(c, r+width/2)
	if in := r - width/2; in > 0 {
		p.path.MoveTo(polar(c, in, 0))
		p.arcTo(c, in, 0, -turn)
		p.path.Close()
	}
}

// Arc adds a line along a circle from angle a to angle b; r is the radius of
// its middle.
func (p *Pen) Arc(c f32.Point, r, a, b, width float32) {
	if a > b {
		a, b = b, a
	}
	if b-a >= turn {
		p.Ring(c, r, width)
		return
	}
	out, in := r+width/2, max(r-width/2, 0)
	p.path.MoveTo(polar(c, out, a))
	p.arcTo(c, out, a, b)
	p.path.LineTo(polar(c, in, b))
	p.arcTo(c, in, b, a)
	p.path.Close()
}

// Wedge adds the sector of a circle between angles a and b.
func (p *Pen) Wedge(c f32.Point, r, a, b float32) {
	if a > b {
		a, b = b, a
	}
	if b-a >= turn {
		p.Circle(c, r)
		return
	}
	p.path.MoveTo(c)
	p.path.LineTo(polar(c, r, a))
	p.arcTo(c, r, a, b)
	p.path.Close()
}

// RoundRect adds a rectangle with corners of radius r.
func (p *Pen) RoundRect(x0, y0, x1, y1, r float32) {
	r = min(r, (x1-x0)/2, (y1-y0)/2)
	if r <= 0 {
		p.quad(f32.Pt(x0, y0), f32.Pt(x1, y0), f32.Pt(x1, y1), f32.Pt(x0, y1))
		return
	}
	p.roundRect(x0, y0, x1, y1, r, false)
}

// RoundFrame adds the outline of a rounded rectangle, of the given width,
// drawn inside its edge.
func (p *Pen) RoundFrame(x0, y0, x1, y1, r, width float32) {
	r = min(r, (x1-x0)/2, (y1-y0)/2)
	p.RoundRect(x0, y0, x1, y1, r)
	x0, y0, x1, y1 = x0+width, y0+width, x1-width, y1-width
	if x1 > x0 && y1 > y0 {
		p.roundRect(x0, y0, x1, y1, max(r-width, 0), true)
	}
}

func (p *Pen) roundRect(x0, y0, x1, y1, r float32, hole bool) {
	const q = math.Pi / 2
	c := [4]f32.Point{{X: x1 - r, Y: y0 + r}, {X: x1 - r, Y: y1 - r}, {X: x0 + r, Y: y1 - r}, {X: x0 + r, Y: y0 + r}}
	if hole {
		for i := 3; i >= 0; i-- {
			a := q * float32(i)
			p.join(polar(c[i], r, a), i == 3)
			p.arcTo(c[i], r, a, a-q)
		}
	} else {
		for i := range 4 {
			a := q * float32(i-1)
			p.join(polar(c[i], r, a), i == 0)
			p.arcTo(c[i], r, a, a+q)
		}
	}
	p.path.Close()
}

func (p *Pen) join(to f32.Point, first bool) {
	if first {
		p.path.MoveTo(to)
	} else {
		p.path.LineTo(to)
	}
}

// Triangle adds a triangle of circumradius r, pointing up or down.
func (p *Pen) Triangle(c f32.Point, r float32, up bool) {
	const s, k = 0.8660254, 0.5
	if up {
		p.quad3(f32.Pt(c.X, c.Y-r), f32.Pt(c.X+s*r, c.Y+k*r), f32.Pt(c.X-s*r, c.Y+k*r))
	} else {
		p.quad3(f32.Pt(c.X, c.Y+r), f32.Pt(c.X-s*r, c.Y-k*r), f32.Pt(c.X+s*r, c.Y-k*r))
	}
}

func (p *Pen) quad3(a, b, c f32.Point) {
	p.path.MoveTo(a)
	p.path.LineTo(b)
	p.path.LineTo(c)
	p.path.Close()
}

// Cross adds an upright cross (+) with arms of length r.
func (p *Pen) Cross(c f32.Point, r, width float32) {
	p.Line(f32.Pt(c.X-r, c.Y), f32.Pt(c.X+r, c.Y), width)
	p.Line(f32.Pt(c.X, c.Y-r), f32.Pt(c.X, c.Y+r), width)
}

// Arrow adds a line from a to b with a filled head of length head at b.
func (p *Pen) Arrow(a, b f32.Point, width, head float32) {
	d, l, ok := direction(a, b)
	if !ok {
		return
	}
	head = min(head, l)
	n := normal(d).Mul(head * 0.45)
	neck := b.Sub(d.Mul(head))
	p.Line(a, neck.Add(d.Mul(head*0.1)), width)
	p.quad3(neck.Add(n), b, neck.Sub(n))
}
