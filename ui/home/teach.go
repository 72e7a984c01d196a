package home

import (
	"image"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/manual"
)

// lessonOfHome is one of the three things that the first window teaches.
type lessonOfHome struct {
	title, text string
	picture     func(gtx layout.Context, th *draw.Theme, size image.Point)
}

// homeLessons say how a swing is filmed, marked and read. The distance and the
// height of the phone are common practice, no source; the fit takes any.
var homeLessons = [...]lessonOfHome{
	{"Film", "Two phones on stands, at hip height, some four metres away: one looks at the chest, one along the target line. A stick on the ground tells where they stood.", manual.Filming},
	{"Mark", "Seven key positions, proposed from sound and motion. The program asks for the point that helps most, and says why.", drawMarking},
	{"Read", "Every number has its interval, and a verdict only where that is certain. What is not measured says what to mark.", drawReading},
}

// layoutTeach draws the three lessons side by side; it takes no room where
// there is not enough.
func (r *Room) layoutTeach(gtx layout.Context, height int) layout.Dimensions {
	th := r.host.Theme()
	gap, pad := gtx.Dp(16), gtx.Dp(14)
	w := (gtx.Constraints.Max.X - (len(homeLessons)-1)*gap) / len(homeLessons)
	picture := image.Pt(w-2*pad, gtx.Sp(96))
	var calls [len(homeLessons)]op.CallOp
	tall := 0
	for i, l := range homeLessons {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w-2*pad, 1<<16)}
		m := op.Record(gtx.Ops)
		l.picture(g, th, picture)
		col := kit.Column{Gtx: g, Gap: gtx.Dp(4)}
		off := op.Offset(image.Pt(0, picture.Y+gtx.Dp(10))).Push(gtx.Ops)
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Body, font.SemiBold, th.Text, l.title)
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, l.text)
		})
		off.Pop()
		calls[i] = m.Stop()
		tall = max(tall, picture.Y+gtx.Dp(10)+col.Height()+2*pad)
	}
	if tall > height || w < gtx.Sp(180) {
		return layout.Dimensions{}
	}
	for i := range calls {
		off := op.Offset(image.Pt(i*(w+gap), 0)).Push(gtx.Ops)
		draw.RoundRect(gtx.Ops, image.Rect(0, 0, w, tall), gtx.Dp(draw.Radius), th.Panel)
		in := op.Offset(image.Pt(pad, pad)).Push(gtx.Ops)
		calls[i].Add(gtx.Ops)
		in.Pop()
		off.Pop()
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, tall)}
}

// drawMarking shows the body with the point that is asked for.
func drawMarking(gtx layout.Context, th *draw.Theme, size image.Point) {
	defer op.Offset(image.Pt((size.X-size.Y/2)/2, 0)).Push(gtx.Ops).Pop()
	gtx.Constraints = layout.Constraints{Max: size}
	th.BodyDiagram(gtx, geometry.LeadHip, false)
}

// drawReading shows numbers as the sheet does: each verdict once.
func drawReading(gtx layout.Context, th *draw.Theme, size image.Point) {
	s := float32(size.Y) / 96
	w := min(float32(size.X), 200*s)
	x0 := (float32(size.X) - w) / 2
	for i, row := range [...]struct {
		at, half float32
		verdict  draw.Verdict
	}{{0.52, 0.1, draw.Within}, {0.12, 0.08, draw.Below}, {0.36, 0.24, draw.CantTell}} {
		y := (14 + 32*float32(i)) * s
		scale := w - 28*s
		at := func(v float32) float32 { return x0 + scale*v }
		var p draw.Pen
		p.Begin(gtx.Ops)
		p.RoundRect(x0, y-s, x0+scale, y+s, s)
		p.Fill(th.Track)
		p.Begin(gtx.Ops)
		p.RoundRect(at(0.36), y-7*s, at(0.7), y+7*s, 2*s)
		p.Fill(th.Band)
		p.Begin(gtx.Ops)
		p.RoundRect(at(row.at-row.half), y-s, at(row.at+row.half), y+s, 0)
		p.Circle(f32.Pt(at(row.at), y), 4.4*s)
		p.Fill(th.Text)
		th.Verdict(gtx.Ops, f32.Pt(x0+w-7*s, y), 6*s, row.verdict)
	}
}
