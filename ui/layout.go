package ui

import (
	"image"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/bench"
	curvespanel "turngauge/ui/curves/panel"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/sheet"
	"turngauge/ui/tour"
)

// The narrowest the parts of the window get, whatever the shares say.
const (
	leastSheet unit.Sp = 300
	leastStage unit.Dp = 240
	planShare          = 0.36 // of the height right of the stages
)

// splits are the two edges that can be dragged: between the stages, and
// between them and the sheet.
type splits struct {
	stage, sheet splitter
}

type splitter struct {
	held  bool
	id    pointer.ID
	bar   image.Rectangle // where it was laid out
	whole image.Rectangle // what it divides
}

// update returns where along what it divides the splitter has been dragged to.
func (s *splitter) update(gtx layout.Context) (share float32, moved bool) {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: s, Kinds: pointer.Press | pointer.Drag | pointer.Release | pointer.Cancel})
		if !ok {
			return share, moved
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		switch e.Kind {
		case pointer.Press:
			s.held, s.id = true, e.PointerID
		case pointer.Drag:
			if s.held && e.PointerID == s.id && s.whole.Dx() > 0 {
				// The event's place is from the bar's own corner.
				x := float32(s.bar.Min.X) + e.Position.X
				share, moved = (x-float32(s.whole.Min.X))/float32(s.whole.Dx()), true
			}
		case pointer.Release, pointer.Cancel:
			s.held = false
		}
	}
}

// layout draws the splitter; the bar is as wide as can be taken hold of.
func (s *splitter) layout(gtx layout.Context, th *draw.Theme, bar, whole image.Rectangle) {
	s.bar, s.whole = bar, whole
	defer op.Offset(bar.Min).Push(gtx.Ops).Pop()
	defer clip.Rect(image.Rectangle{Max: bar.Size()}).Push(gtx.Ops).Pop()
	event.Op(gtx.Ops, s)
	pointer.CursorColResize.Add(gtx.Ops)
	c := th.Line
	if s.held {
		c = th.Accent
	}
	w := max(gtx.Dp(1), 1)
	draw.Fill(gtx.Ops, image.Rect((bar.Dx()-w)/2, 0, (bar.Dx()-w)/2+w, bar.Dy()), c)
}

func (a *App) updateSplits(gtx layout.Context) {
	if s, ok := a.splits.stage.update(gtx); ok {
		a.settings.StageShare = min(max(s, 0.2), 0.8)
	}
	if s, ok := a.splits.sheet.update(gtx); ok {
		a.settings.SheetShare = min(max(1-s, 0.15), 0.5)
	}
}

