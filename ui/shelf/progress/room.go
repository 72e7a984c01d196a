// Package progress is the card that shows measures of a student over all
// lessons.
package progress

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
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
)

// Room is the card.
type Room struct {
	host       kit.Host
	shelf      *worker.Client
	openLesson func(path string)
	closed     func()
	card       kit.Modal
	cardState
}

type cardState struct {
	kit.Openable
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

	list  kit.List
	close draw.Button
	clubs draw.Segmented
	club  annotations.ClubGroup
	plots []plot
}

// New returns the room of a window. openLesson opens another lesson, whose point was
// clicked; closed is called when the coach has closed the card.
func New(h kit.Host, c *worker.Client, openLesson func(path string), closed func()) *Room {
	r := &Room{host: h, shelf: c, openLesson: openLesson, closed: closed}
	c.Watch(r.read)
	return r
}

// Commands is the way into the room.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "progress", Group: "Lesson", After: "open", Help: "Progress of this student over all lessons",
		Keys: kit.WithMod(key.ModCtrl, "P"), Do: r.openForLesson,
	}}
}

// Escape closes the card.
func (r *Room) Escape() bool {
	if !r.Shown {
		return false
	}
	r.putAway()
	return true
}

func (r *Room) putAway() {
	r.Shown = false
	r.closed()
}

// NoticesOver reports whether the card is open: it tells of what can't be read.
func (r *Room) NoticesOver() bool { return r.Shown }

// measureAt names a measure at a key position.
type measureAt struct {
	name     string
	position geometry.PositionName
}

// plot is one plot as it was laid out.
type plot struct {
	click gesture.Click
	spots []f32.Point
}

// mostPlots is how many measures are shown at once.
const mostPlots = 4

// clubGroups are the choices of clubs, and their labels.
var clubGroups = []annotations.ClubGroup{annotations.AnyClub, annotations.Driver, annotations.MidIron, annotations.ShortIron}

// Open shows the progress of a student.
func (r *Room) Open(student int64, name string) {
	r.cardState = cardState{Openable: kit.Opened(), student: student, name: name, focus: true}
	r.read()
}

// openForLesson shows that of the student on the bench.
func (r *Room) openForLesson() {
	whose := r.host.Session().Bench.Lesson().Student
	name := whose.Name
	switch {
	case !r.shelf.Ready():
		r.host.Tell("There is no library to show progress from.")
		return
	case name == "":
		r.host.Tell("This lesson has no student's name, so there are no other lessons to show progress over.")
		return
	}
	r.shelf.Touch(r.host.Session().Path, r.host.Session().Bench.Lesson(), true, true)
	worker.Ask(r.shelf, "the progress can't be shown", func(ctx context.Context, l *library.Library) (int64, error) {
		return l.StudentOf(ctx, &whose)
	}, func(key int64, err error) {
		switch {
		case err != nil:
			r.host.Alert(err.Error())
		case key == 0:
			r.host.Tell(bench.Note(name + " is not in the library yet."))
		default:
			r.Open(key, name)
		}
	})
}

// toggleMeasure shows a measure or takes it off; of too many the first goes.
func (r *Room) toggleMeasure(row int) {
	c := &r.cardState
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
	r.read()
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	c := &r.cardState
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
		page := c.list.Page()
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
			r.toggleMeasure(c.cursor)
		case key.NameReturn, key.NameEnter:
			if c.cursor < len(c.measures) {
				c.shown = []measureAt{{c.measures[c.cursor].Name, c.measures[c.cursor].Position}}
				r.read()
			}
		}
		c.cursor = min(max(c.cursor, 0), max(len(c.measures)-1, 0))
		c.list.Reveal(c.cursor)
	}
	for {
		i, _, ok := c.list.Clicked(gtx, len(c.measures))
		if !ok {
			break
		}
		c.cursor = i
		r.toggleMeasure(i)
		gtx.Execute(key.FocusCmd{Tag: &c.keys})
	}
	if i, ok := c.clubs.Update(gtx); ok {
		c.club = clubGroups[i]
		r.read()
	}
	for i := range c.plots {
		r.updatePlot(gtx, i)
	}
	if c.close.Clicked(gtx) {
		r.putAway()
	}
}

// updatePlot opens the lesson whose point was clicked.
func (r *Room) updatePlot(gtx layout.Context, i int) {
	c := &r.cardState
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
		case r.host.Session() != nil && r.host.Session().Path == path:
			c.Shown = false
		case place.Missing(path):
			r.host.Alert("The document of that lesson is not there: " + path + ". Open the lesson from the library, which has a copy.")
		default:
			c.Shown = false
			r.openLesson(path)
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
