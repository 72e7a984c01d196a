package strip

import (
	"fmt"
	"image"
	"strconv"
	"strings"

	"gioui.org/font"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// z95 is the standard normal quantile of 97.5 %, by which a standard deviation
// gives half a 95 % interval.
const z95 = 1.959964

// subject is the point the guide is about: the armed one, else the one in hand.
func (room *Room) subject() (p geometry.Point, inHand, ok bool) {
	b := room.host.Session().Bench
	if p, ok = b.Armed(); ok {
		return p, false, true
	}
	s, ok := b.Selected()
	return s.Point, true, ok
}

// layoutGuide says which point to place next, where it is on the body and why
// it matters now, with the buttons for what else can be done with it.
func (room *Room) layoutGuide(gtx layout.Context) layout.Dimensions {
	th := room.host.Theme()
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	semantic.LabelOp("Guide").Add(gtx.Ops)
	pad := gtx.Dp(10)
	if room.layoutStickGuide(gtx, size) {
		return layout.Dimensions{Size: size}
	}
	p, inHand, ok := room.subject()
	figure := image.Pt(gtx.Sp(64), size.Y-2*pad)
	if size.X < gtx.Sp(300) {
		figure.X = gtx.Sp(36)
	}
	x := pad
	if ok {
		room.layoutGuideFigure(gtx, p, image.Rectangle{Min: image.Pt(x, pad), Max: image.Pt(x, pad).Add(figure)})
		x += figure.X + pad
	}
	title, text := room.guideText(p, inHand, ok)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(size.X-x-pad, 0), size.Y)}
	y := gtx.Dp(8)
	put := func(w layout.Widget) {
		off := op.Offset(image.Pt(x, y)).Push(gtx.Ops)
		y += w(g).Size.Y
		off.Pop()
	}
	put(func(gtx layout.Context) layout.Dimensions {
		d := th.Label(gtx, draw.Body, font.SemiBold, th.Text, title)
		if m, held := room.host.Session().Bench.SelectedMark(); held && inHand && m.State != geometry.Hidden {
			defer op.Offset(image.Pt(d.Size.X+gtx.Dp(10), 0)).Push(gtx.Ops).Pop()
			th.Digits(gtx, draw.Small, font.Normal, th.Dim, coordinates(m.At))
		}
		return d
	})
	buttons := size.Y - pad - gtx.Sp(draw.Compact)
	body := g
	body.Constraints.Max.Y = max(buttons-y-gtx.Dp(4), 0)
	put(func(layout.Context) layout.Dimensions {
		return th.Paragraph(body, draw.Small, font.Normal, th.Dim, text)
	})
	y = buttons
	put(func(gtx layout.Context) layout.Dimensions { return room.layoutGuideButtons(gtx, inHand, ok) })
	return layout.Dimensions{Size: size}
}

// coordinates writes a place in a picture.
func coordinates(p geometry.ImagePt) string {
	b := make([]byte, 0, 32)
	b = strconv.AppendFloat(b, p.X, 'f', 1, 64)
	b = append(b, ", "...)
	return string(strconv.AppendFloat(b, p.Y, 'f', 1, 64))
}

// layoutGuideFigure shows where a point is; a click on the drawing opens the
// whole one, to choose another point.
func (room *Room) layoutGuideFigure(gtx layout.Context, p geometry.Point, r image.Rectangle) {
	th, b := room.host.Theme(), &room.figure
	defer op.Offset(r.Min).Push(gtx.Ops).Pop()
	gtx.Constraints = layout.Exact(r.Size())
	mirror := room.host.Session().Bench.Lesson().Student.Handed == geometry.LeftHanded
	if !room.host.Can("points") {
		th.BodyDiagram(gtx, p, mirror)
		return
	}
	b.Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp("Choose another point").Add(gtx.Ops)
		if b.Hovered() {
			draw.RoundRect(gtx.Ops, image.Rectangle{Max: r.Size()}, gtx.Dp(draw.Radius), th.Hover)
		}
		pointer.CursorPointer.Add(gtx.Ops)
		th.BodyDiagram(gtx, p, mirror)
		return layout.Dimensions{Size: r.Size()}
	})
	if gtx.Focused(&b.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: r.Size()})
	}
}