// updateSheet passes what the coach did on the sheet on.
func (a *App) updateSheet(gtx layout.Context) {
	a.sheet.At = a.desk.Show().Position
	for {
		e, ok := a.sheet.Update(gtx, a.desk.Result.Sheet)
		if !ok {
			return
		}
		switch e.Kind {
		case sheet.Copied:
			a.clip.copy(e.Text)
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
	a.alone = false
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
	case a.chooser.Visible():
		a.chooser.Layout(gtx, a.theme)
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
	handle := gtx.Dp(7)
	right := min(max(int(a.settings.SheetShare*float32(size.X)), gtx.Sp(leastSheet)), size.X/2)
	left := image.Rect(0, top, size.X-right-handle, size.Y)
	kit.At(gtx, image.Rect(0, 0, size.X, top), a.layoutTopBar)

	foot := gtx.Sp(stripHeight)
	if a.curves.Shown() {
		foot = max(foot, curvespanel.Height(gtx, size.Y))
	}
	strip := image.Rect(left.Min.X, left.Max.Y-foot, left.Max.X, left.Max.Y)
	transport := image.Rect(left.Min.X, strip.Min.Y-gtx.Sp(transportHeight), left.Max.X, strip.Min.Y)
	rail := gtx.Sp(railHeight)
	stages := image.Rect(left.Min.X, left.Min.Y, left.Max.X, transport.Min.Y)
	if bar := a.explain.Bar(gtx, stages); bar > 0 {
		a.tracer.region("explain", image.Rect(stages.Min.X, stages.Min.Y, stages.Max.X, stages.Min.Y+bar))
		stages.Min.Y += bar
	}
	a.layoutStages(gtx, stages, rail, handle)
	kit.At(gtx, transport, a.layoutTransport)

	guide := strip
	guide.Min.X = max(strip.Max.X-gtx.Sp(guideWidth), strip.Min.X+strip.Dx()*6/10)
	if a.curves.Shown() && guide.Min.X < gtx.Sp(curvespanel.WidthAlone) && !a.guideBusy() {
		guide.Min.X = guide.Max.X
	}
	strip.Max.X = guide.Min.X
	if a.curves.Shown() {
		kit.At(gtx, strip, a.curves.Layout)
		if plot := a.curves.Plot(); !plot.Empty() {
			a.tracer.region("curves", plot.Add(strip.Min))
		}
	} else {
		kit.At(gtx, strip, a.layoutStrip)
	}
	kit.At(gtx, guide, a.guideOf())
	draw.Fill(gtx.Ops, image.Rect(guide.Min.X, guide.Min.Y+gtx.Dp(10), guide.Min.X+1, guide.Max.Y-gtx.Dp(10)), a.theme.Line)

	side := image.Rect(size.X-right, top, size.X, size.Y)
	plan := side
	plan.Min.Y = side.Max.Y - int(planShare*float32(side.Dy()))
	side.Max.Y = plan.Min.Y
	if a.findings.Shown() {
		kit.At(gtx, image.Rect(side.Min.X, side.Min.Y, side.Max.X, plan.Max.Y), a.findings.Layout)
	} else {
		kit.At(gtx, side, func(gtx layout.Context) layout.Dimensions {
			return a.sheet.Layout(gtx, a.theme, a.desk.Result.Sheet)
		})
		kit.At(gtx, plan, a.plan.Layout)
		draw.Fill(gtx.Ops, image.Rect(plan.Min.X, plan.Min.Y, plan.Max.X, plan.Min.Y+1), a.theme.Line)
	}
	a.tracer.region("sheet", side)
	a.tracer.region("plan view", plan)
	a.splits.sheet.layout(gtx, a.theme,
		image.Rect(left.Max.X, top, left.Max.X+handle, size.Y), image.Rect(0, top, size.X, size.Y))

	a.tour.Place([tour.NumPanels]image.Rectangle{
		tour.Stages: stages, tour.Strip: strip, tour.Guide: guide, tour.Sheet: side, tour.Plan: plan,
	})
	if a.points.Shown() {
		kit.At(gtx, image.Rect(0, top, guide.Max.X-gtx.Dp(8), guide.Min.Y-gtx.Dp(8)), a.points.Layout)
	}
	stages.Max.Y -= rail
	a.notices.Layout(gtx, a.theme, stages)
	a.tour.Layout(gtx)
}

// layoutStages places the two stages with their rails, or the active one
// alone.
func (a *App) layoutStages(gtx layout.Context, area image.Rectangle, rail, handle int) {
	place := func(i int, r image.Rectangle) {
		picture := image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Max.Y-rail)
		kit.At(gtx, picture, func(gtx layout.Context) layout.Dimensions { return a.layoutStage(gtx, i) })
		kit.At(gtx, image.Rect(r.Min.X, r.Max.Y-rail, r.Max.X, r.Max.Y), func(gtx layout.Context) layout.Dimensions {
			return a.layoutRail(gtx, i)
		})
		name := a.desk.Show().Stages[i].View.String()
		if a.desk.Comparing != nil {
			name = [...]string{"of this swing", "of the other swing"}[i]
		}
		picture.Min.Y += gtx.Sp(stageHeader)
		a.tracer.region("stage "+name, picture)
		a.tracer.region("rail "+name, image.Rect(r.Min.X, r.Max.Y-rail, r.Max.X, r.Max.Y))
	}
	if a.alone {
		place(a.desk.Show().Active, area)
		return
	}
	least := gtx.Dp(leastStage)
	cut := area.Min.X + int(a.settings.StageShare*float32(area.Dx()))
	cut = min(max(cut, area.Min.X+least), area.Max.X-least)
	bar := image.Rect(cut-handle/2, area.Min.Y, cut-handle/2+handle, area.Max.Y)
	for i := range bench.NumStages {
		r := area
		if i == 0 {
			r.Max.X = bar.Min.X
		} else {
			r.Min.X = bar.Max.X
		}
		place(i, r)
	}
	a.splits.stage.layout(gtx, a.theme, bar, area)
}
