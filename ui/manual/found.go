package manual

import (
	"fmt"
	"image"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"

	"turngauge/annotations/shots"
	wording "turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// Found draws what is found for a question, as wide as the constraints allow.
func Found(gtx layout.Context, th *draw.Theme, question string) layout.Dimensions {
	found := Find(question)
	text := fmt.Sprintf("Nothing here is called %q. Try the part of the body, the club, or what it does: hips, knees, tempo, path.", question)
	if len(found) == 0 {
		return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim, text)
	}
	return columns(gtx, len(found), func(gtx layout.Context, i int) layout.Dimensions { return entry(gtx, th, found[i]) })
}

// measurePicture draws what a measure is read from.
func measurePicture(name string) picture {
	return func(gtx layout.Context, th *draw.Theme, side int) {
		if s, ok := sketchOf(name); ok {
			layoutSketch(gtx, th, model(), s, side)
		} else {
			timeline(gtx, th, side)
		}
	}
}

// positionPicture draws the golfer at a key position, the club the accent.
func positionPicture(p geometry.PositionName) picture {
	return func(gtx layout.Context, th *draw.Theme, side int) {
		layoutSketch(gtx, th, model(), sketch{plane: front, at: p, lines: club}, side)
	}
}

// pointPicture draws where a point is marked.
func pointPicture(p geometry.Point) picture {
	return func(gtx layout.Context, th *draw.Theme, side int) {
		draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
		pad := gtx.Dp(6)
		put(gtx, side/4, pad, side/2, func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Max.Y = side - 2*pad
			return th.BodyDiagram(gtx, p, false)
		})
	}
}

// verdictPicture draws a verdict's sign with its interval over the target range.
func verdictPicture(v draw.Verdict) picture {
	return func(gtx layout.Context, th *draw.Theme, side int) {
		draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
		f, thin := float32(side), float32(gtx.Dp(1))
		draw.Fill(gtx.Ops, image.Rect(side*35/100, side/8, side*65/100, side*7/8), th.Band)
		at, reach := map[draw.Verdict]float32{draw.Within: 0.5, draw.Below: 0.2, draw.Above: 0.8, draw.NotBelow: 0.62, draw.NotAbove: 0.38, draw.CantTell: 0.5}[v], f*0.1
		switch v {
		case draw.CantTell:
			reach = f * 0.36
		case draw.NotBelow, draw.NotAbove:
			reach = f * 0.2
		}
		draw.Line(gtx.Ops, f32.Pt(at*f-reach, f/2), f32.Pt(at*f+reach, f/2), 3*thin, th.VerdictColour(v))
		th.Verdict(gtx.Ops, f32.Pt(at*f, f/2), 7*thin, v)
	}
}

// shotPicture draws what a reading of a shot is: from above along the target line, on
// the face, or from the side.
func shotPicture(r shots.Reading) picture {
	return func(gtx layout.Context, th *draw.Theme, side int) {
		draw.RoundRect(gtx.Ops, image.Rect(0, 0, side, side), gtx.Dp(draw.Radius), th.Well)
		f, thin := float32(side), float32(gtx.Dp(1))
		at := func(x, y float32) f32.Point { return f32.Pt(x*f, y*f) }
		arrow := func(from, to f32.Point) {
			var pen draw.Pen
			pen.Begin(gtx.Ops)
			pen.RoundLine(from, to, 2*thin)
			pen.Arrow(from, to, 2*thin, 8*thin)
			pen.Fill(th.Accent)
		}
		target := func() { draw.DashedLine(gtx.Ops, at(0.1, 0.6), at(0.9, 0.6), 1.5*thin, 5*thin, 4*thin, th.Dim) }
		ball := func(x, y float32) { draw.Circle(gtx.Ops, at(x, y), 4*thin, th.Text) }
		switch r {
		case shots.StrikeAcross, shots.StrikeUp:
			draw.RoundRect(gtx.Ops, image.Rect(side/6, side/3, side*5/6, side*2/3), side/8, th.Edge)
			ball(0.5, 0.5)
			if r == shots.StrikeAcross {
				arrow(at(0.5, 0.5), at(0.74, 0.5))
			} else {
				arrow(at(0.5, 0.5), at(0.5, 0.36))
			}
		case shots.ClubPath, shots.FaceToPath, shots.StartLine:
			target()
			if r == shots.StartLine {
				arrow(at(0.35, 0.6), at(0.8, 0.42))
			} else {
				arrow(at(0.1, 0.72), at(0.7, 0.48))
			}
			if r == shots.FaceToPath {
				draw.Line(gtx.Ops, at(0.36, 0.46), at(0.32, 0.74), 3*thin, th.Outside)
			}
			ball(0.35, 0.6)
		case shots.Carry, shots.Offline:
			target()
			ball(0.12, 0.6)
			draw.Ring(gtx.Ops, at(0.8, 0.35), 4*thin, 2*thin, th.Text)
			if r == shots.Carry {
				arrow(at(0.12, 0.6), at(0.78, 0.36))
			} else {
				arrow(at(0.8, 0.6), at(0.8, 0.4))
			}
		default: // from the side
			draw.Line(gtx.Ops, at(0.05, 0.75), at(0.95, 0.75), thin, th.Line)
			switch r {
			case shots.AttackAngle, shots.ClubSpeed:
				arrow(at(0.1, 0.55), at(0.38, 0.7))
			case shots.DynamicLoft:
				draw.Line(gtx.Ops, at(0.36, 0.74), at(0.28, 0.5), 3*thin, th.Outside)
			case shots.BackSpin, shots.SpinAxis:
				var pen draw.Pen
				pen.Begin(gtx.Ops)
				pen.Arc(at(0.42, 0.71), 12*thin, -3, -0.2, 2*thin)
				pen.Fill(th.Accent)
			default:
				arrow(at(0.42, 0.71), at(0.85, 0.4))
			}
			ball(0.42, 0.71)
		}
	}
}

// entry is one label: its picture, name and meaning, how it is defined, its sign and
// its source.
func entry(gtx layout.Context, th *draw.Theme, l *Label) layout.Dimensions {
	side, gap := gtx.Sp(sketchSide), gtx.Dp(12)
	l.picture(gtx, th, side)
	x, y := side+gap, 0
	say := func(w font.Weight, dim bool, s string) {
		if s == "" {
			return
		}
		c := th.Text
		if dim {
			c = th.Dim
		}
		y += put(gtx, x, y, gtx.Constraints.Max.X-x, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, w, c, s)
		}).Size.Y + gtx.Sp(3)
	}
	name := l.Name
	if l.Kind != measureKind && l.Kind != wordKind {
		name += ", " + string(l.Kind)
	}
	say(font.SemiBold, false, bench.Title(name))
	say(font.Normal, false, l.Plain)
	if l.Exact != "" {
		say(font.Normal, true, "Exactly: "+l.Exact+".")
	}
	if l.Positive != "" {
		say(font.Normal, true, wording.Meaning(l.Name, l.Positive))
	}
	if l.Source != "" {
		say(font.Normal, true, "Source: "+l.Source)
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, max(side, y))}
}
