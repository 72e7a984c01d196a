package ui

import (
	"fmt"
	"image"
	"path/filepath"
	"time"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/ui/bench"
	"turngauge/ui/demo"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// panel is a part of the window that the tour can point at.
type panel uint8

const (
	stagesPanel panel = iota
	stripPanel
	guidePanel
	sheetPanel
	planPanel
	numPanels
)

// tour leads through the window in a few steps. It covers nothing that is
// needed: what it tells of can be tried while it is there.
type tour struct {
	on      bool
	wanted  bool // begin once the demo lesson is open
	step    int
	panels  [numPanels]image.Rectangle // where they were laid out
	start   tourMoment                 // when the step began
	done    bool                       // what the step asks for was done
	advance time.Time                  // when to go on by itself, once done

	next, back, skip, marked draw.Button
	area                     bool // tag of the card
}

// tourMoment is what a step's doing is told by.
type tourMoment struct {
	frame     int // on the stage that the coach works on
	positions int
	position  string
	marks     int
	row       string
}

// tourStep is one step: the panel it rings, what it says, and what to try.
type tourStep struct {
	panel       panel
	title, text string
	try         string
	tried       func(then, now tourMoment) bool
}

// tourPause is how long a step that was done stays, to be seen as done.
const tourPause = 900 * time.Millisecond

const tourWidth unit.Sp = 350

// tourSteps names keys from the command table.
func (a *App) tourSteps() [5]tourStep {
	keys := func(id string) string { return a.Shortcut(id) }
	return [5]tourStep{
		{stagesPanel, "One swing, two views",
			"Face-on at the left, down-the-line at the right, locked together by the sound of the strike. The wheel zooms about the pointer; the right button drags the picture.",
			fmt.Sprintf("step with %s and %s, or drag along the line under a picture", keys("step back"), keys("step forward")),
			func(then, now tourMoment) bool { return then.frame != now.frame }},
		{stripPanel, "Key positions",
			fmt.Sprintf("Numbers are read at seven moments of the swing. The program proposes those it can hear or see; %s takes them all. On any other frame, 1 to 7 sets one.", keys("accept positions")),
			fmt.Sprintf("press %s, or click a card to go there", keys("accept positions")),
			func(then, now tourMoment) bool {
				return then.positions != now.positions || then.position != now.position
			}},
		{guidePanel, "Marking",
			fmt.Sprintf("The program asks for the point that helps most, and says why. Click it on the picture; arrows nudge it. %s skips, %s lets you choose on a drawing of the body.", keys("next point"), keys("points")),
			"place the point it asks for",
			func(then, now tourMoment) bool { return now.marks > then.marks }},
		{sheetPanel, "The sheet",
			"Every number comes with its interval, and is judged against a target range only when that is certain: can't tell is an answer. What is still missing says which point to mark.",
			"point at a row to see what it means and what would sharpen it",
			func(then, now tourMoment) bool { return now.row != "" && now.row != then.row }},
		{planPanel, "Seen from above",
			fmt.Sprintf("Hips, shoulders and feet from above; the wedges are the intervals. Everything is saved as you go, and %s takes any step back. %s lists every key and starts this tour again.", keys("undo"), keys("help")),
			"", nil},
	}
}

// startTour begins the tour, on the lesson that is open, else on the demo
// lesson.
func (a *App) startTour() {
	a.help.open = false
	if a.desk == nil {
		a.tour.wanted = true
		a.home.OpenDemo()
		return
	}
	if a.desk.comparing != nil {
		a.toggleCompare()
	}
	if a.explain.on {
		a.endExplaining() // a step asks for a mark
	}
	a.findings.open = false // the sheet is in its place
	a.alone = false
	a.notices.Tell(a.desk.Bench.LeaveBlind())
	a.tour = tour{on: true, panels: a.tour.panels, start: a.tourMoment()}
	if !a.settings.TourSeen {
		a.settings.TourSeen = true
		a.KeepSettings()
	}
}

// tourOfDemo begins the tour when the demo lesson is opened for the first time.
func (a *App) tourOfDemo() {
	if a.desk != nil && (a.tour.wanted || !a.settings.TourSeen) {
		a.startTour()
	}
	a.tour.wanted = false
}

func (a *App) endTour() {
	a.tour.on = false
	if a.tour.step < len(a.tourSteps())-1 {
		a.notices.Tell(bench.Note(fmt.Sprintf("The tour is over. %s, or %s and its button, starts it again.", a.Shortcut("tour"), a.Shortcut("help"))))
	}
}

func (a *App) tourMoment() tourMoment {
	d := a.desk
	m := tourMoment{
		frame:     d.Bench.Stages[d.Bench.Active].Frame,
		positions: len(d.Bench.Swing().Positions), position: string(d.Bench.Position),
		marks: len(d.Bench.Swing().Marks),
	}
	if m.row = a.sheet.Hovered(); m.row == "" {
		m.row = a.sheet.Selected()
	}
	return m
}

func (a *App) tourStep(n int) {
	t := &a.tour
	if n >= len(a.tourSteps()) {
		a.endTour()
		return
	}
	t.step, t.done = max(n, 0), false
	b := a.desk.Bench
	if _, ok := b.PositionAt(b.Active); !ok && a.tourSteps()[t.step].panel == guidePanel && len(b.Swing().Positions) > 0 {
		a.goTo(b.Swing().Positions[0].Name) // points are asked for at a key position
	}
	t.start = a.tourMoment()
}

func (a *App) updateTour(gtx layout.Context) {
	t := &a.tour
	if !t.on {
		return
	}
	if t.skip.Clicked(gtx) {
		a.endTour()
		gtx.Execute(key.FocusCmd{Tag: a})
		return
	}
	if t.marked.Clicked(gtx) {
		t.on = false
		a.openLesson(filepath.Join(a.dirs.Demo(), demo.MarkedFile))
		return
	}
	if t.back.Clicked(gtx) {
		a.tourStep(t.step - 1)
	}
	if t.next.Clicked(gtx) {
		a.tourStep(t.step + 1)
		return
	}
	s := a.tourSteps()[t.step]
	switch {
	case t.done && !gtx.Now.Before(t.advance):
		a.tourStep(t.step + 1)
	case t.done:
		gtx.Execute(op.InvalidateCmd{At: t.advance})
	case s.tried != nil && s.tried(t.start, a.tourMoment()):
		t.done, t.advance = true, gtx.Now.Add(tourPause)
		gtx.Execute(op.InvalidateCmd{At: t.advance})
	}
}

// layoutTour rings the panel of the step and draws the card beside it.
func (a *App) layoutTour(gtx layout.Context) {
	t := &a.tour
	if !t.on {
		return
	}
	th, size := a.theme, gtx.Constraints.Max
	s := a.tourSteps()[t.step]
	r := t.panels[s.panel]
	ring := r.Inset(gtx.Dp(2))
	draw.RoundFrame(gtx.Ops, ring, float32(gtx.Dp(draw.Radius)), float32(gtx.Dp(3)), th.Accent)

	pad := gtx.Dp(16)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(min(gtx.Sp(tourWidth), size.X-4*pad), size.Y)}
	m := op.Record(gtx.Ops)
	d := a.tourText(g, &s)
	inside := m.Stop()
	card := d.Size.Add(image.Pt(2*pad, 2*pad))
	defer op.Offset(t.place(s.panel, card, size, gtx.Dp(12))).Push(gtx.Ops).Pop()
	th.Card(gtx, image.Rectangle{Max: card})
	draw.RoundFrame(gtx.Ops, image.Rectangle{Max: card}, float32(gtx.Dp(draw.Radius)), float32(gtx.Dp(1)), th.Accent)
	defer clip.Rect(image.Rectangle{Max: card}).Push(gtx.Ops).Pop()
	kit.Named(gtx, image.Rectangle{Max: card}, "Tour")
	event.Op(gtx.Ops, &t.area)
	pointer.CursorDefault.Add(gtx.Ops)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	inside.Add(gtx.Ops)
}

