// Package review is the room in which a coach talks a lesson through: what the window shows
// and what he says are recorded, played back, mended and made a film.
package review

import (
	"path/filepath"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
	"turngauge/ui/review/recording"
	"turngauge/ui/session"
)

// Room is the panel over the sheet while a review is recorded.
type Room struct {
	host  kit.Host
	doors Doors
	card  Card
	take
	recorded uint64        // how many recordings were begun
	bringing *review.State // whose frames are to be shown
}

// take is a review that is being recorded; nil where none is.
type take struct {
	recorder *recording.Recorder
	end      draw.Button
	quiet    string // why there is no voice
	cards    []plan
	buttons  []draw.Button
	anew     *anew       // the passage that is said anew; nil for a review of its own
	about    *review.Row // what is talked about while its key position is shown and nothing is pointed at
	edits    uint64      // the gesture of its edits: undone in one
}

// Doors are what the room asks the window for beside the open lesson.
type Doors struct {
	// Shown lists the stages that the window shows, from left to right, and Size is that of
	// a stage's picture area, pixels.
	Shown func() []int
	Size  func(stage int) bench.Size
	// Pointer is where on a stage the pointer is, while it is to be seen.
	Pointer func(stage int) (at bench.ScreenPt, ok bool)
	// Explained reports whether lines and drawings are shown, and which lines; Begun is a
	// drawing that is being made on a stage.
	Explained func() (on bool, lines explain.Set)
	Begun     func(stage int) (annotations.Drawing, bool)
	// Over is how strongly the other swing's picture is seen over this one's, ok while it
	// lies there.
	Over func() (share float64, ok bool)
	// Row is the key of the sheet's row that is pointed at, "" for none.
	Row func() string
	// Panels are what else is open, by the names of review.State.
	Panels func() []string
	// Curves are the names of the curves that are chosen, and whether their speeds are shown.
	Curves func() (names []string, speeds bool)
	// Terms are what numbers are judged by.
	Terms func() session.Terms
	// Finding shows what a finding is about.
	Finding func(f annotations.Finding)
}

// New makes the room.
func New(host kit.Host, doors Doors) *Room {
	r := &Room{host: host, doors: doors}
	r.card.room = r
	return r
}

// Card is the card of the lesson's reviews.
func (r *Room) Card() *Card { return &r.card }

// Commands begin and end a review.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{
		{ID: "narrate", Group: "Lesson", After: "findings", Help: "Talk the lesson through: begin, or end, recording a review", Keys: kit.On(key.NameF3), Do: r.toggle},
		{ID: "reviews", Group: "Lesson", After: "narrate", Help: "The reviews of the lesson: play, mend, make a film", Keys: kit.WithMod(key.ModShift, key.NameF3), Do: func() { r.finish(); r.card.open() }},
	}
}

func (r *Room) toggle() {
	if r.recorder != nil {
		r.finish()
		return
	}
	r.begin()
}

// begin begins a review.
func (r *Room) begin() { r.record(nil, nil) }

// Recording reports whether something is recorded.
func (r *Room) Recording() bool { return r.recorder != nil }

// Heard reports whether something is recorded and the microphone heard.
func (r *Room) Heard() bool {
	if r.recorder == nil {
		return false
	}
	_, ok := r.recorder.Level()
	return ok
}

