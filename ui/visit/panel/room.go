// Package panel is the card over the window that shows which swings were found in what
// was filmed in a visit, before they become part of the lesson: swings as rows, views as
// columns. It also watches a folder, and goes on with what was stopped in the middle.
package panel

import (
	"context"
	"fmt"
	"image"
	"slices"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op/paint"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/ui/visit"
)

// Room is the card.
type Room struct {
	host  kit.Host
	kept  visit.Kept
	diary visit.Diary
	show  func(swing string) // puts a swing on the bench
	card  kit.Modal
	state
	watch watching
	under visit.UnderWay // of the open lesson, whose document lies at path
	path  string
}

type state struct {
	kit.Openable
	paths    []string
	lesson   *session.Session
	practice bool               // practice swings are looked for too
	arranged *visit.Arrangement // how the coach had put them together before a stop

	stop     context.CancelFunc // nil while nothing is looked for
	looking  int                // counts the searches: what comes late is dropped
	part     float32            // of it that is done
	found    *visit.Visit
	standing []string // sentences on whether the phones stood still
	rows     []*rowView
	hand
	past, future []visit.Arrangement // for undo and redo on the card

	add, cancel, halt, swap, search, own draw.Button

	pitch image.Point // from one picture to the next, pixels
}

// rowView is what a row of the card keeps between frames.
type rowView struct {
	tick     draw.Button
	cells    [bench.NumStages]cell
	pictures [bench.NumStages]paint.ImageOp
}

// New returns the card of a window, closed. show puts a swing of the lesson on the bench.
func New(h kit.Host, dirs profile.Dirs, show func(swing string)) *Room {
	return &Room{host: h, kept: visit.Kept(dirs.Swings()), diary: visit.Diary(dirs.Visits()), show: show}
}

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
func (r *Room) Open(paths []string) { r.openWith(paths, false, nil) }

func (r *Room) openWith(paths []string, practice bool, arranged *visit.Arrangement) {
	r.close()
	r.state = state{Openable: kit.Opened(), paths: paths, lesson: r.host.Session(), practice: practice, arranged: arranged, looking: r.looking}
	r.look()
}

// look looks for the swings, in the background.
func (r *Room) look() {
	ctx, stop := context.WithCancel(r.lesson.Context())
	r.looking++
	number := r.looking
	r.stop, r.part, r.found, r.rows, r.hand, r.past, r.future = stop, 0, nil, nil, hand{}, nil, nil
	r.note()
	mine := func() bool { return r.Shown && r.looking == number && r.host.Session() == r.lesson }
	paths, o := slices.Clone(r.paths), visit.Options{Practice: r.practice, Pictures: true, Kept: r.kept}
	o.Progress = r.progress(func(part float32) {
		if mine() {
			r.part = part
		}
	})
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
				r.close()
				return
			}
			v.After(r.lesson.Bench.Lesson(), r.kept)
			if r.arranged != nil {
				v.Arrange(r.arranged)
				r.arranged = nil
			}
			r.take(v)
		})
	}, func() { r.stop = nil })
}

// progress returns a visit.Options.Progress that tells the window in steps of a hundredth.
func (r *Room) progress(tell func(part float32)) func(float64) {
	told := float32(-1)
	return func(part float64) { // one call at a time
		const step = 0.01
		if p := float32(part); p-told >= step {
			told = p
			r.host.Post(func() { tell(p) })
		}
	}
}

// take shows what was found.
func (r *Room) take(v *visit.Visit) {
	r.found, r.standing = v, v.Standing()
	for len(r.rows) < len(v.Rows) {
		r.rows = append(r.rows, new(rowView))
	}
	r.rows = r.rows[:len(v.Rows)] // those that stay keep the keyboard
	for i := range v.Rows {
		for k, shot := range v.Rows[i].Shots {
			r.rows[i].pictures[k] = paint.ImageOp{}
			if shot.Film != nil && shot.Film.Pictures[shot.Swing] != nil {
				r.rows[i].pictures[k] = paint.NewImageOp(shot.Film.Pictures[shot.Swing])
			}
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

// cancelled closes the card for good: the coach does not want what is on it.
func (r *Room) cancelled() {
	r.close()
	r.note()
}

// Escape lets go of a picture, or closes the card.
func (r *Room) Escape() bool {
	was := r.Shown
	if r.holding || r.drag.on {
		r.hand = hand{}
		return true
	}
	if was {
		r.cancelled()
	}
	return was
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
		r.cancelled()
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
		r.change(func(v *visit.Visit) { v.SwapViews() })
	}
	for i := range r.rows {
		if r.rows[i].tick.Clicked(gtx) {
			r.change(func(v *visit.Visit) { v.Rows[i].Leave = !v.Rows[i].Leave })
			break // the rows are others now
		}
	}
	r.updateCells(gtx)
	r.updateUndo(gtx)
	if (r.add.Clicked(gtx) || kit.EnterPressed(gtx)) && r.chosen() > 0 {
		r.addSwings()
	}
}

// change changes how the swings are put together; it can be undone.
func (r *Room) change(do func(*visit.Visit)) {
	r.past, r.future = append(r.past, r.found.Arrangement()), nil
	do(r.found)
	r.hand = hand{}
	r.take(r.found)
	r.note()
}

// updateUndo takes changes back and does them again.
func (r *Room) updateUndo(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(key.Filter{Name: "Z", Required: key.ModCtrl, Optional: key.ModShift}, key.Filter{Name: "Y", Required: key.ModCtrl})
		if !ok {
			return
		}
		e, isKey := ev.(key.Event)
		if !isKey || e.State != key.Press {
			continue
		}
		from, to := &r.past, &r.future
		if e.Name == "Y" || e.Modifiers.Contain(key.ModShift) {
			from, to = to, from
		}
		if n := len(*from); n > 0 {
			*to = append(*to, r.found.Arrangement())
			r.found.Arrange(&(*from)[n-1])
			*from = (*from)[:n-1]
			r.hand = hand{}
			r.take(r.found)
			r.note()
		}
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
