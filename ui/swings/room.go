// Package swings is the room in which the swings of a visit are looked at together: how
// far each measure spreads, all of them in a table, two of them laid over each other, and
// what was tried in some of them.
package swings

import (
	"image"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
)

// Doors are what the room needs of the window.
type Doors struct {
	// Terms are what numbers are judged by.
	Terms func() session.Terms
	// Show puts a swing on the bench, at a key position, with a row of the sheet selected;
	// the name of the measure may be "".
	Show func(swing, measure string, at geometry.PositionName)
}

// Room is the card of the visit's swings.
type Room struct {
	host  kit.Host
	doors Doors
	card  kit.Modal
	state
}

// view is what the card shows.
type view int

const (
	spreads view = iota
	numbers
	figures
	tried
)

var viewNames = []string{"Measure by measure", "All numbers", "Laid over", "What was tried"}

// state is what the card forgets with the lesson.
type state struct {
	kit.Openable
	focus bool // the list is to have the keyboard
	keys  bool // tag of the list's keys
	view  view

	visit  visit
	cursor int // of visit.results: the swing that is looked at
	second int // the swing that is laid over it
	row    int // of visit.rows: the measure that is looked at
	at     geometry.PositionName

	list             kit.List
	views, positions draw.Segmented
	close            draw.Button
	least, most      draw.Button
	rows             layout.List
	rowClicks        []draw.Button
	reveal           bool // bring the row into view

	sorted, falling bool // the table is in the order of the measure
	first           int  // column that the table begins with

	ticked  map[string]bool // swings of which is said what was tried
	what    draw.Field
	say     draw.Button
	usual   draw.Button
	tickOne draw.Button

	teaching teaching
}

// New makes the room, closed.
func New(host kit.Host, doors Doors) *Room { return &Room{host: host, doors: doors} }

// Commands open the room, and have the sheet show one swing or the visit.
func (r *Room) Commands() []kit.Command {
	several := func() bool { s := r.host.Session(); return s != nil && len(s.Bench.Lesson().Swings) > 1 }
	const lacking = "That is for a lesson with several swings. Drop more clips, or a take of a whole visit, to have more in this one."
	return []kit.Command{
		{ID: "swings", Group: "Picture", After: "compare", Help: "All swings of the visit",
			Keys: kit.On(key.NameF2), Do: r.Open, Enabled: several, Lacking: lacking},
		{ID: "teach", Group: "Marks", After: "mend", Help: "Teach the other swings what you corrected by hand",
			Keys: kit.WithMod(key.ModCtrl, key.NameF2), Do: func() { r.host.Session().Teach() }, Enabled: several, Lacking: lacking},
		{ID: "alone", Group: "Picture", After: "swings", Help: "Sheet: means of the visit, or this swing alone",
			Keys: kit.WithMod(key.ModShift, key.NameF2), Do: r.alone, Enabled: several, Lacking: lacking},
	}
}

// alone changes between the numbers of the swing on the bench and the means.
func (r *Room) alone() {
	s := r.host.Session()
	s.StandAlone(!s.Alone())
	if s.Alone() {
		r.host.Tell(bench.Note("The sheet shows this swing alone. " + r.host.Shortcut("alone") + " goes back to the means over the visit."))
		return
	}
	r.host.Tell(bench.Note("The sheet shows the means over the visit's swings that are like this one. " + r.host.Shortcut("alone") + " shows this swing alone."))
}

// Open opens the card on the swing that is on the bench.
func (r *Room) Open() {
	s := r.host.Session()
	r.Shown, r.focus = true, true
	r.at = s.Bench.Position
	r.visit.refresh(s, r.doors.Terms())
	r.cursor = max(r.visit.index(s.Bench.Swing().ID), 0)
	r.row = -1
	r.toPosition()
	if r.second == r.cursor || r.second >= len(r.visit.results) {
		r.second = (r.cursor + 1) % max(len(r.visit.results), 1)
	}
}

// NoticesOver reports whether the card is open: it tells of what was edited on it.
func (r *Room) NoticesOver() bool { return r.Shown }

// LessonClosed closes the card and forgets what it showed.
func (r *Room) LessonClosed() { r.state = state{} }

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	if had := len(r.visit.rows) > 0; r.visit.refresh(r.host.Session(), r.doors.Terms()) && !had {
		r.cursor = max(r.visit.index(r.host.Session().Bench.Swing().ID), 0)
		r.toPosition()
	}
	if r.focus {
		r.focus = false
		gtx.Execute(key.FocusCmd{Tag: &r.keys})
	}
	if i, ok := r.views.Update(gtx); ok {
		r.view = view(i)
	}
	if i, ok := r.positions.Update(gtx); ok {
		r.at = geometry.KeyPositions[i]
		r.toPosition()
	}
	for {
		i, times, ok := r.list.Clicked(gtx, len(r.visit.results))
		if !ok {
			break
		}
		r.cursor = i
		if times > 1 {
			r.show(i)
		}
		gtx.Execute(key.FocusCmd{Tag: &r.keys})
	}
	for i := range r.rowClicks {
		if r.rowClicks[i].Clicked(gtx) {
			r.clickedRow(i)
		}
	}
	if r.least.Clicked(gtx) {
		r.showEnd(false)
	}
	if r.most.Clicked(gtx) {
		r.showEnd(true)
	}
	r.updateTried(gtx)
	r.teaching.refresh(r.host.Session())
	if r.teaching.do.Clicked(gtx) {
		r.host.Run("teach")
	}
	r.updateKeys(gtx)
	if r.close.Clicked(gtx) {
		r.Shown = false
	}
	if !r.Shown {
		kit.ReleaseKeys(gtx, r.host)
	}
}

// show puts a swing on the bench and closes the card.
func (r *Room) show(i int) {
	if i < 0 || i >= len(r.visit.results) {
		return
	}
	r.Shown = false
	name, at := "", r.at
	if x := r.visit.measure(r.row); x != nil && (r.view == spreads || r.view == numbers) {
		name, at = x.name, x.position
	}
	r.doors.Show(r.visit.results[i].Swing().ID, name, at)
}

// showEnd puts the swing with the most, or the least, of the measure on the bench.
func (r *Room) showEnd(most bool) {
	if x := r.visit.measure(r.row); x != nil {
		if i := x.end(most); i >= 0 {
			r.show(i)
		}
	}
}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	size := gtx.Constraints.Max
	margin := gtx.Dp(28)
	card := image.Rectangle{Max: size}.Inset(margin)
	return r.card.Over(gtx, th, "Swings of this visit", card, func(gtx layout.Context) layout.Dimensions {
		r.layoutCard(gtx, card.Inset(gtx.Dp(18)))
		return layout.Dimensions{Size: size}
	})
}

// swingsOf returns the IDs of the swings that are ticked, or that which is looked at.
func (r *Room) swingsOf() []string {
	var out []string
	for _, x := range r.visit.results {
		if id := x.Swing().ID; r.ticked[id] {
			out = append(out, id)
		}
	}
	if len(out) == 0 && r.cursor < len(r.visit.results) {
		out = append(out, r.visit.results[r.cursor].Swing().ID)
	}
	return out
}

// sayTried says what was tried in those swings.
func (r *Room) sayTried(what string) {
	ids := r.swingsOf()
	if len(ids) == 0 || !kit.Edit(r.host, annotations.SetTried{Swings: ids, Tried: what}) {
		return
	}
	r.ticked = nil
	text := "What was tried is written down."
	if what == "" {
		text = "These count as usual swings."
	}
	r.host.Tell(bench.Note(text + " Ctrl+Z takes it back."))
}
