// Package drills is the coach's own shelf of drills, to prescribe from and to
// fill.
package drills

import (
	"context"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
)

// Room is the card with the shelf.
type Room struct {
	host  kit.Host
	shelf *worker.Client
	card  kit.Modal
	cardState
}

type cardState struct {
	kit.Openable
	list    []library.Drill
	rows    []drillRow
	name    draw.Field
	text    draw.Field
	editing int64 // key of the drill in the fields; 0 for a new one
	problem string
	keep    draw.Button
	clear   draw.Button
	undo    draw.Button
	dropped *library.Drill
	done    draw.Button
	focus   bool
}

// New returns the room of a window.
func New(h kit.Host, c *worker.Client) *Room { return &Room{host: h, shelf: c} }

// Commands is the way into the room, which has no key of its own.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{ID: "drills", Group: "Lesson", Hidden: true, Help: "The shelf of your own drills", Do: r.Open, Enabled: r.shelf.Started}}
}

// NoticesOver reports whether the card is open: it tells of what can't be kept.
func (r *Room) NoticesOver() bool { return r.Shown }

type drillRow struct{ use, edit, drop draw.Button }

// Open opens the card.
func (r *Room) Open() {
	c := &r.cardState
	*c = cardState{Openable: kit.Opened(), focus: true}
	// What is prescribed and not on the shelf yet is likely to go there.
	if t := r.host.Session().Bench.Lesson().Prescription.Drill; t != "" {
		c.name.SetText(t)
	}
	r.read()
}

// measureInHand is the measure of the first finding, whose drills come first.
func (r *Room) measureInHand() string {
	for _, f := range r.host.Session().Bench.Swing().Findings {
		if f.Measure != "" {
			return f.Measure
		}
	}
	return ""
}

func (r *Room) read() {
	measure := r.measureInHand()
	worker.Ask(r.shelf, "the drills can't be listed", func(ctx context.Context, l *library.Library) ([]library.Drill, error) {
		return l.Drills(ctx, measure)
	}, func(list []library.Drill, err error) {
		c := &r.cardState
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		c.list = list
		for len(c.rows) < len(list) {
			c.rows = append(c.rows, drillRow{})
		}
		for _, d := range list { // it is there already
			if c.editing == 0 && d.Prescribed() == c.name.Text() {
				c.name.SetText("")
			}
		}
	})
}

// change does something to the shelf and reads it anew.
func (r *Room) change(do func(ctx context.Context, l *library.Library) error) {
	worker.Ask(r.shelf, "the shelf can't be changed", func(ctx context.Context, l *library.Library) (bool, error) {
		return true, do(ctx, l)
	}, func(_ bool, err error) {
		if err != nil {
			r.problem = err.Error()
		}
		r.read()
	})
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	c := &r.cardState
	if c.focus {
		c.focus = false
		gtx.Execute(key.FocusCmd{Tag: &c.name.Editor})
	}
	if c.name.Edited(gtx) {
		c.problem = ""
	}
	for i := range c.list[:min(len(c.list), len(c.rows))] {
		d, row := c.list[i], &c.rows[i]
		switch {
		case row.use.Clicked(gtx):
			p := r.host.Session().Bench.Lesson().Prescription
			p.Drill = d.Prescribed()
			if kit.Edit(r.host, annotations.SetPrescription{Prescription: p}) {
				r.change(func(ctx context.Context, l *library.Library) error { return l.UseDrill(ctx, d.Key) })
			}
			c.Shown = false
		case row.edit.Clicked(gtx):
			c.editing = d.Key
			c.name.SetText(d.Name)
			c.text.SetText(d.Text)
			gtx.Execute(key.FocusCmd{Tag: &c.name.Editor})
		case row.drop.Clicked(gtx):
			c.dropped = &d
			r.change(func(ctx context.Context, l *library.Library) error { return l.DropDrill(ctx, d.Key) })
		}
	}
	if c.keep.Clicked(gtx) {
		d := library.Drill{Key: c.editing, Name: c.name.Text(), Text: c.text.Text()}
		for _, old := range c.list {
			if old.Key == d.Key {
				d.Measure = old.Measure
			}
		}
		if d.Key == 0 {
			d.Measure = r.measureInHand()
		}
		c.problem = ""
		worker.Ask(r.shelf, "the drill can't be kept", func(ctx context.Context, l *library.Library) (int64, error) {
			return l.KeepDrill(ctx, d)
		}, func(_ int64, err error) {
			c.focus = true // on its name, or on the next one's
			if err != nil {
				c.problem = words.Sentence(err.Error()) + "."
				return
			}
			c.editing = 0
			c.name.SetText("")
			c.text.SetText("")
			r.read()
		})
	}
	if c.clear.Clicked(gtx) {
		c.editing = 0
		c.name.SetText("")
		c.text.SetText("")
	}
	if c.undo.Clicked(gtx) && c.dropped != nil {
		d := *c.dropped
		c.dropped = nil
		r.change(func(ctx context.Context, l *library.Library) error { _, err := l.KeepDrill(ctx, d); return err })
	}
	if c.done.Clicked(gtx) {
		c.Shown = false
	}
}
