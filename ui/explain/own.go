package explain

import (
	"math"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// usualClickSDPx is the standard deviation of one coordinate of a place put
// down by hand, pixels: this project's own figure for marks.
const usualClickSDPx = 2.5

// z95 bounds the middle 95 % of a normal distribution.
const z95 = 1.959964

// Reading is an angle read in the picture.
type Reading struct {
	Degrees float64 // 0 to 180
	Half    float64 // half its 95 % interval, degrees
}

// ReadAngle returns the angle at corner between the directions to two ends, all
// in pixels of the picture, and half its 95 % interval where each coordinate has
// the standard deviation sdPx, to first order: a change of the direction to an
// end at distance a is a change across it divided by a. It is an angle of what
// the camera saw: the body's own differs unless it lies in the plane of the
// picture. ok is false where an end lies on the corner.
func ReadAngle(end, corner, other geometry.ImagePt, sdPx float64) (r Reading, ok bool) {
	u, v := sub(end, corner), sub(other, corner)
	a, b := math.Hypot(u.X, u.Y), math.Hypot(v.X, v.Y)
	if a < 1e-6 || b < 1e-6 {
		return Reading{}, false
	}
	signed := math.Atan2(u.X*v.Y-u.Y*v.X, u.X*v.X+u.Y*v.Y)
	// The gradients of the two directions by their ends; the corner's is minus
	// their difference.
	gu := geometry.ImagePt{X: -u.Y / (a * a), Y: u.X / (a * a)}
	gv := geometry.ImagePt{X: -v.Y / (b * b), Y: v.X / (b * b)}
	gc := sub(gv, gu)
	variance := 1/(a*a) + 1/(b*b) + gc.X*gc.X + gc.Y*gc.Y
	const degree = 180 / math.Pi
	return Reading{Degrees: math.Abs(signed) * degree, Half: z95 * sdPx * math.Sqrt(variance) * degree}, true
}

// String writes the reading: "123° ± 2 in the picture".
func (r Reading) String() string {
	// An interval is never written as nought.
	return words.Exact(geometry.Degrees, false).Whole().With(r.Degrees, math.Max(math.Round(r.Half), 1)) + " in the picture"
}

// arcShare is the radius of an angle's arc as a fraction of its shorter arm.
const arcShare = 0.35

// addDrawing adds one of the coach's own drawings.
func (g *Figure) addDrawing(d *annotations.Drawing, sdPx float64) {
	if sdPx == 0 {
		sdPx = usualClickSDPx
	}
	p, ink := d.Points, InkOf(d.Stroke)
	switch d.Kind {
	case annotations.DrawnLine:
		g.Strokes = append(g.Strokes, drawn(d, p[0], p[1]))
		if d.Text != "" {
			across := geometry.ImagePt{X: p[1].Y - p[0].Y, Y: p[0].X - p[1].X}
			g.Labels = append(g.Labels, Label{At: along(p[0], p[1], 0.5), Toward: across, Text: d.Text, Ink: ink, Drawing: d.ID})
		}
	case annotations.DrawnAngle:
		g.addAngle(d, sdPx)
	case annotations.DrawnNote:
		g.Dots = append(g.Dots, Dot{p[0], ink, false})
		g.Labels = append(g.Labels, Label{At: p[0], Toward: geometry.ImagePt{X: 1}, Text: d.Text, Ink: ink, Fixed: true, Drawing: d.ID})
	default:
		g.addShape(d)
	}
}

// drawn is a straight stroke of a coach's own drawing.
func drawn(d *annotations.Drawing, from, to geometry.ImagePt) Stroke {
	return Stroke{From: from, To: to, Ink: InkOf(d.Stroke), Dashed: d.Stroke == annotations.DashedStroke, Dotted: d.Stroke == annotations.DottedStroke}
}

func (g *Figure) addAngle(d *annotations.Drawing, sdPx float64) {
	end, corner, other := d.Points[0], d.Points[1], d.Points[2]
	g.Strokes = append(g.Strokes, drawn(d, corner, end), drawn(d, corner, other))
	r, ok := ReadAngle(end, corner, other, sdPx)
	if !ok {
		return
	}
	u, v := sub(end, corner), sub(other, corner)
	from := math.Atan2(u.Y, u.X)
	turn := math.Remainder(math.Atan2(v.Y, v.X)-from, 2*math.Pi)
	radius := arcShare * math.Min(dist(end, corner), dist(other, corner))
	g.Arcs = append(g.Arcs, Arc{Centre: corner, Radius: radius, From: from, Turn: turn, Ink: InkOf(d.Stroke)})
	s, c := math.Sincos(from + turn/2)
	g.Labels = append(g.Labels, Label{
		At: geometry.ImagePt{X: corner.X + radius*c, Y: corner.Y + radius*s}, Toward: geometry.ImagePt{X: c, Y: s},
		Text: d.Text, Value: r.String(), Ink: InkOf(d.Stroke), Drawing: d.ID,
	})
}
