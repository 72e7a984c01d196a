package panel

import (
	"fmt"
	"image"

	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
)

// Bar draws the bar along the top of an area and returns its height, 0 where
// nothing is explained.
func (x *Room) Bar(gtx layout.Context, area image.Rectangle) (height int) {
	if !x.On() {
		return 0
	}
	th := x.host.Theme()
	// Words are left out where that saves a row, and large text is made smaller where
	// the bar would take more than two: the room is the picture's.
	var parts op.CallOp
	fits := func(rows int, words wordiness, shrink float32) bool {
		g := gtx
		g.Metric.PxPerSp *= shrink
		row := g.Sp(draw.Compact) + g.Dp(10)
		m := op.Record(gtx.Ops)
		height = x.flow(g, area.Dx(), row, words)
		parts = m.Stop()
		return height <= rows*row
	}
	if !fits(1, allWords, 1) && !fits(1, noShapes, 1) && !fits(1, fewWords, 1) && !fits(2, allWords, 1) {
		for shrink := float32(1); !fits(2, fewWords, shrink) && shrink > 0.6; shrink -= 0.1 {
		}
	}
	defer op.Offset(area.Min).Push(gtx.Ops).Pop()
	size := image.Pt(area.Dx(), height)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Explaining").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.AccentLow)
	draw.Fill(gtx.Ops, image.Rect(0, 0, size.X, gtx.Dp(2)), th.Accent)
	parts.Add(gtx.Ops)
	return height
}

// wordiness is which buttons of the bar have words beside their icons.
type wordiness uint8

const (
	fewWords wordiness = iota
	noShapes           // not those of shapes
	allWords
)

// flow lays the parts of the bar out in rows and returns their height.
func (x *Room) flow(gtx layout.Context, width, row int, words wordiness) int {
	pad, gap := gtx.Dp(8), gtx.Dp(14)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(width-2*pad, 0), row)}
	at := image.Pt(pad, 0)
	for i, parts := range x.groups(words) {
		if i > 0 {
			at.X += gap
		}
		for k, part := range parts {
			if k > 0 {
				at.X += gtx.Dp(draw.Gap)
			}
			r := op.Record(gtx.Ops)
			d := part(g)
			c := r.Stop()
			if at.X > pad && at.X+d.Size.X > width-pad {
				at = image.Pt(pad, at.Y+row)
			}
			off := op.Offset(at.Add(image.Pt(0, (row-d.Size.Y)/2))).Push(gtx.Ops)
			c.Add(gtx.Ops)
			off.Pop()
			at.X += d.Size.X
		}
	}
	return at.Y + row
}

// lineWords are the lines as their buttons name them.
var lineWords = [explain.NumLines]string{"Legs", "Hips", "Shoulders", "Feet", "Shaft plane", "Trunk"}

// The strokes as their button shows them.
var (
	strokeNames = [...]string{annotations.SolidStroke: "solid", annotations.DashedStroke: "dashed", annotations.DottedStroke: "dotted"}
	strokeIcons = [...]draw.Icon{annotations.SolidStroke: draw.IconSolid, annotations.DashedStroke: draw.IconDashed, annotations.DottedStroke: draw.IconDotted}
)

// groups are the parts of the bar: the lines, the tools, and what is done
// with the picture.
func (x *Room) groups(words wordiness) [][]layout.Widget {
	button := func(id string, s draw.ButtonStyle) layout.Widget {
		s.Compact, s.TipSide = true, draw.TipBelowStart
		return func(gtx layout.Context) layout.Dimensions { return x.doors.Button(gtx, id, s) }
	}
	lines := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		return x.host.Theme().Label(gtx, draw.Small, font.SemiBold, x.host.Theme().Accent, "Explain")
	}}
	for l := range explain.Line(explain.NumLines) {
		lines = append(lines, button(l.String(), draw.ButtonStyle{Label: lineWords[l], Toggle: true, On: x.lines[l]}))
	}
	// brief is a button whose word is left out where words has no more than that.
	brief := func(id string, upto wordiness, word string, s draw.ButtonStyle) layout.Widget {
		if words > upto {
			s.Label = word
		}
		return button(id, s)
	}
	tool, stroke := x.drawings().Tool(), x.drawings().Stroke()
	return [][]layout.Widget{
		lines,
		{
			button("draw line", draw.ButtonStyle{Label: "Line", Icon: draw.IconLine, Toggle: true, On: tool == annotations.DrawnLine}),
			button("draw angle", draw.ButtonStyle{Label: "Angle", Icon: draw.IconAngle, Toggle: true, On: tool == annotations.DrawnAngle}),
			button("write note", draw.ButtonStyle{Label: "Note", Icon: draw.IconNote, Toggle: true, On: tool == annotations.DrawnNote}),
			brief("draw arrow", noShapes, "Arrow", draw.ButtonStyle{Name: "Arrow", Icon: draw.IconArrow, Toggle: true, On: tool == annotations.DrawnArrow}),
			brief("draw circle", noShapes, "Circle", draw.ButtonStyle{Name: "Circle", Icon: draw.IconCircle, Toggle: true, On: tool == annotations.DrawnCircle}),
			brief("draw box", noShapes, "Box", draw.ButtonStyle{Name: "Box", Icon: draw.IconFrame, Toggle: true, On: tool == annotations.DrawnBox}),
			brief("draw freehand", noShapes, "Freehand", draw.ButtonStyle{Name: "Freehand", Icon: draw.IconFreehand, Toggle: true, On: tool == annotations.DrawnFreehand}),
			brief("next stroke", noShapes, bench.Title(strokeNames[stroke]), draw.ButtonStyle{Name: "Stroke: " + strokeNames[stroke], Icon: strokeIcons[stroke]}),
		},
		{
			brief("copy still", fewWords, "Copy", draw.ButtonStyle{Icon: draw.IconCopy}),
			brief("save still", fewWords, "Save …", draw.ButtonStyle{Icon: draw.IconPicture}),
			button("explain", draw.ButtonStyle{Label: "Back to marks", Name: "Back to marks", Icon: draw.IconClose}),
		},
	}
}

