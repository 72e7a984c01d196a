package draw

import (
	"image"

	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
	"gioui.org/widget"
)

// Field is the state of a one-line text field. The zero value is ready to
// use. It must not be copied.
type Field struct {
	widget.Editor
}

// Entered reports whether Enter was pressed in the field since the last frame.
func (f *Field) Entered(gtx layout.Context) bool {
	entered := false
	for {
		e, ok := f.Editor.Update(gtx)
		if !ok {
			return entered
		}
		if _, submit := e.(widget.SubmitEvent); submit {
			entered = true
		}
	}
}

// Edited reports whether the text has changed since the last frame.
func (f *Field) Edited(gtx layout.Context) bool {
	edited := false
	for {
		e, ok := f.Editor.Update(gtx)
		if !ok {
			return edited
		}
		if _, change := e.(widget.ChangeEvent); change {
			edited = true
		}
	}
}

// FieldStyle is how a text field looks in this frame.
type FieldStyle struct {
	Label    string // above the field; also its semantic label
	Name     string // semantic label where there is no Label
	Hint     string // inside, while empty
	Suffix   string // inside, at the end: a unit
	Error    string // below, in place of Help
	Help     string // below
	Disabled bool
}

// Field draws a text field as wide as the constraints allow.
func (th *Theme) Field(gtx layout.Context, f *Field, s FieldStyle) layout.Dimensions {
	if s.Disabled {
		gtx = gtx.Disabled()
	}
	f.SingleLine, f.Submit = true, true
	w := gtx.Constraints.Max.X
	y := 0
	if s.Label != "" {
		l := th.line(gtx, Small, font.Medium, s.Label, w)
		l.paint(gtx.Ops, 0, 0, th.Dim, s.Label, false)
		y = l.ascent + l.descent + gtx.Dp(Gap)
	}
	h, pad := gtx.Sp(Control), gtx.Sp(8)
	box := image.Rect(0, y, w, y+h)
	focused := gtx.Focused(&f.Editor)
	edge, width := th.Edge, max(gtx.Dp(1), 1)
	switch {
	case s.Error != "":
		edge = th.Danger
	case focused:
		edge, width = th.Accent, gtx.Dp(2)
	}
	RoundRect(gtx.Ops, box, gtx.Dp(Radius), th.Well)
	RoundFrame(gtx.Ops, box, float32(gtx.Dp(Radius)), float32(width), edge)
	inner := w - 2*pad
	if s.Suffix != "" {
		l := th.line(gtx, Body, font.Normal, s.Suffix, inner)
		l.paint(gtx.Ops, w-pad-l.width, y+(h-l.ascent-l.descent)/2, th.Dim, s.Suffix, false)
		inner -= l.width + gtx.Dp(Gap)
	}
	name := s.Name
	if name == "" {
		name = s.Label
	}
	th.editor(gtx, f, image.Rect(pad, y, pad+max(inner, 0), y+h), name, s.Hint)
	y += h
	note, ink := s.Help, th.Dim
	if s.Error != "" {
		note, ink = s.Error, th.Danger
	}
	if note != "" {
		y += gtx.Dp(Gap)
		t := offset(gtx.Ops, 0, y)
		g := gtx
		g.Constraints.Min = image.Point{}
		y += th.Paragraph(g, Small, font.Normal, ink, note).Size.Y
		t.Pop()
	}
	return layout.Dimensions{Size: image.Pt(w, y)}
}

// Area draws a text field of several lines, as wide as the constraints allow
// and as high as its text, but at least two lines.
func (th *Theme) Area(gtx layout.Context, f *Field, s FieldStyle) layout.Dimensions {
	f.SingleLine, f.Submit = false, false
	w, y := gtx.Constraints.Max.X, 0
	if s.Label != "" {
		l := th.line(gtx, Small, font.Medium, s.Label, w)
		l.paint(gtx.Ops, 0, 0, th.Dim, s.Label, false)
		y = l.ascent + l.descent + gtx.Dp(Gap)
	}
	pad := gtx.Sp(8)
	line := th.line(gtx, Body, font.Normal, "0", unlimited)
	least := 2 * (line.ascent + line.descent)
	name := s.Name
	if name == "" {
		name = s.Label
	}
	m := op.Record(gtx.Ops)
	g := gtx
	g.Constraints = layout.Constraints{Min: image.Pt(w-2*pad, least), Max: image.Pt(w-2*pad, 1<<16)}
	d := th.text(g, f, name)
	if f.Len() == 0 && s.Hint != "" {
		th.Paragraph(g, Body, font.Normal, th.Dim, s.Hint)
	}
	text := m.Stop()
	box := image.Rect(0, y, w, y+max(d.Size.Y, least)+2*pad)
	edge, width := th.Edge, max(gtx.Dp(1), 1)
	if gtx.Focused(&f.Editor) {
		edge, width = th.Accent, gtx.Dp(2)
	}
	RoundRect(gtx.Ops, box, gtx.Dp(Radius), th.Well)
	RoundFrame(gtx.Ops, box, float32(gtx.Dp(Radius)), float32(width), edge)
	t := offset(gtx.Ops, pad, y+pad)
	text.Add(gtx.Ops)
	t.Pop()
	return layout.Dimensions{Size: image.Pt(w, box.Max.Y)}
}

// text lays the editor itself out.
func (th *Theme) text(gtx layout.Context, f *Field, name string) layout.Dimensions {
	ink := th.Text
	if !gtx.Enabled() {
		ink = th.Disabled
	}
	m := op.Record(gtx.Ops)
	paint.ColorOp{Color: ink}.Add(gtx.Ops)
	textInk := m.Stop()
	m = op.Record(gtx.Ops)
	paint.ColorOp{Color: Alpha(th.Accent, 0.35)}.Add(gtx.Ops)
	selected := m.Stop()
	m = op.Record(gtx.Ops)
	d := f.Editor.Layout(gtx, th.Shaper, font.Font{Typeface: Face}, Body, textInk, selected)
	call := m.Stop()
	defer clip.Rect(image.Rectangle{Max: d.Size}).Push(gtx.Ops).Pop()
	semantic.LabelOp(name).Add(gtx.Ops)
	call.Add(gtx.Ops)
	return d
}

func (th *Theme) editor(gtx layout.Context, f *Field, r image.Rectangle, name, hint string) {
	area := clip.Rect(r).Push(gtx.Ops)
	lead := th.line(gtx, Body, font.Normal, "0", unlimited)
	t := offset(gtx.Ops, r.Min.X, r.Min.Y+(r.Dy()-lead.ascent-lead.descent)/2)
	g := gtx
	g.Constraints = layout.Exact(image.Pt(r.Dx(), lead.ascent+lead.descent))
	th.text(g, f, name)
	if f.Len() == 0 && hint != "" {
		l := th.line(gtx, Body, font.Normal, hint, r.Dx())
		l.paint(gtx.Ops, 0, 0, th.Dim, hint, false)
	}
	t.Pop()
	area.Pop()
}
