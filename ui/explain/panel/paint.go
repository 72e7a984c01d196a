package panel

import (
	"image"
	"math"
	"slices"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
)

// canvas is a stage as what figures are laid out for.
func (x *Room) canvas(gtx layout.Context, stage int) *explain.Canvas {
	size, port := x.doors.Size(stage), x.host.Session().Show().Stages[stage].Port
	corner := port.ToScreen(bench.PicturePt{}, size)
	return &explain.Canvas{
		Scale: port.Scale, Left: corner.X, Top: corner.Y,
		Width: size.W, Height: size.H, Unit: float64(gtx.Metric.PxPerDp),
		Measure: func(s string) (w, h float64) {
			sz, _ := x.host.Theme().TextSize(gtx, draw.Body, font.Normal, s)
			return float64(sz.X), float64(sz.Y)
		},
	}
}

// Paint draws what explains the frame a stage shows on its picture; inside says
// that the pointer is there.
func (x *Room) Paint(gtx layout.Context, stage int, inside bool) {
	b := x.drawings()
	if b.Tool() != 0 && inside {
		pointer.CursorCrosshair.Add(gtx.Ops)
	}
	f := *x.frame(stage)
	if d, ok := b.Begun(stage); ok {
		if d.Kind == annotations.DrawnNote { // nothing is typed yet
			d.Text = "…"
		}
		f.Drawings = append(slices.Clone(f.Drawings), d)
	}
	c := x.canvas(gtx, stage)
	l := c.Lay(f.Figure(x.lines))
	x.layouts[stage] = l
	for k := range l.Shapes {
		fillShape(gtx, &l.Shapes[k])
	}
	x.layoutHandles(gtx, stage, c)
	for k := range l.Plates {
		layoutPlate(gtx, x.host.Theme(), &l.Plates[k])
	}
}

func point(p explain.Pt) f32.Point { return f32.Pt(float32(p.X), float32(p.Y)) }

// fillShape fills one shape of a layout.
func fillShape(gtx layout.Context, s *explain.Shape) {
	if len(s.Segments)+len(s.Discs)+len(s.Rings)+len(s.Bows)+len(s.Triangles) == 0 {
		return
	}
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	for _, g := range s.Segments {
		pen.Line(point(g.A), point(g.B), float32(g.Width))
	}
	for _, d := range s.Discs {
		pen.Circle(point(d.At), float32(d.Radius))
	}
	for _, r := range s.Rings {
		pen.Ring(point(r.At), float32(r.Radius), float32(r.Width))
	}
	for _, b := range s.Bows {
		pen.Arc(point(b.At), float32(b.Radius), float32(b.From), float32(b.From+b.Turn), float32(b.Width))
	}
	for _, t := range s.Triangles {
		pen.Polygon(point(t[0]), point(t[1]), point(t[2]))
	}
	pen.Fill(s.Colour)
}

// layoutPlate draws a text on its ground.
func layoutPlate(gtx layout.Context, th *draw.Theme, p *explain.Plate) {
	r := image.Rect(int(math.Round(p.Min.X)), int(math.Round(p.Min.Y)), int(math.Round(p.Max.X)), int(math.Round(p.Max.Y)))
	rad := gtx.Dp(4)
	draw.RoundRect(gtx.Ops, r, rad, explain.OnPicture.Plate)
	draw.Fill(gtx.Ops, image.Rect(r.Min.X, r.Min.Y+rad, r.Min.X+max(gtx.Dp(2), 1), r.Max.Y-rad), explain.OnPicture.Inks[p.Ink])
	for k, s := range p.Lines {
		at := f32.Pt(float32(p.Text.X), float32(p.Text.Y+float64(k)*p.LineHeight))
		th.TextAt(gtx, at, 0, 0, draw.Body, font.Normal, explain.OnPicture.Text, s)
	}
}

// layoutHandles rings the points by which the drawings on a stage are moved; the
// one in hand is filled.
func (x *Room) layoutHandles(gtx layout.Context, stage int, c *explain.Canvas) {
	held, handle, holding := x.drawings().Held()
	r, w := float32(gtx.Dp(7)), float32(gtx.Dp(2))
	sw, st := x.host.Session().Bench.Swing(), &x.host.Session().Show().Stages[stage]
	if x.host.Session().Show().SwingOn(stage) != sw {
		return
	}
	for k := range sw.Drawings {
		d := &sw.Drawings[k]
		if !d.On(st.Clip, st.Frame) {
			continue
		}
		inHand := holding && held.ID == d.ID
		if d.Kind == annotations.DrawnFreehand && !inHand {
			continue // as many points as a line
		}
		for n, p := range d.Points {
			at := point(c.ToOutput(p))
			if !inHand {
				draw.Circle(gtx.Ops, at, float32(gtx.Dp(3)), explain.OnPicture.Inks[explain.InkOf(d.Stroke)])
				continue
			}
			draw.Ring(gtx.Ops, at, r, w*2, explain.OnPicture.Halo)
			draw.Ring(gtx.Ops, at, r, w, draw.DarkPalette().Accent)
			if n == handle {
				draw.Circle(gtx.Ops, at, r-w, draw.DarkPalette().Accent)
			}
		}
	}
}