// Layout stands in the guide's place while explaining: the text of the
// drawing in hand, or what is still to be done for the lines.
func (x *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := x.host.Theme()
	p := kit.BeginGuide(gtx, th)
	d, _, ok := x.drawings().Held()
	if ok {
		title, hint := bench.Title(d.Kind.String())+" in hand", "Enter, then its name, if it has one"
		if d.Kind == annotations.DrawnNote {
			title, hint = "Note: what does it say?", "type it, then Enter"
		}
		p.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Body, font.SemiBold, th.Text, title)
		})
		p.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Field(gtx, &x.text, draw.FieldStyle{Name: "Text of the drawing", Hint: hint})
		})
		p.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Label(gtx, draw.Small, font.Normal, th.Dim, "It stays "+explain.StayWords(d.Stay)+".")
		})
		return p.End(x.doors.Buttons, kit.GuideButton{ID: "stay", Label: "Stays …"}, kit.GuideButton{ID: "stay to here", Label: "To here"},
			kit.GuideButton{ID: "delete", Label: "Delete"}, kit.GuideButton{ID: "let go", Label: "Done"})
	}
	title, text := x.guideText()
	p.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Body, font.SemiBold, th.Text, title)
	})
	p.Add(func(gtx layout.Context) layout.Dimensions {
		gtx.Constraints.Max.Y = p.Room()
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
	})
	if len(x.host.Session().Bench.Swing().Drawings) > 0 {
		return p.End(x.doors.Buttons, kit.GuideButton{ID: "previous drawn", Label: "Drawn before"}, kit.GuideButton{ID: "next drawn", Label: "Drawn next"})
	}
	return p.End(x.doors.Buttons)
}

// guideText is what there is to say while nothing is in hand.
func (x *Room) guideText() (title, text string) {
	switch x.drawings().Tool() {
	case annotations.DrawnLine:
		return "Draw the line", "Drag from one end to the other, or click both. Esc puts the tool down."
	case annotations.DrawnAngle:
		return "Draw the angle", "Click one end, the corner, the other end. It is read in the picture: what the camera saw, not the joint itself."
	case annotations.DrawnNote:
		return "Place the note", "Click where it belongs, then type it."
	case annotations.DrawnArrow:
		return "Draw the arrow", "Drag from its end to its head, or click both. Esc puts the tool down."
	case annotations.DrawnCircle:
		return "Draw the circle", "Drag from the middle outward. Esc puts the tool down."
	case annotations.DrawnBox:
		return "Draw the box", "Drag from corner to corner. Esc puts the tool down."
	case annotations.DrawnFreehand:
		return "Draw freehand", "Draw with the button held down; each line is a step of undo. Esc puts the pen down."
	}
	on, drawn := 0, 0
	first := ""
	for l := range explain.Line(explain.NumLines) {
		if !x.lines[l] {
			continue
		}
		on++
		if why := x.lacks(l); why == "" {
			drawn++
		} else if first == "" {
			first = why
		}
	}
	switch {
	case on == 0:
		return "Explain this frame", "Switch on the lines that matter, or draw your own. Numbers stand beside lines that are measured, each with its 95 % interval."
	case first != "":
		return fmt.Sprintf("%d of %d lines drawn", drawn, on), bench.Title(first)
	}
	return "Explain this frame", "Click a drawing of yours to move it or change its text. Numbers stand beside lines that are measured, with their 95 % interval."
}
