package explain

import (
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Path is a line through places, in upright pixels.
type Path struct {
	Points []geometry.ImagePt
	Closed bool
	Ink    Ink
	Stroke annotations.Stroke
}

// InkOf is the ink of a coach's own drawing: each stroke has one, so that a stroke is
// known by either.
func InkOf(s annotations.Stroke) Ink {
	switch s {
	case annotations.DashedStroke:
		return OwnDashedInk
	case annotations.DottedStroke:
		return OwnDottedInk
	}
	return OwnInk
}

// circleCorners is how many corners stand for a circle that is drawn.
const circleCorners = 72

// outline returns the line of a drawing, and whether it is closed; nil for a note.
func outline(d *annotations.Drawing) (line []geometry.ImagePt, closed bool) {
	p := d.Points
	switch d.Kind {
	case annotations.DrawnCircle:
		r := dist(p[0], p[1])
		for i := range circleCorners {
			s, c := math.Sincos(2 * math.Pi * float64(i) / circleCorners)
			line = append(line, geometry.ImagePt{X: p[0].X + r*c, Y: p[0].Y + r*s})
		}
		return line, true
	case annotations.DrawnBox:
		return []geometry.ImagePt{p[0], {X: p[1].X, Y: p[0].Y}, p[1], {X: p[0].X, Y: p[1].Y}}, true
	case annotations.DrawnNote:
		return nil, false
	}
	return p, false
}

// addShape adds an arrow, a circle, a box or a line drawn freehand, and what it is called.
func (g *Figure) addShape(d *annotations.Drawing) {
	ink := InkOf(d.Stroke)
	line, closed := outline(d)
	at, toward := line[0], geometry.ImagePt{Y: -1}
	switch d.Kind {
	case annotations.DrawnArrow:
		g.Strokes = append(g.Strokes, Stroke{From: d.Points[0], To: d.Points[1], Ink: ink, Arrow: true, Dashed: d.Stroke == annotations.DashedStroke, Dotted: d.Stroke == annotations.DottedStroke})
		toward = sub(d.Points[0], d.Points[1])
	default:
		g.Paths = append(g.Paths, Path{Points: line, Closed: closed, Ink: ink, Stroke: d.Stroke})
		for _, p := range line { // the topmost place
			if p.Y < at.Y {
				at = p
			}
		}
	}
	if d.Text != "" {
		g.Labels = append(g.Labels, Label{At: at, Toward: toward, Text: d.Text, Ink: ink, Drawing: d.ID})
	}
}

// The measures of strokes, in units.
const (
	dotStep  = 7.0 // from one dot of a dotted stroke to the next
	dotWidth = 3.6
)

// path lays a path out: its halo is one line, whatever the stroke.
func (c *Canvas) path(p *Path, halo, ink *Shape, h float64) {
	pts := make([]Pt, 0, len(p.Points)+1)
	for _, q := range p.Points {
		pts = append(pts, c.ToOutput(q))
	}
	if p.Closed && len(pts) > 0 {
		pts = append(pts, pts[0])
	}
	w := strokeWidth * c.Unit
	for i := 1; i < len(pts); i++ {
		halo.Segments = append(halo.Segments, Segment{pts[i-1], pts[i], w + h})
		halo.Discs = append(halo.Discs, Disc{pts[i], (w + h) / 2})
	}
	switch p.Stroke {
	case annotations.DashedStroke:
		c.along(pts, dashOn*c.Unit, dashOff*c.Unit, func(a, b Pt) { ink.Segments = append(ink.Segments, Segment{a, b, w}) })
	case annotations.DottedStroke:
		c.dots(pts, ink)
	default:
		for i := 1; i < len(pts); i++ {
			ink.Segments = append(ink.Segments, Segment{pts[i-1], pts[i], w})
			ink.Discs = append(ink.Discs, Disc{pts[i], w / 2})
		}
	}
}

// dots sets dots along a line.
func (c *Canvas) dots(pts []Pt, ink *Shape) {
	r := dotWidth / 2 * c.Unit
	first := true
	c.along(pts, 1e-3, dotStep*c.Unit, func(a, _ Pt) {
		ink.Discs = append(ink.Discs, Disc{a, r})
		first = false
	})
	if first && len(pts) > 0 {
		ink.Discs = append(ink.Discs, Disc{pts[0], r})
	}
}

// along walks along a line and calls piece for each straight piece of it that lies in a
// dash. It makes maxDashes of them at most.
func (c *Canvas) along(pts []Pt, on, off float64, piece func(a, b Pt)) {
	in, left, count := true, on, 0
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		for {
			n := math.Hypot(b.X-a.X, b.Y-a.Y)
			if n < left || n == 0 {
				if in && n > 0 {
					piece(a, b)
				}
				left -= n
				break
			}
			t := left / n
			m := Pt{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
			if in {
				piece(a, m)
			}
			a, in = m, !in
			if left = off; in {
				left = on
				if count++; count > maxDashes {
					return
				}
			}
		}
	}
}
