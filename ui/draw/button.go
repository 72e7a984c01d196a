package draw

import (
	"image"
	"image/color"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/widget"
)

// Button is the state of a button, icon button or toggle. The zero value is
// ready to use. It must not be copied.
type Button struct {
	widget.Clickable
	tip tip
}

// Kind says how much a button asks for attention.
type Kind uint8

// The kinds of button.
const (
	Plain   Kind = iota // a raised button
	Primary             // the one thing to do here: filled with the accent
	Quiet               // no ground until pointed at; toolbars and rows
	Danger              // removes something
)

// ButtonStyle is how a button looks in this frame.
type ButtonStyle struct {
	Label string // text on the button; may be empty if Icon is set
	Icon  Icon
	// Name is the semantic label; Label if empty. A button with an icon only
	// needs one.
	Name string
	Kind Kind
	// Toggle marks a button that stays down; On says whether it is.
	Toggle, On bool
	Disabled   bool
	// Compact makes it Compact instead of Control high.
	Compact bool
	// Fill stretches it to the maximum width, label in the middle; Start keeps
	// the label of a wide one at its start.
	Fill, Start bool
	// Tip is shown when pointed at for a while, with Keys, the shortcut.
	Tip, Keys string
	TipSide   TipSide
}

// Button draws a button. Ask b.Clicked before drawing it.
func (th *Theme) Button(gtx layout.Context, b *Button, s ButtonStyle) layout.Dimensions {
	if s.Disabled {
		gtx = gtx.Disabled()
	}
	name := s.Name
	if name == "" {
		name = s.Label
	}
	h := gtx.Sp(Control)
	if s.Compact {
		h = gtx.Sp(Compact)
	}
	face := func(gtx layout.Context) layout.Dimensions {
		semantic.LabelOp(name).Add(gtx.Ops)
		class := semantic.Button
		if s.Toggle {
			class = semantic.Switch
		}
		class.Add(gtx.Ops)
		if s.Tip != "" {
			semantic.DescriptionOp(s.Tip).Add(gtx.Ops)
		}
		semantic.SelectedOp(s.Toggle && s.On).Add(gtx.Ops)
		return th.buttonFace(gtx, b, s, h)
	}
	if !gtx.Enabled() {
		return disabled(gtx, face)
	}
	dims := b.Clickable.Layout(gtx, face)
	if gtx.Focused(&b.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: dims.Size})
	}
	b.tip.layout(gtx, th, b.Hovered(), b.pressedLately(), dims.Size, s.TipSide, s.Tip, s.Keys)
	return dims
}

// pressedLately reports whether the button is down, or was in the last second.
func (b *Button) pressedLately() bool { return b.Pressed() || len(b.History()) > 0 }

// disabled lays out a control that takes no input. It must not go through
// its Clickable: Gio drops the semantics of a handler without gestures.
func disabled(gtx layout.Context, face layout.Widget) layout.Dimensions {
	m := op.Record(gtx.Ops)
	dims := face(gtx)
	call := m.Stop()
	defer clip.Rect(image.Rectangle{Max: dims.Size}).Push(gtx.Ops).Pop()
	semantic.EnabledOp(false).Add(gtx.Ops)
	call.Add(gtx.Ops)
	return dims
}

func (th *Theme) buttonFace(gtx layout.Context, b *Button, s ButtonStyle, h int) layout.Dimensions {
	pad, gap, icon := gtx.Sp(12), gtx.Sp(6), gtx.Sp(20)
	if s.Compact {
		pad, icon = gtx.Sp(8), gtx.Sp(16)
	}
	if s.Icon == NoIcon {
		icon, gap = 0, 0
	}
	weight := font.Medium
	size := Body
	if s.Compact {
		size = Small
	}
	var text *line
	w := h
	room := gtx.Constraints.Max.X
	switch {
	case s.Label == "":
		gap = 0
	default:
		text = th.line(gtx, size, weight, s.Label, max(room-2*pad-icon-gap, 0))
		w = 2*pad + icon + gap + text.width
		if icon > 0 {
			w -= gtx.Sp(3) // the icon carries its own margin
		}
	}
	if s.Fill {
		w = room
	}
	w = min(max(w, gtx.Constraints.Min.X), room)
	sz := image.Pt(w, h)
	ground, ink, edge := th.buttonColours(b, s, gtx.Enabled())
	r := image.Rectangle{Max: sz}
	rad := gtx.Dp(Radius)
	if ground.A > 0 {
		RoundRect(gtx.Ops, r, rad, ground)
	}
	if edge.A > 0 {
		RoundFrame(gtx.Ops, r, float32(rad), float32(max(gtx.Dp(1), 1)), edge)
	}
	if gtx.Enabled() {
		pointer.CursorPointer.Add(gtx.Ops)
	}
	if text == nil {
		th.Icon(gtx.Ops, s.Icon, image.Pt((w-icon)/2, (h-icon)/2), icon, ink)
		return layout.Dimensions{Size: sz}
	}
	x := pad
	if icon > 0 {
		x -= gtx.Sp(3)
	}
	if !s.Start && (s.Fill || gtx.Constraints.Min.X == w) {
		x = (w - icon - gap - text.width) / 2
	}
	th.Icon(gtx.Ops, s.Icon, image.Pt(x, (h-icon)/2), icon, ink)
	y := (h - text.ascent - text.descent) / 2
	text.paint(gtx.Ops, x+icon+gap, y, ink, s.Label, false)
	return layout.Dimensions{Size: sz, Baseline: h - y - text.ascent}
}

