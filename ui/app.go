package ui

import (
	"image"
	"sync"
	"time"

	"gioui.org/io/event"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/drop"
	"turngauge/ui/sheet"
	"turngauge/video"
)

// App is the window and everything in it. It belongs to one goroutine.
type App struct {
	box      mailbox
	theme    *draw.Theme
	places   places
	settings settings
	budget   *video.Budget
	table    []command
	commands map[string]*command
	buttons  []*namedButton

	desk        *desk // nil while no lesson is open
	home        homeView
	student     studentForm
	intake      intake
	chooser     *choose.Chooser
	notices     notices
	points      pointList
	stick       stickPanel
	preferences preferences
	compare     compareCard
	shots       shotsCard
	findings    findingsPanel
	curves      curvesPanel
	baseTargets annotations.Targets // the defaults, and those of the coach's own file after them
	targets     annotations.Targets // that count for the lesson: those, and the library's
	rules       annotations.Rules
	explain     explaining
	help        helpCard
	modalView   modalView
	repeats     repeatCard
	tour        tour
	spare       spareCard
	keeper      *keeper // nil where the library was not started
	library     libraryPanel
	overLessons progressCard
	lost        lostCard
	check       prescriptionCheck
	drills      drillCard
	ranges      rangesCard
	sheet       sheet.Sheet
	plan        planView
	clip        string // to go to the clipboard with this frame

	stages     [bench.NumStages]stageView
	alone      bool // only the active stage is shown
	splits     splits
	markBuffer []annotations.Mark
	scrim      bool // tags of the modal card and of what it covers
	modalArea  bool

	version  string
	keys     keyboard
	keysKept bool           // a card or a field kept the letters to itself in the last frame
	ending   bool           // the program was told to end
	writing  sync.WaitGroup // what the student takes home
	dropper  *drop.Listener
	dropOver bool

	now      time.Time
	lastTick time.Time
	size     image.Point
	tracer   tracer
}

// newApp makes the window's content without a window; wake asks for a frame.
func newApp(p places, th *draw.Theme, wake func()) *App {
	a := &App{places: p, settings: p.settings(), theme: th, table: commandTable()}
	a.box.wake = wake
	a.theme.SetDark(!a.settings.Light)
	a.theme.SetTextScale(a.settings.TextScale)
	a.budget = video.NewBudget(cacheBytes(a.settings))
	a.commands = make(map[string]*command, len(a.table))
	for i := range a.table {
		a.commands[a.table[i].id] = &a.table[i]
	}
	a.explain.copyPNG = clipboardPNG()
	a.keys = newKeyboard(a.table)
	a.chooser = choose.New(wake, choose.Clips, choose.Lessons)
	a.home.refresh(a)
	a.readOwn()
	return a
}