// layoutGuideButtons offers what else can be done with the point, or what to
// do next. What goes on to the next point stands first throughout, so that a second
// click in the same place goes on too, and hides or deletes nothing.
func (room *Room) layoutGuideButtons(gtx layout.Context, inHand, ok bool) layout.Dimensions {
	row := func(buttons ...kit.GuideButton) layout.Dimensions { return room.doors.Buttons(gtx, buttons) }
	b := room.host.Session().Bench
	if s, on := b.Blind(); on {
		if s.Done == s.Total {
			return row(kit.GuideButton{ID: "accept", Label: "Compare the two"}, kit.GuideButton{ID: "let go", Label: "Leave"})
		}
		return row(kit.GuideButton{ID: "hide", Label: "Omit"}, kit.GuideButton{ID: "next point", Label: "Later"}, kit.GuideButton{ID: "undo", Label: "Undo"}, kit.GuideButton{ID: "let go", Label: "Leave"})
	}
	m, held := b.SelectedMark()
	switch {
	case held && inHand && bench.Waits(m):
		return row(kit.GuideButton{ID: "accept", Label: "Take"}, kit.GuideButton{ID: "accept positions", Label: "Take all"}, kit.GuideButton{ID: "delete", Label: "Refuse"}, kit.GuideButton{ID: "hide", Label: "Hidden"})
	case b.Waiting() > 0 && b.Proposals() == 0 && !inHand:
		return row(kit.GuideButton{ID: "accept", Label: "Go through"}, kit.GuideButton{ID: "accept positions", Label: "Take all"}, kit.GuideButton{ID: "points", Label: "Points"}, kit.GuideButton{ID: "next point", Label: "Skip"})
	case ok && inHand:
		return row(kit.GuideButton{ID: "next point", Label: "Next"}, kit.GuideButton{ID: "unsure", Label: "Unsure"}, kit.GuideButton{ID: "hide", Label: "Hidden"}, kit.GuideButton{ID: "delete", Label: "Delete"})
	case ok:
		if b.Advice().OK && b.Waiting() == 0 {
			return row(kit.GuideButton{ID: "next point", Label: "Skip"}, kit.GuideButton{ID: "points", Label: "Points"}, kit.GuideButton{ID: "follow", Label: "Propose"}, kit.GuideButton{ID: "telling mark", Label: "Most telling"}, kit.GuideButton{ID: "hide", Label: "Hidden"})
		}
		return row(kit.GuideButton{ID: "next point", Label: "Skip"}, kit.GuideButton{ID: "points", Label: "Points"}, kit.GuideButton{ID: "follow", Label: "Propose"}, kit.GuideButton{ID: "hide", Label: "Hidden"}, kit.GuideButton{ID: "copy forward", Label: "Copy"})
	}
	if position, at := b.PositionAt(b.Active); at {
		if done, useful := b.Progress(b.Active, position); done >= useful {
			return row(kit.GuideButton{ID: "next position", Label: "Next position"}, kit.GuideButton{ID: "mark again", Label: "Mark again, blind"}, kit.GuideButton{ID: "points", Label: "Points"})
		}
	} else if len(b.Swing().Positions) > 0 && b.Proposals() == 0 {
		buttons := []kit.GuideButton{{ID: "follow all", Label: "Propose marks at all"}, {ID: "points", Label: "Points"}}
		if b.Advice().OK {
			buttons = append(buttons, kit.GuideButton{ID: "telling mark", Label: "Most telling"})
		}
		return row(buttons...)
	}
	return row(kit.GuideButton{ID: "next point", Label: "Next point"}, kit.GuideButton{ID: "points", Label: "Points"}, kit.GuideButton{ID: "follow", Label: "Propose"}, kit.GuideButton{ID: "copy forward", Label: "Copy"}, kit.GuideButton{ID: "stick", Label: "Stick"})
}

