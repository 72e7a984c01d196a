// Package panel is the card over the window that shows which swings were found in what
// was filmed in a visit, before they become part of the lesson: swings as rows, views as
// columns.
package panel

import (
	"context"
	"fmt"
	"slices"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op/paint"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/visit"
)

// Room is the card.
type Room struct {
	host kit.Host
	show func(swing string) // puts a swing on the bench
	card kit.Modal
	state
	watch watching
}

type state struct {
	kit.Openable
	paths    []string
	lesson   *session.Session
	practice bool // practice swings are looked for too

	stop    context.CancelFunc // nil while nothing is looked for
	looking int                // counts the searches: what comes late is dropped
	part    float32            // of it that is done
	found   *visit.Visit
	rows    []rowView
	// held is the picture that was chosen to change places with another one of its
	// view.
	held    place
	holding bool

	add, cancel, halt, swap, search draw.Button
}

// place is a picture on the card.
type place struct{ row, view int }

// rowView is what a row of the card keeps between frames.
type rowView struct {
	tick     draw.Button
	cells    [bench.NumStages]draw.Button
	pictures [bench.NumStages]paint.ImageOp
}

// New returns the card of a window, closed. show puts a swing of the lesson on the bench.
func New(h kit.Host, show func(swing string)) *Room { return &Room{host: h, show: show} }

// Commands have marks proposed in all swings of a lesson.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "propose swings", Group: "Lesson", After: "open", Help: "Propose key positions and marks in every swing that has none",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, "A"),
		Do:   func() { r.host.Session().ProposeSwings(nil) }, Enabled: func() bool { return r.host.Session() != nil },
	}, {
		ID: "watch", Group: "Lesson", After: "propose swings", Help: "Take in the clips that come into a folder, by themselves",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, "W"), Do: r.watchFolder, Enabled: func() bool { return r.host.Session() != nil },
	}}
}

// Open opens the card on files, for the lesson that is open, and begins to look for
// swings in them.
func (r *Room) Open(paths []string) {
	r.close()
	r.state = state{Openable: kit.Opened(), paths: paths, lesson: r.host.Session(), looking: r.looking}
	r.look()
}

// look looks for the swings, in the background.
func (r *Room) look() {
	ctx, stop := context.WithCancel(r.lesson.Context())
	r.looking++
	number := r.looking
	r.stop, r.part, r.found, r.rows, r.holding = stop, 0, nil, nil, false
	mine := func() bool { return r.Shown && r.looking == number && r.host.Session() == r.lesson }
	paths, o := slices.Clone(r.paths), visit.Options{Practice: r.practice, Pictures: true}
	told := float32(-1)
	o.Progress = func(part float64) { // one call at a time
		const step = 0.01
		if p := float32(part); p-told >= step {
			told = p
			r.host.Post(func() {
				if mine() {
					r.part = p
				}
			})
		}
	}
	r.host.Go("Looking for the swings", func() {
		v, err := visit.Look(ctx, paths, o)
		r.host.Post(func() {
			stop()
			if !mine() {
				return
			}
			r.stop = nil
			if err != nil {
				r.host.Alert(fmt.Sprintf("The swings can't be looked for: %v", err))
				r.Shown = false
				return
			}
			r.take(v)
		})
	}, func() { r.stop = nil })
}

// take shows what was found.
func (r *Room) take(v *visit.Visit) {
	r.found, r.rows = v, make([]rowView, len(v.Rows))
	for i := range v.Rows {
		for k, shot := range v.Rows[i].Shots {
			if shot.Film == nil || shot.Film.Pictures[shot.Swing] == nil {
				continue
			}
			r.rows[i].pictures[k] = paint.NewImageOp(shot.Film.Pictures[shot.Swing])
		}
	}
}

// close closes the card and ends what is looked for.
func (r *Room) close() {
	if r.stop != nil {
		r.stop()
		r.stop = nil
	}
	r.Shown = false
}

// Escape lets go of a picture, or closes the card.
func (r *Room) Escape() bool {
	was := r.Shown
	if r.holding {
		r.holding = false
		return true
	}
	r.close()
	return was
}

// LessonClosed closes the card and ends the watch: the swings were for that lesson.
func (r *Room) LessonClosed() {
	r.close()
	r.endWatch()
}

// chosen is how many swings are to be added.
func (s *state) chosen() int {
	n := 0
	for i := range s.found.Rows {
		if !s.found.Rows[i].Leave {
			n++
		}
	}
	return n
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	if r.cancel.Clicked(gtx) || r.halt.Clicked(gtx) {
		r.close()
		return
	}
	if r.search.Clicked(gtx) {
		r.practice = !r.practice
		r.look()
		return
	}
	if r.found == nil {
		return
	}
	if r.swap.Clicked(gtx) {
		r.found.SwapViews()
		r.take(r.found)
		r.holding = false
	}
	for i := range r.rows {
		row := &r.rows[i]
		if row.tick.Clicked(gtx) {
			r.found.Rows[i].Leave = !r.found.Rows[i].Leave
		}
		for k := range row.cells {
			if row.cells[k].Clicked(gtx) {
				r.press(place{i, k})
			}
		}
	}
	if (r.add.Clicked(gtx) || kit.EnterPressed(gtx)) && r.chosen() > 0 {
		r.addSwings()
	}
}

// press takes a picture into the hand, or has it change places with the one that is
// there.
func (r *Room) press(p place) {
	switch {
	case !r.holding || r.held.view != p.view:
		r.held, r.holding = p, true
	case r.held == p:
		r.holding = false
	default:
		r.found.Exchange(p.view, r.held.row, p.row)
		r.take(r.found)
		r.holding = false
	}
}

// addSwings makes the chosen rows swings of the lesson, and shows the first one.
func (r *Room) addSwings() {
	v := r.found
	r.close()
	if first := r.addRows(r.lesson, v); first != "" && r.lesson.Bench.Swing().ID != first {
		r.show(first)
	}
}
