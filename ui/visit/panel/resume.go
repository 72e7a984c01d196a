package panel

import (
	"slices"

	"turngauge/ui/propose"
	"turngauge/ui/visit"
)

// note writes down what is on the card, or that nothing is.
func (r *Room) note() {
	r.under.Clips, r.under.Practice, r.under.Arrangement = nil, false, nil
	if r.Shown {
		r.under.Clips, r.under.Practice = r.paths, r.practice
		if r.found != nil {
			a := r.found.Arrangement()
			r.under.Arrangement = &a
		} else {
			r.under.Arrangement = r.arranged
		}
	}
	r.writeDown()
}

func (r *Room) writeDown() {
	if r.path != "" {
		r.diary.Write(r.path, &r.under)
	}
}

// LessonOpened goes on with what was being taken into the lesson when the window was
// stopped in the middle: clips that were looked through, swings in which marks were being
// proposed, and a folder that was watched.
func (r *Room) LessonOpened() {
	s := r.host.Session()
	was := r.diary.Read(s.Path)
	r.under, r.path = was, s.Path
	s.TellProposing(func(swings []string) {
		if s != r.host.Session() {
			return
		}
		r.under.Added = swings
		if len(swings) == 0 {
			r.under.Added = nil
			if !r.Shown { // what was on the card is part of the lesson, and saved
				r.under.Clips, r.under.Arrangement = nil, nil
			}
		}
		r.writeDown()
	})
	l := s.Bench.Lesson()
	if slices.ContainsFunc(was.Added, func(id string) bool { w := l.Swing(id); return w != nil && propose.Wants(w) }) {
		s.ProposeSwings(r.kept.Known(l))
	}
	if was.Folder != "" {
		r.beginWatch(s, was.Folder, was.Before)
	}
	clips := slices.DeleteFunc(slices.Clone(was.Clips), func(path string) bool { return visit.Holds(l, s.Path, path) })
	if len(clips) > 0 {
		r.openWith(was.Clips, was.Practice, was.Arrangement)
	}
}

// LessonClosed closes the card and ends the watch: the swings were for that lesson. What
// is on the card, and what is being proposed, goes on when it is opened again.
func (r *Room) LessonClosed() {
	r.close()
	r.stopWatch()
	r.under.Folder, r.under.Before = "", nil
	r.writeDown()
	r.under, r.path = visit.UnderWay{}, ""
}