// place returns the corner of the card: beside the panel it tells of, not over
// it, and inside the window.
func (t *tour) place(p panel, card, window image.Point, gap int) image.Point {
	r := t.panels[p]
	at := image.Pt(r.Min.X, r.Min.Y-card.Y-gap)
	switch p {
	case stagesPanel: // over the sheet, which is of no use yet
		at = image.Pt(t.panels[sheetPanel].Min.X-gap, r.Min.Y+gap)
	case sheetPanel, planPanel:
		at = image.Pt(r.Min.X-card.X-gap, r.Min.Y+(r.Dy()-card.Y)/2)
	case guidePanel: // over the sheet: the pictures are wanted
		at = image.Pt(t.panels[sheetPanel].Min.X-gap, t.panels[sheetPanel].Max.Y-card.Y)
	}
	at.X = min(max(at.X, gap), window.X-card.X-gap)
	at.Y = min(max(at.Y, gap), window.Y-card.Y-gap)
	return at
}

func (a *App) tourText(gtx layout.Context, s *tourStep) layout.Dimensions {
	th, t := a.theme, &a.tour
	steps := len(a.tourSteps())
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(8)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Small, font.Medium, th.Dim, fmt.Sprintf("Step %d of %d", t.step+1, steps))
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Title, font.SemiBold, th.Text, s.title)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, s.text)
	})
	if s.try != "" {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			side := gtx.Sp(18)
			x := side + gtx.Dp(6)
			g := gtx
			g.Constraints.Max.X = max(gtx.Constraints.Max.X-x, 1)
			off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
			d := th.Paragraph(g, draw.Body, font.Medium, th.Accent, "Try it: "+s.try+".")
			off.Pop()
			if t.done {
				th.Icon(gtx.Ops, draw.IconCheck, image.Pt(0, gtx.Sp(1)), side, th.Accent)
			} else {
				draw.Ring(gtx.Ops, f32.Pt(float32(side)/2, float32(side)/2+float32(gtx.Sp(1))), float32(side)/3, float32(gtx.Dp(2)), th.Accent)
			}
			return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
		})
	}
	button := func(b *draw.Button, st draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, st) }
	}
	last := t.step == steps-1
	if last && filepath.Dir(a.desk.Path) == a.dirs.Demo() && filepath.Base(a.desk.Path) != demo.MarkedFile {
		col.Add(button(&t.marked, draw.ButtonStyle{Label: "See this swing fully marked"}))
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		parts := []layout.Widget{nil, nil, nil}
		if !last {
			parts[0] = button(&t.skip, draw.ButtonStyle{Label: "Skip the tour", Kind: draw.Quiet})
		}
		if t.step > 0 {
			parts[1] = button(&t.back, draw.ButtonStyle{Label: "Back"})
		}
		label := "Next"
		if last {
			label = "Done"
		}
		parts[2] = button(&t.next, draw.ButtonStyle{Label: label, Kind: draw.Primary})
		return kit.EndRow(gtx, parts...)
	})
	return col.Done()
}
