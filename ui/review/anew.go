package review

import (
	"math"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/ui/bench"
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
	r.bringOther(state.Other)
	r.bringFrames()
}

// bringOther has a swing compared with, or none.
func (r *Room) bringOther(of *review.Other) {
	s := r.host.Session()
	if s.Comparing != nil {
		s.StopComparing()
	}
	if of == nil {
		return
	}
	if now := otherOf(s); now == nil || *now != *of {
		l, path := s.Bench.Lesson(), s.Path
		if of.Lesson != "" {
			var err error
			if l, _, err = annotations.Load(of.Lesson); err != nil {
				return
			}
			path = of.Lesson
		}
		if l.SwingIndex(of.Swing) < 0 {
			return
		}
		s.CompareWith(path, l, of.Swing)
	}
	s.StartComparing()
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
		if st := &show.Stages[i]; st.Clip != "" && (st.Film == nil || st.Port.Scale == 0) && (r.recorder == nil || r.recorder.Elapsed() < mostOpening) {
			return
		}
	}
	comparing := r.host.Session().Comparing != nil
	for _, v := range r.bringing.Views {
		for i := range show.Stages {
			// Two swings that are compared may be of one clip.
			if st := &show.Stages[i]; st.Clip == v.Clip && (!comparing && !v.Other || comparing && v.Other == (i == 1)) {
				show.GoTo(i, v.Frame)
				r.zoom(i, v.Part)
			}
		}
	}
	r.bringing = nil
}

// zoom shows a part of a stage's picture, about its middle.
func (r *Room) zoom(i int, part [4]float64) {
	st, size := &r.host.Session().Show().Stages[i], r.doors.Size(i)
	if !(part[2] >= 1 && part[3] >= 1) || size.W <= 0 || size.H <= 0 || !(st.Port.Scale > 0) {
		return
	}
	now := st.Port.Visible(st.Picture, size)
	if off := func(a int, b float64) bool { return math.Abs(float64(a)-b) > 3 }; !off(now.X0, part[0]) && !off(now.Y0, part[1]) && !off(now.X1, part[0]+part[2]) && !off(now.Y1, part[1]+part[3]) {
		return // it goes on following the golfer
	}
	st.Port.Centre = bench.PicturePt{X: part[0] + part[2]/2, Y: part[1] + part[3]/2}
	st.Port.Scale = math.Min(size.W/part[2], size.H/part[3])
	st.Port = st.Port.Keep(st.Picture)
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
