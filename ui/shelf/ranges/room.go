// Package ranges is the card on which the coach edits target ranges: their own,
// and those for the student of the open lesson.
package ranges

import (
	"context"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/choose"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
)

// Room is the card.
type Room struct {
	host  kit.Host
	shelf *worker.Client
	dirs  profile.Dirs
	base  func() annotations.Targets
	kept  func()
	card  kit.Modal
	cardState
}

type cardState struct {
	kit.Openable
	student  int64
	name     string // of the student; "" without one
	of       int    // 0 the coach's own, 1 the student's
	scope    draw.Segmented
	search   draw.Field
	focus    bool
	list     layout.List
	rows     []rangeRow
	shown    []int // rows that match the search
	own      [2]annotations.Targets
	versions [2]int
	known    bool
	problem  string
	undo     draw.Button
	export   draw.Button
	imported draw.Button
	done     draw.Button
	cancel   draw.Button
}

// New returns the room of a window. base are the ranges that count where the
// library has none; kept is called when the library has taken in new ones.
func New(h kit.Host, c *worker.Client, d profile.Dirs, base func() annotations.Targets, kept func()) *Room {
	return &Room{host: h, shelf: c, dirs: d, base: base, kept: kept}
}

// Commands is the way into the room.
func (room *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "ranges", Group: "Lesson", After: "progress", Help: "Target ranges: your own, and for this student",
		Keys: kit.WithMod(key.ModCtrl, "T"), Do: room.Open, Anywhere: true,
	}}
}

// Escape keeps the ranges and closes the card, unless one makes no sense.
func (room *Room) Escape() bool {
	if !room.Shown {
		return false
	}
	room.putAway()
	return true
}

// NoticesOver reports whether the card is open: it tells of what was kept.
func (room *Room) NoticesOver() bool { return room.Shown }

// Open opens the card.
func (room *Room) Open() {
	if !room.shelf.Ready() {
		room.host.Tell("There is no library to keep target ranges in.")
		return
	}
	c := &room.cardState
	*c = cardState{Openable: kit.Opened(), focus: true}
	c.list.Axis = layout.Vertical
	var whose annotations.Student
	if room.host.Session() != nil {
		whose = room.host.Session().Bench.Lesson().Student
		c.name = room.host.Session().Bench.Lesson().Student.Name
		room.shelf.Touch(room.host.Session().Path, room.host.Session().Bench.Lesson(), true, true)
	}
	type both struct {
		student int64
		sets    [2]library.TargetSet
	}
	worker.Ask(room.shelf, "the target ranges can't be read", func(ctx context.Context, l *library.Library) (b both, err error) {
		if b.student, err = l.StudentOf(ctx, &whose); err != nil {
			return b, err
		}
		if b.sets[0], _, err = l.TargetSet(ctx, 0); err != nil || b.student == 0 {
			return b, err
		}
		b.sets[1], _, err = l.TargetSet(ctx, b.student)
		return b, err
	}, func(b both, err error) {
		if err != nil {
			room.host.Alert(err.Error())
			c.Shown = false
			return
		}
		c.student = b.student
		for i, s := range b.sets {
			c.own[i], c.versions[i] = s.Ranges, s.Version
		}
		c.known = true
		room.fill()
	})
}

// keep makes what stands in the fields the newest version, and reports
// whether it makes sense.
func (room *Room) keep() bool {
	c := &room.cardState
	if !c.known {
		return true
	}
	set, ok := c.read()
	if !ok {
		return false
	}
	of, student := c.of, int64(0)
	if of == 1 {
		student = c.student
	}
	if len(set) == 0 && len(c.own[of]) == 0 {
		return true
	}
	c.own[of] = set
	worker.Ask(room.shelf, "the target ranges can't be kept", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, l.SetTargets(ctx, student, set)
	}, func(_ bool, err error) {
		if err != nil {
			room.host.Alert(err.Error())
			return
		}
		room.kept()
	})
	return true
}

// putAway keeps the ranges and puts the card away, unless one makes no sense.
func (room *Room) putAway() {
	if room.keep() {
		room.Shown = false
	}
}

// Update takes up what was done on the card.
func (room *Room) Update(gtx layout.Context) {
	c := &room.cardState
	if c.focus {
		c.focus = false
		gtx.Execute(key.FocusCmd{Tag: &c.search.Editor})
	}
	if c.search.Edited(gtx) {
		c.filter()
		c.list.Position = layout.Position{}
	}
	for i := range c.rows {
		r := &c.rows[i]
		r.low.Edited(gtx)
		r.high.Edited(gtx)
		if r.back.Clicked(gtx) {
			r.low.SetText("")
			r.high.SetText("")
			r.wrong = false
		}
	}
	if i, ok := c.scope.Update(gtx); ok && i != c.of && (i == 0 || c.student != 0) && room.keep() {
		c.of = i
		room.fill()
	}
	switch {
	case c.done.Clicked(gtx):
		room.putAway()
	case c.cancel.Clicked(gtx):
		c.Shown = false
	case c.undo.Clicked(gtx):
		room.earlier()
	case c.export.Clicked(gtx):
		room.writeOut()
	case c.imported.Clicked(gtx):
		room.host.Ask(kit.Files{Title: "Target ranges to take in", Kinds: []choose.Kind{{Name: "Target ranges", Extensions: []string{"json"}}}},
			func(paths []string) { room.takeIn(paths[0]) })
	}
}