// record begins a review, or a passage that is said anew. Its entry is in the document from
// now on, so that nothing is lost of one that is broken off.
func (r *Room) record(as *anew, about *annotations.Finding) {
	s := r.host.Session()
	l := s.Bench.Lesson()
	if l.ID == "" {
		r.host.Alert("This lesson has no ID, so a review can't be kept with it. Save it under File, or import it, first.")
		return
	}
	said := func(text string) {
		r.host.Post(func() {
			if r.recorder != nil {
				r.quiet = text
			}
			r.host.Tell(bench.Note(text))
		})
	}
	rec, err := recording.Begin(filepath.Dir(s.Path), l.ID, annotations.NewID(), r.host.Settings().Microphone, said)
	if err != nil {
		r.host.Alert("The review can't be recorded: " + cause(err) + ". Look whether the folder of the lesson can be written to.")
		return
	}
	r.recorded++
	r.take = take{recorder: rec, anew: as, edits: r.recorded}
	if as == nil {
		r.cards = plans(l, s.Bench.Swing(), about)
		if about != nil && about.Measure != "" {
			r.about = &review.Row{Measure: about.Measure, Position: string(about.Position)}
		}
	}
	r.buttons = make([]draw.Button, len(r.cards))
	r.keep(rec.Entry())
	if as != nil {
		r.host.Tell(bench.Note("Say the passage anew; " + r.host.Shortcut("narrate") + " ends."))
		return
	}
	r.host.Tell(bench.Note("Recording. Hold Shift over a picture to show the pointer; " + r.host.Shortcut("narrate") + " ends."))
}

// keep puts what is recorded into the lesson: a review, or a take of one that is there, and
// returns its ID.
func (r *Room) keep(entry review.Review) (id string) {
	l, what := r.host.Session().Bench.Lesson(), "record a review"
	if a := r.anew; a != nil {
		of, ok := l.Reviews.Find(a.review)
		if !ok {
			return "" // taken out the while, as by undo
		}
		t := a.take
		t.List, t.Voice, t.Seconds = entry.List, entry.Voice, entry.Seconds
		entry, what = of.Anew(t), "say a passage of the review anew"
	}
	kit.Edit(r.host, annotations.SetReviews{Reviews: l.Reviews.With(entry), What: what, Gesture: r.edits})
	return entry.ID
}

// finish ends the review that is recorded, if there is one.
func (r *Room) finish() {
	if r.recorder == nil {
		return
	}
	entry, err := r.recorder.End()
	if err != nil {
		r.host.Alert("The review was broken off: " + cause(err) + ". What was recorded until then is kept.")
	}
	was := r.take
	if r.host.Session() == nil {
		r.take = take{}
		return
	}
	id := r.keep(entry)
	r.take = take{}
	if was.anew != nil {
		r.card.openAt(id, was.anew.take.Clock)
		return
	}
	r.host.Tell(bench.Note("The review of " + clock(entry.Seconds) + " is kept with the lesson. " + r.host.Shortcut("reviews") + " plays it and makes the film."))
}

// LessonClosed ends what is being recorded; its entry is in the lesson.
func (r *Room) LessonClosed() {
	if r.recorder != nil {
		_, _ = r.recorder.End() // what was written is there
		r.take, r.bringing = take{}, nil
	}
}

// Update takes up what was done on the panel.
func (r *Room) Update(gtx layout.Context) {
	if r.recorder == nil {
		return
	}
	if r.recorder.Failed() || r.end.Clicked(gtx) {
		r.finish()
		return
	}
	for i := range r.buttons {
		if r.buttons[i].Clicked(gtx) {
			if r.cards[i].said = !r.cards[i].said; r.cards[i].said {
				r.recorder.Ticked(r.cards[i].text)
			}
		}
	}
}

// Watch notes what the window shows, if it is being recorded. It is called in every frame,
// after everything has happened.
func (r *Room) Watch(gtx layout.Context) {
	if r.recorder == nil || r.host.Session() == nil {
		return
	}
	r.bringFrames()
	r.recorder.Show(r.state())
	gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(meterEvery)}) // the meter moves
}

// meterEvery is how often the level is shown anew.
const meterEvery = 50 * time.Millisecond

// Escape does nothing: what is recorded is not ended by the way.
func (r *Room) Escape() bool { return false }

// HoldsKeys reports false: nothing is written in the panel.
func (r *Room) HoldsKeys() bool { return false }

// edit changes an entry of the lesson's reviews.
func (r *Room) edit(entry review.Review, what string) {
	l := r.host.Session().Bench.Lesson()
	kit.Edit(r.host, annotations.SetReviews{Reviews: l.Reviews.With(entry), What: what})
}
