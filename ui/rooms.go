package ui

import (
	"image"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/compare"
	curvespanel "turngauge/ui/curves/panel"
	"turngauge/ui/explain"
	explainpanel "turngauge/ui/explain/panel"
	"turngauge/ui/findings"
	"turngauge/ui/help"
	"turngauge/ui/home"
	"turngauge/ui/intake"
	"turngauge/ui/kit"
	planpanel "turngauge/ui/plan/panel"
	"turngauge/ui/points"
	"turngauge/ui/preferences"
	"turngauge/ui/repeats"
	"turngauge/ui/review"
	"turngauge/ui/sheet"
	"turngauge/ui/shelf"
	"turngauge/ui/shelf/drills"
	"turngauge/ui/shelf/moving"
	"turngauge/ui/shelf/progress"
	"turngauge/ui/shelf/ranges"
	"turngauge/ui/shelf/students"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/shots"
	"turngauge/ui/stage"
	"turngauge/ui/strip"
	"turngauge/ui/swings"
	"turngauge/ui/tour"
	visitpanel "turngauge/ui/visit/panel"
)

// furnish makes the rooms, from the top of the window down.
func (a *App) furnish() {
	shotLog := shots.New(a, a.dirs.Config)
	a.points, a.plan = points.New(a), planpanel.New(a)
	a.shelf = worker.NewClient(&a.work, a.notices.Alert)
	lesson := func(path string) { // instead of the library
		a.library.PutAway()
		a.openLesson(path)
	}
	lost := shelf.NewLost(a, a.shelf, a.dirs, lesson)
	consent := shelf.NewConsent(a)
	rights := shelf.NewRights(a, a.shelf, a.dirs, consent, a.pictures.Forget)
	overLessons := progress.New(a, a.shelf, lesson, func() { a.library.Focus() })
	card := students.New(a, a.shelf, a.pictures)
	a.library = shelf.New(a, a.shelf, a.dirs, lost, consent, rights, a.pictures, lesson, shelf.Cards{Progress: overLessons.Open, Student: card.Open})
	incoming, student := intake.New(a, a.dirs, intake.Doors{
		Lesson: a.openLesson, Begin: func(path string, l *annotations.Lesson) bool {
			return a.startDesk(path, func() (*annotations.Lesson, []string, error) { return l, nil, nil })
		}, Table: shotLog.ReadTable, Last: a.lastLessons, Apart: a.tellApart, Minor: rights.OpenForMinor,
		Export: func(path string) bool {
			if !a.shelf.Started() {
				return false
			}
			a.library.Import([]string{path})
			return true
		},
		Visit: func(clips []string) { a.visit.Open(clips) },
		Swing: func(id string) { a.desk.ShowSwing(id) }, Films: func() { a.desk.OpenClips() },
		ClipFolder: func() string {
			if a.desk == nil {
				return ""
			}
			return a.desk.ClipFolder()
		},
	})
	a.intake = incoming
	a.moving = moving.New(a, a.shelf, a.dirs, func(id string) { a.desk.ShowSwing(id) })
	a.visit = visitpanel.New(a, a.dirs, func(swing string) { a.desk.ShowSwing(swing) })
	a.home = home.New(a, a.dirs, a.library, home.Doors{
		Lesson: a.openLesson, NewStudent: func() { student.Begin(nil) }, DemoOpened: func() { a.tour.DemoOpened() }, Region: a.tracer.region,
	})
	a.tour = tour.New(a, a.dirs, tour.Doors{
		Demo: a.home.OpenDemo, Lesson: a.openLesson, Clear: a.showParts, GoTo: func(name geometry.PositionName) { a.desk.GoTo(name) },
		Row: func() string {
			if row := a.sheet.Hovered(); row != "" {
				return row
			}
			return a.sheet.Selected()
		},
		Rows:  func() bool { return a.desk.Result.Sheet != nil && len(a.desk.Result.Sheet.Groups) > 0 },
		Focus: func(gtx layout.Context) { gtx.Execute(key.FocusCmd{Tag: a}) },
	})
	a.versions = intake.NewVersions(a, a.loadLesson, a.restoreLesson)
	a.speed = intake.NewSpeeds(a)
	a.places = intake.NewPlaces(a)
	a.preferences = preferences.New(a, a.shelf, preferences.Doors{
		LimitCache: func(bytes int64) { a.env.Budget.SetLimit(bytes) },
		JudgeAnew: func() {
			a.shelf.DecideFrom(a.settings.Decided)
			if a.desk != nil {
				a.desk.SolveAnew() // the sheet is to be written anew
			}
		},
		Help: func(id string) string { return a.commands.byID[id].Help },
	})
	a.findings = findings.New(a, a.shelf, findings.Doors{
		Terms: a.env.Terms,
		Show: func(measure string, at geometry.PositionName) {
			a.desk.GoTo(at)
			a.sheet.Select(sheet.Key(measure, at))
		},
		CopyPNG: func(data []byte) error { return a.clip.picture(data) },
		End:     func() { a.ending = true },
		Talk:    func(f annotations.Finding) { a.review.Talk(f) },
	})
	a.curves = curvespanel.New(a, a.clip.copy)
	a.explain = explainpanel.New(a, explainpanel.Doors{
		Shown: func() []int { return a.stage.Shown() }, Size: func(i int) bench.Size { return a.stage.Size(i) },
		Button: a.commandButton, Buttons: a.layoutFitting,
		Over:    func() (geometry.Similarity, float64, bool) { return a.compare.Over().Laid() },
		Begun:   a.points.Close,
		CopyPNG: func(data []byte) error { return a.clip.picture(data) },
	})
	a.compare = compare.New(a, a.shelf, a.dirs, compare.Doors{
		Changes: func(on bool) { a.sheet.Changes = on }, Begun: a.points.Close, Buttons: a.layoutFitting,
		Picture: func(gtx layout.Context, path string, size image.Point) {
			a.pictures.Layout(gtx, a.theme, path, "", size)
		},
	})
	a.stage = stage.New(a, stage.Doors{
		Explain: a.explain, Over: a.compare.Over(), Followed: a.curves.Shown, Again: func() { a.work.Wake() },
		Region: func(name string, r image.Rectangle) { a.tracer.region(name, r.Add(a.tracer.stages)) },
	})
	a.review = review.New(a, review.Doors{
		Shown: func() []int { return a.stage.Shown() }, Size: func(i int) bench.Size { return a.stage.Size(i) },
		Pointer:   func(i int) (bench.ScreenPt, bool) { return a.stage.Pointer(i) },
		Explained: func() (bool, explain.Set) { return a.explain.On(), a.explain.Lines() },
		Begun:     func(i int) (annotations.Drawing, bool) { return a.explain.Begun(i) },
		Over: func() (float64, bool) {
			_, share, ok := a.compare.Over().Laid()
			return share, ok
		},
		Row: func() string { return a.sheet.Pointed() }, Panels: a.panelsShown, Curves: a.curves.Seen, Terms: a.env.Terms,
		Finding: func(f annotations.Finding) {
			a.findings.Close()
			if f.Measure != "" {
				a.desk.GoTo(f.Position)
				a.sheet.Select(sheet.Key(f.Measure, f.Position))
			}
		},
	})
	a.strip = strip.New(a, strip.Doors{Buttons: a.layoutFitting})
	a.rooms = []kit.Room{
		help.New(a, func() []*kit.Command { return a.commands.list }, ownKeys()...),
		lost,
		consent,
		rights,
		card,
		a.moving,
		student,
		a.intake,
		a.visit,
		a.compare.Card(),
		shotLog,
		a.review.Card(),
		a.explain.SaveCard(),
		a.preferences,
		a.versions,
		a.speed,
		a.places,
		repeats.New(a),
		swings.New(a, swings.Doors{Terms: a.env.Terms, Show: func(id, measure string, at geometry.PositionName) {
			if a.desk.Bench.Swing().ID != id {
				a.desk.ShowSwing(id)
			}
			a.desk.GoTo(at)
			if measure != "" {
				a.sheet.Select(sheet.Key(measure, at))
			}
		}}),
		overLessons,
		drills.New(a, a.shelf),
		ranges.New(a, a.shelf, a.dirs, func() annotations.Targets { return a.standards.Base }, a.rangesChanged),
		alerts{a},
		a.library,
		a.home,
		a.points,
		a.findings,
		a.review,
		a.strip,
		a.tour,
		a.explain,
		a.compare,
		a.curves,
		a.stage,
	}
}

