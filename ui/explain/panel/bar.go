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
	// Large text is made smaller where the bar would take more than two rows:
	// the room is the picture's.
	g := gtx
	var m op.MacroOp
	for shrink, worded := float32(1), true; ; {
		g.Metric.PxPerSp = gtx.Metric.PxPerSp * shrink
		row := g.Sp(draw.Compact) + g.Dp(10)
		m = op.Record(gtx.Ops)
		height = x.flow(g, area.Dx(), row, worded)
		if height <= row || !worded && (height <= 2*row || shrink <= 0.6) {
			break
		}
		m.Stop()
		if worded { // the words are there where they cost no row
			worded = false
			continue
		}
		shrink -= 0.1
	}
	parts := m.Stop()
	defer op.Offset(area.Min).Push(gtx.Ops).Pop()
	size := image.Pt(area.Dx(), height)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Explaining").Add(gtx.Ops)
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.AccentLow)
	draw.Fill(gtx.Ops, image.Rect(0, 0, size.X, gtx.Dp(2)), th.Accent)
	parts.Add(gtx.Ops)
	return height
}

// flow lays the parts of the bar out in rows and returns their height; worded has shapes
// named beside their icons.
func (x *Room) flow(gtx layout.Context, width, row int, worded bool) int {
	pad, gap := gtx.Dp(8), gtx.Dp(14)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(width-2*pad, 0), row)}
	at := image.Pt(pad, 0)
	for i, parts := range x.groups(worded) {
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
func (x *Room) groups(worded bool) [][]layout.Widget {
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
	shape := func(id, name, word string, icon draw.Icon, toggle, on bool) layout.Widget {
		if !worded {
			word = ""
		}
		return button(id, draw.ButtonStyle{Label: word, Name: name, Icon: icon, Toggle: toggle, On: on})
	}
	tool, stroke := x.drawings().Tool(), x.drawings().Stroke()
	return [][]layout.Widget{
		lines,
		{
			button("draw line", draw.ButtonStyle{Label: "Line", Icon: draw.IconLine, Toggle: true, On: tool == annotations.DrawnLine}),
			button("draw angle", draw.ButtonStyle{Label: "Angle", Icon: draw.IconAngle, Toggle: true, On: tool == annotations.DrawnAngle}),
			button("write note", draw.ButtonStyle{Label: "Note", Icon: draw.IconNote, Toggle: true, On: tool == annotations.DrawnNote}),
			shape("draw arrow", "Arrow", "Arrow", draw.IconArrow, true, tool == annotations.DrawnArrow),
			shape("draw circle", "Circle", "Circle", draw.IconCircle, true, tool == annotations.DrawnCircle),
			shape("draw box", "Box", "Box", draw.IconFrame, true, tool == annotations.DrawnBox),
			shape("draw freehand", "Freehand", "Freehand", draw.IconFreehand, true, tool == annotations.DrawnFreehand),
			shape("next stroke", "Stroke: "+strokeNames[stroke], bench.Title(strokeNames[stroke]), strokeIcons[stroke], false, false),
		},
		{
			button("copy still", draw.ButtonStyle{Label: "Copy", Icon: draw.IconCopy}),
			button("save still", draw.ButtonStyle{Label: "Save …", Icon: draw.IconPicture}),
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
