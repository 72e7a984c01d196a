package review

import (
	"strings"

	"turngauge/annotations"
)

// plan is something that is to be said.
type plan struct {
	text string
	said bool
}

// plans are what there is to say of a swing: what the student asked, its findings and what
// is prescribed; before all, the finding that the review is begun from, nil for none.
func plans(l *annotations.Lesson, s *annotations.Swing, about *annotations.Finding) (out []plan) {
	add := func(of, text string) {
		if text = strings.Join(strings.Fields(text), " "); text != "" {
			out = append(out, plan{text: of + text})
		}
	}
	if about != nil {
		add("", about.Text)
	}
	add("Asked: ", l.Question)
	for i := range s.Findings {
		if about == nil || s.Findings[i].ID != about.ID {
			add("", s.Findings[i].Text)
		}
	}
	p := &l.Prescription
	for _, text := range p.SetUp {
		add("Set-up: ", text)
	}
	add("Feel: ", p.Feel)
	add("Drill: ", p.Drill)
	add("Film next: ", p.FilmNext)
	return out
}

// Talk begins a review with a finding: what it is about is shown, and its card is the first.
// While one is recorded already it is only shown.
func (r *Room) Talk(f annotations.Finding) {
	r.doors.Finding(f)
	if f.Frame.Clip != "" {
		r.goTo(f.Frame.Clip, f.Frame.Index)
	}
	if r.recorder == nil {
		r.record(nil, &f)
	}
}

// seen are which cards have room, of so many: where there are more the first that is not said
// yet comes second.
func (r *Room) seen(room int) (from, to int) {
	n := len(r.cards)
	if n <= room {
		return 0, n
	}
	first := 0
	for first < n && r.cards[first].said {
		first++
	}
	from = min(max(first-1, 0), n-room)
	return from, from + room
}