// alerts is what Esc closes of the notices; the window draws them itself.
type alerts struct{ a *App }

func (n alerts) Commands() []kit.Command                 { return nil }
func (n alerts) Update(layout.Context)                   {}
func (n alerts) Layout(layout.Context) layout.Dimensions { return layout.Dimensions{} }
func (n alerts) Escape() bool                            { return n.a.notices.CloseAlert() }
func (n alerts) HoldsKeys() bool                         { return false }

// openCard is the uppermost card that is open, or nil.
func (a *App) openCard() kit.Card {
	for _, r := range a.rooms {
		if c, ok := r.(kit.Card); ok && c.IsOpen() {
			return c
		}
	}
	return nil
}

// modal reports whether a card is open that everything else waits for.
func (a *App) modal() bool { return a.files.Visible() || a.openCard() != nil }

// noticesOver reports whether a card is open over which notices are shown.
func (a *App) noticesOver() bool {
	for _, r := range a.rooms {
		if c, ok := r.(kit.NoticesOver); ok && c.IsOpen() && c.NoticesOver() {
			return true
		}
	}
	return false
}

// escape closes what is open on top, else lets go of what is in hand.
func (a *App) escape() {
	for _, r := range a.rooms {
		if r.Escape() {
			return
		}
	}
}

// putAway closes what was open for the lesson that is being closed.
func (a *App) putAway() {
	for _, r := range a.rooms {
		if l, ok := r.(kit.LessonRoom); ok {
			l.LessonClosed()
		}
	}
}

// panelsShown are the panels that are open, by the names that a recorded review has.
func (a *App) panelsShown() (open []string) {
	for _, p := range []struct {
		name string
		on   bool
	}{{"curves", a.curves.Shown()}, {"from above", !a.planFolded && !a.findings.Shown()}, {"findings", a.findings.Shown()}} {
		if p.on {
			open = append(open, p.name)
		}
	}
	return open
}
