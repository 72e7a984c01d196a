package ui

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

const (
	topBarHeight    unit.Sp = 44
	transportHeight unit.Sp = 40
)

// commandButton draws the button of a command; its tooltip is the command's
// help with its key.
func (a *App) commandButton(gtx layout.Context, id string, s draw.ButtonStyle) layout.Dimensions {
	c := a.commands.byID[id]
	if s.Name == "" {
		s.Name = c.Help
	}
	if s.Tip == "" {
		s.Tip = c.Help
	}
	s.Keys = a.Shortcut(id)
	s.Disabled = !a.Can(id)
	return a.theme.Button(gtx, a.buttonOf(id), s)
}

// buttonOf returns the state of a command's button.
func (a *App) buttonOf(id string) *draw.Button {
	for _, b := range a.commands.buttons {
		if b.id == id {
			return &b.button
		}
	}
	b := &namedButton{id: id}
	a.commands.buttons = append(a.commands.buttons, b)
	return &b.button
}

type namedButton struct {
	id     string
	button draw.Button
}

// updateButtons does the commands whose buttons were clicked.
func (a *App) updateButtons(gtx layout.Context) {
	for _, b := range a.commands.buttons {
		for b.button.Clicked(gtx) {
			a.Run(b.id)
		}
	}
}

// icon returns a quiet icon button of a command, for the bars.
func (a *App) icon(id string, ic draw.Icon, side draw.TipSide) layout.Widget {
	return func(gtx layout.Context) layout.Dimensions {
		return a.commandButton(gtx, id, draw.ButtonStyle{Icon: ic, Kind: draw.Quiet, TipSide: side})
	}
}

// layoutNarrate draws the button that begins and ends a review.
func (a *App) layoutNarrate(gtx layout.Context) layout.Dimensions {
	return a.commandButton(gtx, "narrate", draw.ButtonStyle{Icon: draw.IconVoice, Kind: draw.Quiet, TipSide: draw.TipBelowEnd, Toggle: true, On: a.review.Recording()})
}

