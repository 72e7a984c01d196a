package review

import (
	"fmt"
	"slices"
)

// A review has one clock. The recording's own runs from 0; that of each passage said anew is
// put behind all that was there before, so cuts, captions and whatever else is mended name
// times of takes as they name times of the recording, and programs that do not know takes find
// those times beyond the end. What is told in which order is another thing: Telling.Order.

// Take is a passage that was said anew: two files, as of the review itself.
type Take struct {
	List  string `json:"list"`
	Voice string `json:"voice,omitempty"`
	// Seconds is how long it is; 0 where the program was ended meanwhile.
	Seconds float64 `json:"seconds,omitempty"`
	// Clock is the time of the review's clock at which that of the take is 0.
	Clock float64 `json:"clock"`
	// Instead is what it is told in the place of, beginning where the first of these does.
	Instead []Span `json:"instead"`
}

// Moved is a drawing that is shown from a time to another, on the review's clock.
type Moved struct {
	ID   string  `json:"id"`
	From float64 `json:"from"` // seconds
	To   float64 `json:"to"`
}

func (r *Review) checkMended(at string, fault func(path, format string, args ...any)) {
	checkSpans(at+".silenced", r.Silenced, fault)
	for k := range r.Takes {
		t, at := &r.Takes[k], fmt.Sprintf("%s.takes[%d]", at, k)
		checkFiles(at, t.List, t.Voice, fault)
		if !within(t.Seconds, mostSeconds) || !within(t.Clock, mostSeconds) {
			fault(at+".seconds", "and clock must be from 0 to %d", mostSeconds)
		}
		if n := len(t.Instead); n == 0 || n > mostSpans || slices.ContainsFunc(t.Instead, func(s Span) bool { return !s.some() }) {
			fault(at+".instead", "must be pairs of times, the first before the last")
		}
	}
	for k, m := range r.Moved {
		if m.ID == "" || len(m.ID) > mostText || !(Span{m.From, m.To}).some() {
			fault(fmt.Sprintf("%s.moved[%d]", at, k), "must have the id of a drawing and two times, the first before the last")
		}
	}
}

// Recording is the files of a recording, relative to the document's folder.
type Recording struct{ List, Voice string }

// Recordings are the review's own, and those of its takes.
func (r *Review) Recordings() []Recording {
	out := []Recording{{r.List, r.Voice}}
	for _, t := range r.Takes {
		out = append(out, Recording{t.List, t.Voice})
	}
	return out
}

// WithRecordings returns the review with other files, in the order of Recordings. A take
// whose list is "" is left out.
func (r Review) WithRecordings(all []Recording) Review {
	r.List, r.Voice = all[0].List, all[0].Voice
	var takes []Take
	for k, t := range r.Takes {
		if t.List, t.Voice = all[k+1].List, all[k+1].Voice; t.List != "" {
			takes = append(takes, t)
		}
	}
	r.Takes = takes
	return r
}

// Anew returns the review with a take in it, or in the place of the one with its list.
func (r Review) Anew(t Take) Review {
	r.Takes = slices.Clone(r.Takes)
	if i := slices.IndexFunc(r.Takes, func(o Take) bool { return o.List == t.List }); i >= 0 {
		r.Takes[i] = t
	} else {
		r.Takes = append(r.Takes, t)
	}
	return r
}

// ClockOf is the stretch of the review's clock that take k has; the last one's is open where
// its length is not known.
func (r *Review) ClockOf(k int) Span {
	t := &r.Takes[k]
	switch {
	case t.Seconds > 0:
		return Span{t.Clock, t.Clock + t.Seconds}
	case k+1 < len(r.Takes):
		return Span{t.Clock, r.Takes[k+1].Clock}
	}
	return Span{t.Clock, mostSeconds}
}

// Restored returns the review without what was mended in a passage: the pieces of it that
// are told now, in order. Cuts between two pieces are taken back, and what was silenced, said
// anew or moved within them. Captions stay.
func (r Review) Restored(told []Span) Review {
	touched := slices.Clone(told)
	for i := 1; i < len(told); i++ {
		if told[i-1].To < told[i].From {
			touched = append(touched, Span{told[i-1].To, told[i].From})
		}
	}
	in := func(s Span) bool {
		return slices.ContainsFunc(touched, func(o Span) bool { return s.From < o.To && o.From < s.To })
	}
	r.Cuts = slices.DeleteFunc(slices.Clone(r.Cuts), in)
	r.Silenced = slices.DeleteFunc(slices.Clone(r.Silenced), in)
	r.Moved = slices.DeleteFunc(slices.Clone(r.Moved), func(m Moved) bool { return in(Span{m.From, m.To}) })
	var gone []Span
	var takes []Take
	for k, t := range r.Takes {
		own := r.ClockOf(k)
		within := func(s Span) bool { return s.From <= t.Instead[0].From && t.Instead[0].From < s.To }
		if slices.ContainsFunc(told, func(s Span) bool { return s.From < own.To && own.From < s.To }) || slices.ContainsFunc(gone, within) {
			gone = append(gone, own)
			continue
		}
		takes = append(takes, t)
	}
	r.Takes = takes
	return r
}

// Merged puts stretches in order and joins those that overlap or touch.
func Merged(all []Span) (out []Span) {
	all = slices.Clone(all)
	slices.SortFunc(all, byFrom)
	for _, s := range all {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}

// Without is what is left of stretches, in their order, when others are taken out. What is
// shorter than a millisecond is nothing.
func Without(all, out []Span) (left []Span) {
	out = Merged(out)
	for _, s := range all {
		for _, o := range out {
			if o.To <= s.From || o.From >= s.To {
				continue
			}
			if o.From-s.From >= 1e-3 {
				left = append(left, Span{s.From, o.From})
			}
			s.From = o.To
		}
		if s.To-s.From >= 1e-3 {
			left = append(left, s)
		}
	}
	return left
}
