package ui

import (
	"context"
	"math"
	"slices"

	"gioui.org/f32"
	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// progressCard shows measures of a student over all lessons.
type progressCard struct {
	open    bool
	student int64
	name    string

	measures []library.Measure
	shown    []measureAt // those with a plot, in order
	series   map[measureAt][]library.Value
	known    bool // the measures were read
	asked    int
	cursor   int // row of the list that the keyboard is at
	focus    bool
	keys     bool // tag of the list's keys

	list  rowList
	close draw.Button
	clubs draw.Segmented
	club  annotations.ClubGroup
	plots []progressPlot
}

// measureAt names a measure at a key position.
type measureAt struct {
	name     string
	position geometry.PositionName
}

// progressPlot is one plot as it was laid out.
type progressPlot struct {
	click gesture.Click
	spots []f32.Point
}

// mostPlots is how many measures are shown at once.
const mostPlots = 4

// clubGroups are the choices of clubs, and their labels.
var clubGroups = []annotations.ClubGroup{annotations.AnyClub, annotations.Driver, annotations.MidIron, annotations.ShortIron}

// progressView is what the card shows, read at once.
type progressView struct {
	measures []library.Measure
	series   map[measureAt][]library.Value
	shown    []measureAt
}

// openProgress shows the progress of a student.
func (a *App) openProgress(student int64, name string) {
	a.overLessons = progressCard{open: true, student: student, name: name, focus: true}
	a.askProgress()
}

// showProgress shows that of the student on the bench.
func (a *App) showProgress() {
	name := a.desk.Bench.Lesson().Student.Name
	switch {
	case a.worker == nil || !a.library.ready:
		a.notices.Tell("There is no library to show progress from.")
		return
	case name == "":
		a.notices.Tell("This lesson has no student's name, so there are no other lessons to show progress over.")
		return
	}
	a.worker.Touch(a.desk.Path, a.desk.Bench.Lesson(), true, true)
	ask(a, "the progress can't be shown", func(ctx context.Context, l *library.Library) (int64, error) {
		return l.StudentNamed(ctx, name)
	}, func(key int64, err error) {
		switch {
		case err != nil:
			a.notices.Alert(err.Error())
		case key == 0:
			a.notices.Tell(bench.Note(name + " is not in the library yet."))
		default:
			a.openProgress(key, name)
		}
	})
}

// progressChanged reads what is shown anew.
func (a *App) progressChanged() {
	if a.overLessons.open {
		a.askProgress()
	}
}

func (a *App) askProgress() {
	c := &a.overLessons
	c.asked++
	asked, student, club, shown := c.asked, c.student, c.club, slices.Clone(c.shown)
	ask(a, "the progress can't be shown", func(ctx context.Context, l *library.Library) (progressView, error) {
		v := progressView{series: make(map[measureAt][]library.Value), shown: shown}
		var err error
		if v.measures, err = l.MeasuresOf(ctx, student); err != nil {
			return v, err
		}
		read := func(k measureAt) error {
			if _, ok := v.series[k]; ok {
				return nil
			}
			v.series[k], err = l.Progress(ctx, student, k.name, k.position, club)
			return err
		}
		if len(shown) == 0 {
			for _, m := range v.measures {
				if m.Target {
					if err := read(measureAt{m.Name, m.Position}); err != nil {
						return v, err
					}
				}
			}
			v.shown = mostTelling(v.measures, v.series)
		}
		for _, k := range v.shown {
			if err := read(k); err != nil {
				return v, err
			}
		}
		return v, nil
	}, func(v progressView, err error) {
		c := &a.overLessons
		if !c.open || asked != c.asked {
			return
		}
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		c.measures, c.series, c.shown, c.known = v.measures, v.series, v.shown, true
		c.list.resize(len(c.measures))
		c.cursor = min(c.cursor, max(len(c.measures)-1, 0))
	})
}

// mostTelling picks the measures that are shown at first: of those with a target
// range the ones with the surest changes, in the order of the list.
func mostTelling(measures []library.Measure, series map[measureAt][]library.Value) []measureAt {
	type scored struct {
		k     measureAt
		score float64
		order int
	}
	var all []scored
	for i, m := range measures {
		k := measureAt{m.Name, m.Position}
		score := 0.0
		for _, v := range series[k] {
			if v.Change != nil && v.Change.Sigma > 0 {
				score = max(score, math.Abs(v.Change.Value)/v.Change.Sigma)
			}
		}
		if m.Target {
			score += 0.5
		}
		all = append(all, scored{k, score, i})
	}
	slices.SortStableFunc(all, func(x, y scored) int {
		switch {
		case x.score > y.score:
			return -1
		case x.score < y.score:
			return 1
		}
		return 0
	})
	all = all[:min(len(all), mostPlots)]
	slices.SortFunc(all, func(x, y scored) int { return x.order - y.order })
	var out []measureAt
	for _, s := range all {
		out = append(out, s.k)
	}
	return out
}

// toggleMeasure shows a measure or takes it off; of too many the first goes.
func (a *App) toggleMeasure(row int) {
	c := &a.overLessons
	if row < 0 || row >= len(c.measures) {
		return
	}
	k := measureAt{c.measures[row].Name, c.measures[row].Position}
	if i := slices.Index(c.shown, k); i >= 0 {
		if len(c.shown) > 1 { // an empty card shows nothing
			c.shown = slices.Delete(slices.Clone(c.shown), i, i+1)
		}
		return
	}
	c.shown = append(slices.Clone(c.shown), k)
	if len(c.shown) > mostPlots {
		c.shown = c.shown[1:]
	}
	a.askProgress()
}

func (a *App) updateProgress(gtx layout.Context) {
	c := &a.overLessons
	if c.focus && len(c.measures) > 0 { // the list is there
		c.focus = false
		gtx.Execute(key.FocusCmd{Tag: &c.keys})
	}
	for {
		ev, ok := gtx.Event(key.FocusFilter{Target: &c.keys},
			key.Filter{Focus: &c.keys, Name: key.NameUpArrow}, key.Filter{Focus: &c.keys, Name: key.NameDownArrow},
			key.Filter{Focus: &c.keys, Name: key.NamePageUp}, key.Filter{Focus: &c.keys, Name: key.NamePageDown},
			key.Filter{Focus: &c.keys, Name: key.NameHome}, key.Filter{Focus: &c.keys, Name: key.NameEnd},
			key.Filter{Focus: &c.keys, Name: key.NameSpace}, key.Filter{Focus: &c.keys, Name: key.NameReturn}, key.Filter{Focus: &c.keys, Name: key.NameEnter})
		if !ok {
			break
		}
		e, isKey := ev.(key.Event)
		if !isKey || e.State != key.Press {
			continue
		}
		page := max(c.list.visible-1, 1)
		switch e.Name {
		case key.NameUpArrow:
			c.cursor--
		case key.NameDownArrow:
			c.cursor++
		case key.NamePageUp:
			c.cursor -= page
		case key.NamePageDown:
			c.cursor += page
		case key.NameHome:
			c.cursor = 0
		case key.NameEnd:
			c.cursor = len(c.measures)
		case key.NameSpace:
			a.toggleMeasure(c.cursor)
		case key.NameReturn, key.NameEnter:
			if c.cursor < len(c.measures) {
				c.shown = []measureAt{{c.measures[c.cursor].Name, c.measures[c.cursor].Position}}
				a.askProgress()
			}
		}
		c.cursor = min(max(c.cursor, 0), max(len(c.measures)-1, 0))
		c.list.reveal = c.cursor
	}
	for i := range c.list.clicks[:min(len(c.list.clicks), len(c.measures))] {
		if clicked(gtx, &c.list.clicks[i]) > 0 {
			c.cursor = i
			a.toggleMeasure(i)
			gtx.Execute(key.FocusCmd{Tag: &c.keys})
		}
	}
	if i, ok := c.clubs.Update(gtx); ok {
		c.club = clubGroups[i]
		a.askProgress()
	}
	for i := range c.plots {
		a.updatePlot(gtx, i)
	}
	if c.close.Clicked(gtx) {
		c.open = false
	}
}

// updatePlot opens the lesson whose point was clicked.
func (a *App) updatePlot(gtx layout.Context, i int) {
	c := &a.overLessons
	p := &c.plots[i]
	for {
		e, ok := p.click.Update(gtx.Source)
		if !ok {
			return
		}
		if e.Kind != gesture.KindClick || i >= len(c.shown) {
			continue
		}
		at := f32.Pt(float32(e.Position.X), float32(e.Position.Y))
		series := c.series[c.shown[i]]
		n := nearestSpot(p.spots, at, float32(gtx.Dp(24)))
		if n < 0 || n >= len(series) {
			continue
		}
		path := series[n].Path
		switch {
		case a.desk != nil && a.desk.Path == path:
			c.open = false
		case missing(path):
			a.notices.Alert("The document of that lesson is not there: " + path + ". Open the lesson from the library, which has a copy.")
		default:
			c.open, a.library.open = false, false
			a.openLesson(path)
		}
		return
	}
}

// nearestSpot returns the index of the spot nearest to a place, within reach, or
// -1.
func nearestSpot(spots []f32.Point, at f32.Point, reach float32) int {
	best, far := -1, float64(reach)
	for i, s := range spots {
		if d := math.Hypot(float64(s.X-at.X), float64(s.Y-at.Y)); d <= far {
			best, far = i, d
		}
	}
	return best
}