func (a *App) layoutTopBar(gtx layout.Context) layout.Dimensions {
	th := a.theme
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(topBarHeight))
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	draw.Fill(gtx.Ops, image.Rect(0, size.Y-1, size.X, size.Y), th.Line)
	l := a.desk.Bench.Lesson()
	darkIcon := draw.IconLight
	if !th.Dark() {
		darkIcon = draw.IconDark
	}
	bar := func(gtx layout.Context, x int, fromRight bool, parts ...layout.Widget) int {
		m := op.Record(gtx.Ops)
		d := draw.Row(gtx, draw.Gap, parts...)
		c := m.Stop()
		if fromRight {
			x -= d.Size.X
		}
		defer op.Offset(image.Pt(x, (size.Y-d.Size.Y)/2)).Push(gtx.Ops).Pop()
		c.Add(gtx.Ops)
		if fromRight {
			return x
		}
		return x + d.Size.X
	}
	pad := gtx.Dp(8)
	g := gtx
	g.Constraints = layout.Constraints{Max: size}
	left := bar(g, pad, false, a.icon("home", draw.IconLeft, draw.TipBelowStart), a.icon("open", draw.IconOpen, draw.TipBelowStart), a.icon("library", draw.IconLibrary, draw.TipBelowStart))
	if len(l.Swings) > 1 {
		left = bar(g, left+gtx.Dp(draw.Gap), false, func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "next swing", draw.ButtonStyle{
				Label: fmt.Sprintf("Swing %d of %d", l.SwingIndex(a.desk.Bench.Swing().ID)+1, len(l.Swings)), Kind: draw.Quiet, Compact: true,
			})
		})
		left = bar(g, left+gtx.Dp(draw.Gap), false, func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "swings", draw.ButtonStyle{Label: "All swings", Kind: draw.Quiet, Compact: true})
		})
	}
	if folder := a.visit.Watching(); folder != "" {
		left = bar(g, left+gtx.Dp(draw.Gap), false, func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "watch", draw.ButtonStyle{Label: "Watching " + filepath.Base(folder), Kind: draw.Quiet, Compact: true, Toggle: true, On: true})
		})
	}
	if text, part, on := a.desk.Progress(); on && !a.strip.Busy() { // else the guide says so
		left = bar(g, left+gtx.Dp(12), false, func(gtx layout.Context) layout.Dimensions { return kit.Doing(gtx, th, text, part) })
	}
	right := bar(g, size.X-pad, true,
		a.icon("undo", draw.IconUndo, draw.TipBelowEnd), a.icon("redo", draw.IconRedo, draw.TipBelowEnd),
		a.icon("findings", draw.IconFindings, draw.TipBelowEnd), a.layoutNarrate, a.icon("shots", draw.IconBall, draw.TipBelowEnd), a.icon("progress", draw.IconProgress, draw.TipBelowEnd), a.icon("compare", draw.IconCompare, draw.TipBelowEnd), a.icon("copy sheet", draw.IconCopy, draw.TipBelowEnd), a.icon("preferences", draw.IconSettings, draw.TipBelowEnd),
		a.icon("dark", darkIcon, draw.TipBelowEnd), a.icon("help", draw.IconHelp, draw.TipBelowEnd))
	head, rest := l.Student.Name, kit.Joined(l.Title, l.Date, a.desk.Bench.Swing().Label)
	if head == "" {
		head = "Lesson"
	}
	x := float32(left + gtx.Dp(12))
	r := th.TextAt(gtx, f32.Pt(x, float32(size.Y)/2), 0, 0.5, draw.Title, font.SemiBold, th.Text, head)
	room := right - gtx.Dp(12) - r.Max.X - gtx.Dp(14)
	if room > 0 {
		g.Constraints = layout.Constraints{Max: image.Pt(room, size.Y)}
		d, base := th.TextSize(gtx, draw.Body, font.Normal, rest)
		_ = base
		off := op.Offset(image.Pt(r.Max.X+gtx.Dp(14), (size.Y-d.Y)/2+gtx.Dp(1))).Push(gtx.Ops)
		th.Label(g, draw.Body, font.Normal, th.Dim, rest)
		off.Pop()
	}
	return layout.Dimensions{Size: size}
}

