package ui

import (
	"image"
	"strings"

	"gioui.org/io/key"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/unit"

	curvespanel "turngauge/ui/curves/panel"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/sheet"
	"turngauge/ui/stage"
	"turngauge/ui/strip"
	"turngauge/ui/tour"
)

// leastSheet is the narrowest that the sheet gets, whatever its share.
const leastSheet unit.Sp = 300

// planShare is the plan view's part of the height beside the stages.
const planShare = 0.36

func (a *App) updateSplit(gtx layout.Context) {
	if s, ok := a.split.Update(gtx); ok {
		a.settings.SheetShare = min(max(1-s, 0.15), 0.5)
	}
}

// updateSheet passes what the coach did on the sheet on.
func (a *App) updateSheet(gtx layout.Context) {
	a.sheet.At, a.sheet.MendKeys = a.desk.Show().Position, a.Shortcut("mend")
	for {
		e, ok := a.sheet.Update(gtx, a.desk.Result.Sheet)
		if !ok {
			return
		}
		switch e.Kind {
		case sheet.Copied:
			a.clip.copy(e.Text)
		case sheet.Ordered:
			a.sheet.Order, a.settings.SheetOrder = e.Order, strings.Join(e.Order, ",")
			a.KeepSettings()
		case sheet.Mended:
			a.Run("mend")
		case sheet.Averaged:
			a.desk.StandAlone(e.Alone)
		case sheet.WentTo:
			a.desk.GoTo(e.At)
			gtx.Execute(key.FocusCmd{Tag: a})
		case sheet.Opened:
			a.desk.GoTo(e.Row.Position)
			gtx.Execute(key.FocusCmd{Tag: a})
		}
	}
}

// showParts ends what hides parts of the window with a lesson.
func (a *App) showParts() {
	a.desk.StopComparing()
	a.explain.End()
	a.findings.Close() // the sheet is in its place
	a.stage.ShowBoth()
	a.notices.Tell(a.desk.Bench.LeaveBlind())
}

func (a *App) layout(gtx layout.Context) {
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, a.theme.Surround)
	// Without a label of its own the window's root hides what lies in its
	// labelled parts from those who look for it by name.
	semantic.LabelOp("Turngauge window").Add(gtx.Ops)
	under := gtx
	if a.modal() {
		under = gtx.Disabled()
	}
	if a.desk == nil {
		a.home.Layout(under)
		a.notices.Layout(under, a.theme, image.Rectangle{Max: size})
	} else {
		a.layoutDesk(under)
	}
	switch card := a.openCard(); {
	case a.files.Visible():
		a.files.Layout(gtx, a.theme)
	case card != nil:
		card.Layout(gtx)
	}
	if a.noticesOver() {
		a.notices.Layout(gtx, a.theme, image.Rectangle{Max: size})
	}
}

// layoutDesk divides the window: the bar on top; the sheet with the plan view
// at the right; the stages with their rails, the transport, and the key
// positions with the guide at the left.
func (a *App) layoutDesk(gtx layout.Context) {
	size := gtx.Constraints.Max
	top := gtx.Sp(topBarHeight)
	handle := gtx.Dp(kit.SplitterWidth)
	right := min(max(int(a.settings.SheetShare*float32(size.X)), gtx.Sp(leastSheet)), size.X/2)
	left := image.Rect(0, top, size.X-right-handle, size.Y)
	kit.At(gtx, image.Rect(0, 0, size.X, top), a.layoutTopBar)

	foot := gtx.Sp(strip.Height)
	if a.curves.Shown() {
		foot = max(foot, curvespanel.Height(gtx, size.Y))
	}
	cards := image.Rect(left.Min.X, left.Max.Y-foot, left.Max.X, left.Max.Y)
	transport := image.Rect(left.Min.X, cards.Min.Y-gtx.Sp(transportHeight), left.Max.X, cards.Min.Y)
	stages := image.Rect(left.Min.X, left.Min.Y, left.Max.X, transport.Min.Y)
	if bar := a.explain.Bar(gtx, stages); bar > 0 {
		a.tracer.region("explain", image.Rect(stages.Min.X, stages.Min.Y, stages.Max.X, stages.Min.Y+bar))
		stages.Min.Y += bar
	}
	a.tracer.stages = stages.Min
	kit.At(gtx, stages, a.stage.Layout)
	kit.At(gtx, transport, a.layoutTransport)

	guide := cards
	guide.Min.X = max(cards.Max.X-gtx.Sp(strip.GuideWidth), cards.Min.X+cards.Dx()*6/10)
	if a.curves.Shown() && guide.Min.X < gtx.Sp(curvespanel.WidthAlone) && !a.explain.On() && !a.strip.Busy() {
		guide.Min.X = guide.Max.X
	}
	cards.Max.X = guide.Min.X
	if a.curves.Shown() {
		kit.At(gtx, cards, a.curves.Layout)
		if plot := a.curves.Plot(); !plot.Empty() {
			a.tracer.region("curves", plot.Add(cards.Min))
		}
	} else {
		kit.At(gtx, cards, a.strip.Layout)
	}
	kit.At(gtx, guide, a.guideOf())
	draw.Fill(gtx.Ops, image.Rect(guide.Min.X, guide.Min.Y+gtx.Dp(10), guide.Min.X+1, guide.Max.Y-gtx.Dp(10)), a.theme.Line)

	side := image.Rect(size.X-right, top, size.X, size.Y)
	if h := a.review.Height(gtx); h > 0 {
		top := side
		top.Max.Y = min(side.Min.Y+h, side.Max.Y)
		kit.At(gtx, top, a.review.Layout)
		side.Min.Y = top.Max.Y
	}
	plan := side
	high, folded := a.planHeight(gtx, side.Dy())
	plan.Min.Y = side.Max.Y - high
	side.Max.Y = plan.Min.Y
	if a.findings.Shown() {
		kit.At(gtx, image.Rect(side.Min.X, side.Min.Y, side.Max.X, plan.Max.Y), a.findings.Layout)
	} else {
		kit.At(gtx, side, func(gtx layout.Context) layout.Dimensions {
			return a.sheet.Layout(gtx, a.theme, a.desk.Result.Sheet)
		})
		if folded {
			kit.At(gtx, plan, a.layoutFolded)
		} else {
			kit.At(gtx, plan, a.plan.Layout)
		}
		draw.Fill(gtx.Ops, image.Rect(plan.Min.X, plan.Min.Y, plan.Max.X, plan.Min.Y+1), a.theme.Line)
	}
	a.tracer.region("sheet", side)
	a.tracer.region("plan view", plan)
	a.split.Layout(gtx, a.theme,
		image.Rect(left.Max.X, top, left.Max.X+handle, size.Y), image.Rect(0, top, size.X, size.Y))

	a.tour.Place([tour.NumPanels]image.Rectangle{
		tour.Stages: stages, tour.Strip: cards, tour.Guide: guide, tour.Sheet: side, tour.Plan: plan,
	})
	if a.points.Shown() {
		kit.At(gtx, image.Rect(0, top, guide.Max.X-gtx.Dp(8), guide.Min.Y-gtx.Dp(8)), a.points.Layout)
	}
	stages.Max.Y -= gtx.Sp(stage.RailHeight)
	a.notices.Layout(gtx, a.theme, stages)
	a.tour.Layout(gtx)
}

// guideOf returns what stands beside the key positions: the guide to marking,
// or what is compared or explained.
func (a *App) guideOf() layout.Widget {
	switch {
	case a.explain.On():
		return a.explain.Layout
	case a.compare.On():
		return a.compare.Layout
	}
	return a.strip.LayoutGuide
}
