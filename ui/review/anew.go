package review

import (
	"math"

	"turngauge/annotations/review"
)

// anew is a passage of a review that is being said anew.
type anew struct {
	review string // ID
	take   review.Take
}

// sayAnew closes the card, shows the lesson as it was where the passage begins, and records
// what is told in its place. The old passage is kept, and undo brings it back.
func (c *Card) sayAnew() {
	told := c.told()
	if told == nil {
		return
	}
	rec, r := c.player.recorded, c.room
	as := anew{review: c.of.ID, take: review.Take{Clock: math.Ceil(rec.Seconds), Instead: told}}
	state := rec.At(told[0].From)
	c.close()
	if state != nil {
		r.bring(state)
	}
	r.record(&as, nil)
}

// bring shows what a review showed, as far as it is of this lesson.
func (r *Room) bring(state *review.State) {
	s := r.host.Session()
	if s.Bench.Swing().ID != state.Swing {
		if s.Bench.Lesson().SwingIndex(state.Swing) < 0 {
			return
		}
		s.ShowSwing(state.Swing)
	}
	if on, _ := r.doors.Explained(); on != state.Explained {
		r.host.Run("explain")
	}
	r.bringing = state
	r.bringFrames()
}

// bringFrames goes to the frames of what is brought, once their clips are open: those of a
// swing that has just been put on the bench are not.
func (r *Room) bringFrames() {
	if r.bringing == nil {
		return
	}
	show := r.host.Session().Show()
	for i := range show.Stages {
		// One that can't be opened is not waited for.
		if st := &show.Stages[i]; st.Clip != "" && st.Film == nil && (r.recorder == nil || r.recorder.Elapsed() < mostOpening) {
			return
		}
	}
	for _, v := range r.bringing.Views {
		if !v.Other {
			r.goTo(v.Clip, v.Frame)
		}
	}
	r.bringing = nil
}

// goTo shows a frame of a clip.
func (r *Room) goTo(clip string, frame int) {
	show := r.host.Session().Show()
	for i := range show.Stages {
		if show.Stages[i].Clip == clip {
			show.GoTo(i, frame)
		}
	}
}
