package ui

import (
	"image"
	"strings"
	"sync/atomic"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/choose"
	"turngauge/ui/compare"
	curvespanel "turngauge/ui/curves/panel"
	"turngauge/ui/desktop"
	"turngauge/ui/draw"
	explainpanel "turngauge/ui/explain/panel"
	"turngauge/ui/findings"
	"turngauge/ui/home"
	"turngauge/ui/intake"
	"turngauge/ui/kit"
	planpanel "turngauge/ui/plan/panel"
	"turngauge/ui/points"
	"turngauge/ui/preferences"
	"turngauge/ui/profile"
	"turngauge/ui/review"
	"turngauge/ui/session"
	"turngauge/ui/sheet"
	"turngauge/ui/shelf"
	"turngauge/ui/shelf/moving"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/stage"
	"turngauge/ui/strip"
	"turngauge/ui/thumbnail"
	"turngauge/ui/tour"
	visitpanel "turngauge/ui/visit/panel"
)

// App is the window and everything in it. It belongs to one goroutine.
type App struct {
	work     session.Work
	theme    *draw.Theme
	dirs     profile.Dirs
	settings profile.Settings
	rooms    []kit.Room // from the top of the window down
	commands commandTable
	files    fileDialog
	notices  kit.Notices
	clip     clipboard
	desktop  desktop.Desktop // nil until it is joined

	env  session.Env
	desk *session.Session // nil while no lesson is open
	// saving is the same for other goroutines, until it is closed.
	saving atomic.Pointer[session.Session]

	// The rooms that others lead to, or that the window draws by itself.
	home *home.Room
	incoming
	preferences *preferences.Room
	library     *shelf.Room
	moving      *moving.Room
	panels

	shelf     *worker.Client
	pictures  *thumbnail.Pictures
	standards profile.Standards

	size   image.Point // of the window, dp
	ending bool        // the program was told to end
	tracer tracer
}

// incoming are the cards that ask about what comes in, and about clips.
type incoming struct {
	intake   *intake.Room
	visit    *visitpanel.Room
	versions *intake.Versions
	speed    *intake.Speeds
	places   *intake.Places
}

// panels are the rooms that have a place of their own in the window while a lesson
// is open.
type panels struct {
	stage    *stage.Room
	strip    *strip.Room
	points   *points.Room
	compare  *compare.Room
	explain  *explainpanel.Room
	curves   *curvespanel.Room
	findings *findings.Room
	plan     *planpanel.Room
	review   *review.Room
	tour     *tour.Room
	sheet    sheet.Sheet
	split    kit.Splitter // between the pictures and the sheet

	planFolded bool // as last laid out
}

// fileDialog asks for files, for one room at a time.
type fileDialog struct {
	*choose.Chooser
	asked func(paths []string) // who the answer is for
}

// newApp makes the window's content without a window; wake asks for a frame.
func newApp(d profile.Dirs, th *draw.Theme, wake func()) *App {
	a := &App{dirs: d, settings: d.Settings(), theme: th}
	a.work.Wake, a.work.Alert, a.work.Faults = wake, a.notices.Alert, d.Faults()
	a.theme.SetDark(!a.settings.Light)
	a.theme.SetTextScale(a.settings.TextScale)
	a.env = a.newEnv()
	a.clip.picture = func([]byte) error { return desktop.ErrNoPictures }
	a.pictures = thumbnail.New(&a.work, d.Pictures())
	a.pictures.Address = a.addressIn
	if o := a.settings.SheetOrder; o != "" {
		a.sheet.Order = strings.Split(o, ",")
	}
	a.furnish()
	a.commands = newCommandTable(ownCommands(a), a.rooms)
	a.files.Chooser = choose.New(wake, intake.AnyFile...)
	a.files.Thumbnails = a.pictures
	var problems []string
	a.standards, problems = d.Standards()
	for _, text := range problems {
		a.notices.Alert(text)
	}
	return a
}

// frame is one frame: the mailbox, then what happened, then drawing.
func (a *App) frame(gtx layout.Context) {
	a.size = image.Pt(int(float32(gtx.Constraints.Max.X)/gtx.Metric.PxPerDp), int(float32(gtx.Constraints.Max.Y)/gtx.Metric.PxPerDp))
	a.work.Run()
	a.preferences.FitText(a.size)
	gtx = a.theme.Context(gtx)
	a.update(gtx)
	a.tracer.begin()
	// In an area of its own: a handler without gestures takes the whole tree of
	// labels off the window's root.
	area := clip.Rect(image.Rectangle{Max: gtx.Constraints.Max}).Push(gtx.Ops)
	event.Op(gtx.Ops, a)
	area.Pop()
	a.layout(gtx)
}

func (a *App) update(gtx layout.Context) {
	a.notices.Update(gtx)
	a.updateFocus(gtx)
	if paths, done := a.files.Update(gtx); done {
		a.chosen(paths)
	}
	switch card := a.openCard(); {
	case a.files.Visible():
	case card != nil:
		card.Update(gtx)
	case a.desk == nil:
		a.home.Update(gtx)
	default:
		a.updateDesk(gtx)
	}
	a.updateKeys(gtx)
	a.clip.update(gtx, a)
	if text, ok := a.clip.pasted(gtx); ok {
		if p, open := a.openCard().(kit.Paster); !open || !p.Paste(text) {
			a.intake.Paste(text)
		}
		gtx.Execute(op.InvalidateCmd{}) // what opened takes the keyboard in its first update
	}
	if a.desk != nil {
		a.moving.Watch()
		a.desk.Update()
		a.explain.Refresh()
		a.sheet.At = a.desk.Show().Position // a key may have gone on
		a.stage.Present()
		a.plan.Refresh()
		a.review.Watch(gtx)
	}
}

func (a *App) updateDesk(gtx layout.Context) {
	a.updateButtons(gtx)
	if a.desk == nil { // a button closed the lesson
		return
	}
	for _, r := range a.rooms {
		if _, card := r.(kit.Card); card || r == kit.Room(a.home) {
			continue
		}
		if r.Update(gtx); a.desk == nil {
			return
		}
	}
	a.updateSheet(gtx)
	a.updateSplit(gtx)
}

// updateFocus gives the keyboard to the window's own keys at the start.
func (a *App) updateFocus(gtx layout.Context) {
	if !a.tracer.started {
		gtx.Execute(key.FocusCmd{Tag: a})
	}
}

// chosen hands what was chosen in the dialog to whoever asked for it.
func (a *App) chosen(paths []string) {
	then := a.files.asked
	a.files.asked = nil
	if len(paths) > 0 && then != nil {
		then(paths)
	}
}