// frame is one frame: the mailbox, then what happened, then drawing.
func (a *App) frame(gtx layout.Context) {
	a.now = gtx.Now
	a.size = image.Pt(int(float32(gtx.Constraints.Max.X)/gtx.Metric.PxPerDp), int(float32(gtx.Constraints.Max.Y)/gtx.Metric.PxPerDp))
	a.box.run()
	a.fitText()
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

// modal reports whether a card is open that everything else waits for.
func (a *App) modal() bool {
	return a.help.open || a.spare.open || a.repeats.open || a.student.open || a.intake.open || a.preferences.open || a.compare.open || a.shots.open || a.explain.save.open || a.library.open || a.overLessons.open || a.lost.open || a.drills.open || a.ranges.open || a.chooser.Visible()
}

func (a *App) update(gtx layout.Context) {
	a.updateNotices(gtx)
	a.updateFocus(gtx)
	if paths, done := a.chooser.Update(gtx); done {
		a.chosen(paths)
	}
	switch {
	case a.chooser.Visible():
	case a.lost.open:
		a.updateLost(gtx)
	case a.student.open:
		a.updateStudent(gtx)
	case a.intake.open:
		a.updateIntake(gtx)
	case a.compare.open:
		a.updateCompareCard(gtx)
	case a.shots.open:
		a.updateShots(gtx)
	case a.explain.save.open:
		a.updateSave(gtx)
	case a.preferences.open:
		a.updatePreferences(gtx)
	case a.spare.open:
		a.updateSpare(gtx)
	case a.repeats.open:
		a.updateRepeats(gtx)
	case a.help.open:
		a.updateHelp(gtx)
	case a.overLessons.open:
		a.updateProgress(gtx)
	case a.drills.open:
		a.updateDrills(gtx)
	case a.ranges.open:
		a.updateRanges(gtx)
	case a.library.open:
		a.updateLibrary(gtx)
	case a.desk == nil:
		a.updateHome(gtx)
	default:
		a.updateDesk(gtx)
	}
	a.updateKeys(gtx)
	if a.clip != "" {
		a.copyText(gtx, a.clip)
		a.clip = ""
	}
	if a.desk != nil {
		a.desk.bench.Refresh()
		a.followLesson()
		a.board().Refresh()
		a.sheet.At = a.desk.show().Position // a key may have gone on
		a.proposePositions()
		a.changed()
		for i := range a.stages {
			a.presentStage(i)
		}
		a.plan.refresh(a.desk)
	}
}

func (a *App) updateDesk(gtx layout.Context) {
	a.updateButtons(gtx)
	if a.desk == nil { // a button closed the lesson
		return
	}
	a.updateTour(gtx)
	if a.desk == nil {
		return
	}
	if a.points.open {
		a.updatePoints(gtx)
	}
	a.updateStick(gtx)
	a.updateExplain(gtx)
	a.updateFollowing(gtx)
	a.updateCurves(gtx)
	a.updateStrip(gtx)
	a.updateSheet(gtx)
	a.updateFindings(gtx)
	a.updateSplits(gtx)
	for i := range a.stages {
		a.updateStage(gtx, i)
		a.updateRail(gtx, i)
	}
	a.play(gtx)
}

// play moves a playing clip on by the time since the last frame.
func (a *App) play(gtx layout.Context) {
	b := a.desk.show()
	if on, _ := b.Playing(); !on {
		return
	}
	// After a pause of the whole window the clip goes on, it does not leap.
	dt := min(gtx.Now.Sub(a.lastTick).Seconds(), 0.1)
	a.lastTick = gtx.Now
	if b.Tick(dt) {
		gtx.Execute(op.InvalidateCmd{})
	}
}

// updateFocus gives the keyboard to the window's own keys at the start.
func (a *App) updateFocus(gtx layout.Context) {
	if !a.tracer.started {
		gtx.Execute(key.FocusCmd{Tag: a})
	}
}

// updateKeys does the commands whose keys were pressed, in the order in which
// they were. A card that is open keeps the letters to itself; Esc and F1 always
// work.
func (a *App) updateKeys(gtx layout.Context) {
	again := false
	for {
		wanted := a.keys.all
		if a.keepsKeys() {
			wanted = a.keys.always
		}
		ev, ok := gtx.Event(wanted...)
		if !ok {
			break
		}
		if e, ok := ev.(key.Event); ok && e.State == key.Press {
			id := a.keys.bound[chord{e.Name, e.Modifiers}]
			a.run(id)
			again = again || id == "let go"
		}
	}
	// A key is a command from the frame on that follows the one in which it was
	// first asked for: that one must not wait for the key.
	if kept := a.keepsKeys(); again || kept != a.keysKept {
		a.keysKept = kept
		gtx.Execute(op.InvalidateCmd{})
	}
}

// keepsKeys reports whether a card or a field keeps the letters to itself.
func (a *App) keepsKeys() bool {
	return a.modal() || a.explain.typing || a.findings.typing || a.desk == nil && a.library.tagging
}

// escape closes what is open on top, else lets go of what is in hand.
func (a *App) escape() {
	switch {
	case a.help.open:
		a.help.open = false
	case a.intake.open:
		a.intake.open = false
	case a.student.open:
		a.student.open = false
	case a.preferences.open:
		a.preferences.open = false
	case a.compare.open:
		a.compare.open = false
	case a.shots.open:
		a.shots.escape()
	case a.explain.save.open:
		a.explain.save.open = false
	case a.repeats.open:
		a.repeats.open = false
	case a.spare.open:
		a.spare.open = false
	case a.lost.open:
		a.lost.open = false
	case a.overLessons.open:
		a.overLessons.open = false
		a.library.focus = a.showsLibrary()
	case a.drills.open:
		a.drills.open = false
	case a.ranges.open:
		a.closeRanges()
	case a.closeAlert():
	case a.library.open:
		a.library.open = false
	case a.desk == nil && a.library.escape():
		a.askLibrary()
	case a.points.open:
		a.points.open = false
	case a.findings.typing:
		a.findings.rest = true
	case a.desk != nil && a.desk.follow.cancel != nil:
		a.desk.follow.cancel()
	case a.tour.on && a.desk != nil:
		a.endTour()
	case a.desk != nil && a.desk.comparing != nil:
		a.stopComparing()
	case a.explains():
		a.escapeExplain()
	case a.desk != nil:
		a.tell(a.desk.bench.LetGo())
	}
}

// chosen takes what was chosen in the open dialog; nothing if it was left.
func (a *App) chosen(paths []string) {
	comparing, table := a.compare.asking, a.shots.asking
	asked := a.library.asking
	a.library.asking = askedNothing
	a.compare.asking, a.shots.asking = false, false
	switch {
	case len(paths) == 0:
	case asked == askedImport:
		a.importFiles(paths)
	case asked == askedRanges:
		a.importRanges(paths[0])
	case table && a.desk != nil:
		a.readShotTable(paths[0])
	case comparing && a.desk != nil:
		a.compareWithFile(paths[0])
	default:
		a.openPaths(paths)
	}
}

// openDialog asks for a lesson or clips.
func (a *App) openDialog() {
	dir := ""
	if a.desk != nil {
		dir = a.desk.clipFolder()
	}
	a.chooser.Look(choose.Clips, choose.Lessons)
	a.chooser.Open("Open a lesson or clips", true, dir)
}