// layoutTransport draws the bar under the rails: playing, the lock, the view.
func (a *App) layoutTransport(gtx layout.Context) layout.Dimensions {
	th, b := a.theme, a.desk.Show()
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(transportHeight))
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	draw.Fill(gtx.Ops, image.Rect(0, size.Y-1, size.X, size.Y), th.Line)
	playing, slow := b.Playing()
	play := draw.IconPlay
	if playing {
		play = draw.IconPause
	}
	speed := "true speed"
	if slow > 1 {
		speed = fmt.Sprintf("1/%d speed", slow)
	}
	up := draw.TipAbove
	// row draws parts between two edges, at the start, the end or, as far as
	// there is room, in the middle of the bar, and returns their width.
	row := func(from, to int, anchor float32, parts ...layout.Widget) int {
		m := op.Record(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(to-from, 0), size.Y)}
		d := draw.Row(g, draw.Gap, parts...)
		c := m.Stop()
		x := int(anchor * float32(size.X-d.Size.X))
		x = max(min(x, to-d.Size.X), from)
		defer op.Offset(image.Pt(x, (size.Y-d.Size.Y)/2)).Push(gtx.Ops).Pop()
		c.Add(gtx.Ops)
		return d.Size.X
	}
	text := func(s string, min unit.Sp) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions {
			gtx.Constraints.Min.X = gtx.Sp(min)
			return th.Label(gtx, draw.Small, font.Normal, th.Dim, s)
		}
	}
	pad := gtx.Dp(8)
	lockIcon, lockText, lockShort := draw.IconUnlink, "each clip on its own", "apart"
	lock, locked := b.Lock()
	switch mode := b.LockMode(); {
	case locked && mode == bench.LockByPositions:
		lockIcon, lockText, lockShort = draw.IconLink, "two swings, locked by "+lock.By, "two swings"
	case locked:
		lockIcon, lockText, lockShort = draw.IconLink, "one swing, locked by "+lock.By, "one swing"
	case mode != bench.Unlocked:
		lockIcon, lockText, lockShort = draw.IconLink, "nothing to lock by yet", "not locked"
	}
	left := pad + row(pad, size.X-pad, 0,
		a.icon("step back", draw.IconStepBack, draw.TipAboveStart), a.icon("play", play, draw.TipAboveStart), a.icon("step forward", draw.IconStepForward, draw.TipAboveStart),
		a.icon("slower", draw.IconMinus, up), text(speed, 74), a.icon("faster", draw.IconPlus, up),
		func(gtx layout.Context) layout.Dimensions {
			_, _, on := b.Repeat(b.Active)
			return a.commandButton(gtx, "repeat", draw.ButtonStyle{Icon: draw.IconRepeat, Kind: draw.Quiet, Toggle: true, On: on, TipSide: up})
		})
	middle := []layout.Widget{func(gtx layout.Context) layout.Dimensions {
		const beside = 52 // icon and padding, sp
		for _, short := range []string{lockShort, ""} {
			if w, _ := th.TextSize(gtx, draw.Small, font.Medium, lockText); w.X+gtx.Sp(beside) > gtx.Constraints.Max.X {
				lockText = short
			}
		}
		return a.commandButton(gtx, "lock", draw.ButtonStyle{Label: lockText, Icon: lockIcon, Kind: draw.Quiet, Toggle: true, On: locked, Compact: true, TipSide: up})
	}}
	if n := a.desk.Bench.Proposals(); n > 0 && a.desk.Comparing == nil {
		middle = append(middle, func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "accept positions", draw.ButtonStyle{Label: fmt.Sprintf("take all %d", n), Compact: true, TipSide: up})
		})
	}
	alone := draw.IconOneStage
	if a.stage.Alone() {
		alone = draw.IconBothStages
	}
	curves, explain := "Curves", "Explain"
	if size.X < gtx.Sp(620) { // the icons tell
		curves, explain = "", ""
	}
	right := size.X - pad - row(left+pad, size.X-pad, 1,
		func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "curves", draw.ButtonStyle{Label: curves, Icon: draw.IconCurves, Kind: draw.Quiet, Toggle: true, On: a.curves.Shown(), Compact: true, TipSide: up})
		},
		func(gtx layout.Context) layout.Dimensions {
			return a.commandButton(gtx, "explain", draw.ButtonStyle{Label: explain, Icon: draw.IconExplain, Kind: draw.Quiet, Toggle: true, On: a.explain.On(), Compact: true, TipSide: up})
		},
		a.icon("bones", draw.IconShown, up), a.icon("fit", draw.IconFit, up), a.icon("one stage", alone, up))
	row(left+pad, right-pad, 0.5, middle...)
	return layout.Dimensions{Size: size}
}

// layoutFitting draws the buttons that there is room for; the others have
// their keys.
func (a *App) layoutFitting(gtx layout.Context, buttons []kit.GuideButton) layout.Dimensions {
	x := 0
	for _, b := range buttons {
		w, _ := a.theme.TextSize(gtx, draw.Small, font.Medium, b.Label)
		if x+w.X+2*gtx.Sp(8) > gtx.Constraints.Max.X {
			break
		}
		off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
		d := a.commandButton(gtx, b.ID, draw.ButtonStyle{Label: b.Label, Compact: true, TipSide: draw.TipAbove})
		off.Pop()
		x += d.Size.X + gtx.Dp(draw.Gap)
	}
	return layout.Dimensions{Size: image.Pt(x, gtx.Sp(draw.Compact))}
}
