package film

import (
	"context"

	"turngauge/annotations/review"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/video/texts"
)

// leastChapter is how long something is to be shown before it is a chapter, and how far
// chapters lie apart, seconds.
const leastChapter = 1.5

// Chapters are the key positions and measures that were shown for a while, each from when
// it was first shown.
func (f *Film) Chapters() (out []texts.Text) {
	total := f.course.Seconds()
	const every = 0.1 // seconds
	subject, since := "", 0.0
	for t := 0.0; t < total; t += every {
		now := f.subject(f.recorded.At(f.course.List(t)))
		if now != subject {
			subject, since = now, t
		}
		if subject == "" || t-since < leastChapter || len(out) > 0 && (out[len(out)-1].Text == subject || since-out[len(out)-1].From < leastChapter) {
			continue
		}
		out = append(out, texts.Text{From: since, Text: subject})
	}
	if len(out) == 0 {
		return nil
	}
	if out[0].From > leastChapter { // players want chapters from the beginning on
		out = append([]texts.Text{{Text: "Beginning"}}, out...)
	}
	out[0].From = 0
	for i := range out {
		out[i].To = total
		if i+1 < len(out) {
			out[i].To = out[i+1].From
		}
	}
	return out
}

// subject is what a state is about: the measure that is pointed at, else the key position
// that is shown, "" between them.
func (f *Film) subject(s *review.State) string {
	if s == nil {
		return ""
	}
	if s.Row != nil {
		return words.Sentence(nameAt(s.Row.Measure, geometry.PositionName(s.Row.Position)))
	}
	for i := range s.Views {
		side, err := f.side(context.Background(), swingOf(s, &s.Views[i]))
		if err != nil || side == nil {
			continue
		}
		if p := positionOf(side, &s.Views[i]); p != "" {
			return words.Sentence(called(geometry.PositionName(p)))
		}
	}
	return ""
}

// called is a position in a sentence.
func called(p geometry.PositionName) string {
	switch p {
	case geometry.Top, geometry.Finish:
		return "the " + string(p)
	}
	return string(p)
}

func nameAt(measure string, at geometry.PositionName) string {
	if at == "" {
		return measure
	}
	return measure + " at " + called(at)
}
