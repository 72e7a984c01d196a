package session

import (
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/series"
)

// visit are the measured swings of the lesson beside the one on the bench.
type visit struct {
	results map[string]*annotations.Result // by the swing's ID
	busy    string                         // the ID of the one that is being measured
	alone   bool

	each, together []*annotations.Result // the newest, and they put together
}

// Visit returns what was measured of the lesson's swings so far, in their order, that of
// the bench among them as it was fitted last, put together.
func (s *Session) Visit() []*annotations.Result {
	if each := s.each(); !slices.Equal(each, s.visit.each) || s.visit.together == nil {
		s.visit.each, s.visit.together = each, annotations.PutTogether(each)
	}
	return s.visit.together
}

// each is Visit before the swings are put together.
func (s *Session) each() []*annotations.Result {
	var out []*annotations.Result
	l := s.Bench.Lesson()
	for i := range l.Swings {
		id := l.Swings[i].ID
		r := s.visit.results[id]
		if e := s.Result.Evaluation; e != nil && e.Swing().ID == id {
			r = e
		}
		if r != nil {
			out = append(out, r)
		}
	}
	return out
}

// Held returns the measures that the sheet shows: the means over the visit, or those of
// the swing on the bench alone.
func (s *Session) Held() []annotations.Measured { return s.Result.Held }

// Alone reports whether the sheet shows the swing on the bench alone, where the visit
// has others like it.
func (s *Session) Alone() bool { return s.visit.alone }

// StandAlone has the sheet show the swing on the bench alone, or the means over the
// visit.
func (s *Session) StandAlone(alone bool) {
	s.visit.alone = alone
	s.SolveAnew()
}

// Alike returns how many swings of the visit are like the one on the bench, it included.
func (s *Session) Alike() int {
	if e := s.Result.Evaluation; e != nil {
		return len(series.Alike(e, s.Visit()))
	}
	return 0
}

// measureVisit measures the swings that are not on the bench, one after another, and
// those anew that have changed. It costs nothing where nothing is to be done.
func (s *Session) measureVisit() {
	l := s.Bench.Lesson()
	if len(l.Swings) < 2 || s.visit.busy != "" || s.Result.Evaluation == nil || s.closed {
		return // the one on the bench comes first
	}
	for i := range l.Swings {
		sw := &l.Swings[i]
		if sw.ID == s.Bench.Swing().ID || len(sw.Marks) == 0 {
			continue
		}
		if r := s.visit.results[sw.ID]; r != nil && unchanged(r.Lesson, r.Index, l, i) {
			continue
		}
		s.measureSwing(l, i)
		return
	}
}

func (s *Session) measureSwing(l *annotations.Lesson, i int) {
	id, terms := l.Swings[i].ID, s.env.Terms()
	s.visit.busy = id
	done := func() { s.visit.busy = "" }
	s.env.Go("Measuring the other swings of the visit", func() {
		r, err := annotations.Evaluate(s.ctx, l, i, annotations.Options{Targets: terms.Targets, Decided: terms.Decided})
		s.env.Post(func() {
			done()
			if s.closed || err != nil {
				return
			}
			if s.visit.results == nil {
				s.visit.results = make(map[string]*annotations.Result)
			}
			s.visit.results[id] = r
			s.SolveAnew()
		})
	}, done)
}

// unchanged reports whether a swing gives the same numbers in two states of a lesson,
// which share what was not edited.
func unchanged(a *annotations.Lesson, i int, b *annotations.Lesson, j int) bool {
	x, y := &a.Swings[i], &b.Swings[j]
	return a == b || x.ID == y.ID && a.Student == b.Student && a.ClickSDPx == b.ClickSDPx && x.Club == y.Club && x.Tried == y.Tried &&
		x.Followed == y.Followed && same(x.Marks, y.Marks) && same(x.Positions, y.Positions) && same(x.Clips, y.Clips) &&
		sameLines(a, x, b, y)
}

// sameLines reports whether two swings have the same ground lines, other swings' among
// them.
func sameLines(a *annotations.Lesson, x *annotations.Swing, b *annotations.Lesson, y *annotations.Swing) bool {
	for k := range x.Clips {
		if !same(a.LinesOf(&x.Clips[k]), b.LinesOf(&y.Clips[k])) {
			return false
		}
	}
	return true
}

// same reports whether two slices are one.
func same[T any](a, b []T) bool { return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0]) }