func (room *Room) guideText(p geometry.Point, inHand, ok bool) (title, text string) {
	b := room.host.Session().Bench
	view := b.Stages[b.Active].View
	position, at := b.PositionAt(b.Active)
	if s, on := b.Blind(); on {
		return blindText(s, p, inHand, ok)
	}
	if inHand && ok {
		m, _ := b.SelectedMark()
		state := ""
		switch {
		case m.State == geometry.Proposed, m.State == geometry.Tracked:
			state = "Only proposed: drag it into place, or press Enter to take it. "
		case m.Unsure(view):
			state = "Marked as unsure. "
		case m.LowConfidence(view):
			state = "Taken as proposed, " + words.Pixels(z95*m.SDPx) + ": dragging it places it by hand. "
		}
		for _, s := range room.host.Session().Result.Suspects {
			if s.Clip == m.Clip && s.Position == m.Position && s.Point == m.Point {
				state += "Ringed: " + s.Reason + ". "
			}
		}
		return bench.Title(p.String()), state + "Arrows move it a pixel, with Shift a tenth."
	}
	switch {
	case ok && at:
		title, text = fmt.Sprintf("Click the %s", p), bench.Title(bench.Where(p))+"."
		if m, there := b.Swing().Mark(b.Stages[b.Active].Clip, position, p); there {
			title = fmt.Sprintf("Place the %s by hand", p)
			text = "It stands as proposed, " + words.Pixels(z95*m.SDPx) + ": click its place, or itself where it is right; Skip leaves it."
		}
		if why := room.host.Session().Why(annotations.MarkKey{Clip: b.Stages[b.Active].Clip, Position: position, Point: p}); why != "" {
			text += " " + bench.Title(why) + "."
		}
		return title, text
	case ok:
		return fmt.Sprintf("Next: %s", p), "This frame is no key position. Press 1 to 7 to make it one; then click the point."
	case !at && (room.host.Session().Searching()):
		return "Looking for key positions …", "Address and the top are being looked for in the motion. You need not wait: scrub on, and press 1 to 7 where you see one."
	case !at && b.Proposals() > 0:
		text := "The hollow ticks come from sound and motion. Page Down goes from one to the next, Enter takes the one shown, Shift+Enter all; drag a tick's number to correct it."
		if room.host.Session().SearchingInstants() {
			text = "The others are being looked for in the pictures. Page Down goes from one to the next, Enter takes the one shown, Shift+Enter all."
		}
		return "Look at the proposed key positions", text
	case !at && everyPositionSet(b):
		return "Between key positions", "Page Up and Page Down go to the one before and the next; the figures on the cards go there too, with Alt."
	case !at:
		return "Find a key position", unsetPositions(b)
	}
	if done, useful := b.Progress(b.Active, position); done >= useful {
		return bench.Title(string(position)) + " is fully marked", "Page Down goes to the next key position. Drag any mark to correct it."
	}
	return fmt.Sprintf("Mark %s, %s", position, view), "Press N and the program asks for the most useful point; or choose one with P."
}

// unsetPositions says which key positions of the active clip are not set yet.
func unsetPositions(b *bench.Bench) string {
	var left []string
	for _, name := range geometry.KeyPositions {
		if _, ok := b.TickOf(b.Active, name); !ok {
			left = append(left, string(name))
		}
	}
	if len(left) == len(geometry.KeyPositions) {
		return "Scrub to address, the top, impact … and press 1 to 7 to set them. The figures on the cards are the keys."
	}
	return "Not set: " + strings.Join(left, ", ") + ". Scrub there and press the figure on the card; address and the top are enough for the turn."
}

// everyPositionSet reports whether the active clip has all key positions.
func everyPositionSet(b *bench.Bench) bool {
	for _, name := range geometry.KeyPositions {
		if _, ok := b.TickOf(b.Active, name); !ok {
			return false
		}
	}
	return true
}

// blindText is the guide's text during a second marking.
func blindText(s bench.Blind, p geometry.Point, inHand, ok bool) (title, text string) {
	done := fmt.Sprintf("%d of %d marked again, the first marks out of sight. ", s.Done, s.Total)
	switch {
	case s.Done == s.Total:
		return "Every point is marked again", "Enter compares the two markings. Drag or nudge the last ones first if you like."
	case ok && !inHand:
		return fmt.Sprintf("Again: click the %s", p), done + bench.Title(bench.Where(p)) + "."
	case ok:
		return "Again: " + p.String(), done + "Arrows move it a pixel, with Shift a tenth."
	}
	return fmt.Sprintf("Mark %s again", s.Position), done + "Press N to be asked for the next point."
}