func (th *Theme) buttonColours(b *Button, s ButtonStyle, enabled bool) (ground, ink, edge color.NRGBA) {
	ink = th.Text
	switch s.Kind {
	case Plain:
		ground, edge = th.Raised, th.Edge
	case Danger:
		ground, edge, ink = th.Raised, th.Edge, th.Danger
	case Primary:
		ground, ink = th.Accent, th.OnAccent
	}
	if s.Toggle && s.On {
		ground, ink, edge = th.AccentLow, th.Accent, Alpha(th.Accent, 0.45)
	}
	switch {
	case !enabled:
		ink = th.Disabled
		if s.Kind == Primary {
			ground, edge = th.Raised, th.Line
		} else if edge.A > 0 {
			edge = th.Line
		}
	case s.Kind == Primary && b.Pressed():
		ground = Over(ground, rgba(0x000000, 0x30))
	case s.Kind == Primary && b.Hovered():
		ground = Over(ground, rgba(0xffffff, 0x20))
	case s.Toggle && s.On:
	case b.Pressed():
		ground = th.Pressed
	case b.Hovered():
		ground = th.Hover
	}
	return ground, ink, edge
}

// FocusRing draws the sign of keyboard focus around a control.
func (th *Theme) FocusRing(gtx layout.Context, r image.Rectangle) {
	d := gtx.Dp(2)
	RoundFrame(gtx.Ops, r.Inset(-d), float32(gtx.Dp(Radius)+d), float32(gtx.Dp(2)), th.Accent)
}

// Segmented is the state of a row of exclusive choices. The zero value is
// ready to use. It must not be copied.
type Segmented struct {
	items []*Button
}

// Update returns the choice made since the last frame, if any.
func (s *Segmented) Update(gtx layout.Context) (choice int, ok bool) {
	choice = -1
	for i, b := range s.items {
		if b.Clicked(gtx) {
			choice = i
		}
		for {
			e, more := gtx.Event(key.Filter{Focus: &b.Clickable, Name: key.NameLeftArrow}, key.Filter{Focus: &b.Clickable, Name: key.NameRightArrow})
			if !more {
				break
			}
			if k, isKey := e.(key.Event); isKey && k.State == key.Press {
				to := i + 1
				if k.Name == key.NameLeftArrow {
					to = i - 1
				}
				if to >= 0 && to < len(s.items) {
					choice = to
					gtx.Execute(key.FocusCmd{Tag: &s.items[to].Clickable})
				}
			}
		}
	}
	return choice, choice >= 0
}

// Segmented draws a row of exclusive choices of which the one at index on is
// taken. name is the semantic label of the row.
func (th *Theme) Segmented(gtx layout.Context, s *Segmented, name string, on int, labels ...string) layout.Dimensions {
	for len(s.items) < len(labels) {
		s.items = append(s.items, new(Button))
	}
	s.items = s.items[:len(labels)]
	h, pad := gtx.Sp(Control), gtx.Sp(12)
	rad, hair := gtx.Dp(Radius), max(gtx.Dp(1), 1)
	natural := 0
	for _, l := range labels {
		natural += th.line(gtx, Body, font.Medium, l, unlimited).width + 2*pad
	}
	size := image.Pt(min(natural, gtx.Constraints.Max.X), h)
	RoundRect(gtx.Ops, image.Rectangle{Max: size}, rad, th.Well)
	x := 0
	for i, l := range labels {
		b := s.items[i]
		// Too little room is shared in proportion; labels then end in ellipses.
		cell := (th.line(gtx, Body, font.Medium, l, unlimited).width + 2*pad) * size.X / natural
		if i == len(labels)-1 {
			cell = size.X - x
		}
		off := offset(gtx.Ops, x, 0)
		face := func(gtx layout.Context) layout.Dimensions {
			semantic.RadioButton.Add(gtx.Ops)
			semantic.LabelOp(l).Add(gtx.Ops)
			semantic.DescriptionOp(name).Add(gtx.Ops)
			semantic.SelectedOp(i == on).Add(gtx.Ops)
			r := image.Rect(hair*2, hair*2, cell-hair*2, h-hair*2)
			ink := th.Dim
			switch {
			case !gtx.Enabled():
				ink = th.Disabled
			case i == on:
				ink = th.Accent
				RoundRect(gtx.Ops, r, rad-hair, th.AccentLow)
			case b.Hovered():
				ink = th.Text
				RoundRect(gtx.Ops, r, rad-hair, th.Hover)
			}
			if gtx.Enabled() {
				pointer.CursorPointer.Add(gtx.Ops)
			}
			t := th.line(gtx, Body, font.Medium, l, max(cell-gtx.Sp(6), 0))
			t.paint(gtx.Ops, (cell-t.width)/2, (h-t.ascent-t.descent)/2, ink, l, false)
			return layout.Dimensions{Size: image.Pt(cell, h)}
		}
		if gtx.Enabled() {
			b.Clickable.Layout(gtx, face)
		} else {
			disabled(gtx, face)
		}
		if gtx.Focused(&b.Clickable) {
			th.FocusRing(gtx, image.Rect(0, 0, cell, h))
		}
		off.Pop()
		x += cell
	}
	RoundFrame(gtx.Ops, image.Rectangle{Max: size}, float32(rad), float32(hair), th.Edge)
	return layout.Dimensions{Size: size}
}
