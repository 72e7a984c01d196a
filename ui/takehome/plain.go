package takehome

import (
	"fmt"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// plain says the number of a finding in words: what it was, how it has changed since
// the lesson before where that is told, and what is looked for; what the finding's own
// text says already is left out. Its interval stands in the coach's table.
func (b *builder) plain(f *annotations.Finding) string {
	since := b.since(f)
	if strings.Contains(f.Text, words.Told(f.Unit, b.request.Imperial).Value(f.Value)) {
		if since == "" {
			return ""
		}
		return "That is" + strings.TrimPrefix(since, ",") + "."
	}
	said := fmt.Sprintf("Your %s was %s", nameAt(f.Measure, f.Position), words.Spoken(f.Value, f.Unit, b.request.Imperial))
	if verb, ok := verbs[f.Measure]; ok && f.Value >= 0 {
		said = fmt.Sprintf("%s, your %s %s", sentence(atOnly(f.Position)), verb, words.Spoken(f.Value, f.Unit, b.request.Imperial))
	} else if f.Low95 < 0 {
		said += positive(f.Measure)
	}
	said += since + "."
	if t, ok := b.request.targets().Find(f.Measure, f.Position, b.now.Swing().Club.Group(), b.now.Lesson.Student.Sex); ok {
		switch f.Verdict {
		case geometry.Within:
			said += " That is what we look for."
		case geometry.Below:
			said += " We look for more: " + words.Told(f.Unit, b.request.Imperial).Range(t.Range) + "."
		case geometry.Above:
			said += " We look for less: " + words.Told(f.Unit, b.request.Imperial).Range(t.Range) + "."
		}
	}
	return said
}

// verbs are what is said of a measure that turns.
var verbs = map[string]string{"pelvis turn": "hips had turned", "torso turn": "shoulders had turned"}

func atOnly(p geometry.PositionName) string {
	if p == "" {
		return "in this swing"
	}
	return "at " + at(p)
}

// since says how the measure of a finding has changed, where its direction is told;
// else "".
func (b *builder) since(f *annotations.Finding) string {
	now := b.now.number(f.Measure, f.Position)
	if now == nil || now.Change == nil || !now.Change.Told(b.request.Decided) {
		return ""
	}
	return ", " + words.HowMuch(now.Before.Value, now.Value, now.Unit, b.request.Imperial) + " " + b.when()
}

// when names the lesson before.
func (b *builder) when() string {
	then, err := time.Parse(time.DateOnly, b.before.Lesson.Date)
	now, err2 := time.Parse(time.DateOnly, b.now.Lesson.Date)
	switch {
	case err != nil || err2 != nil:
		return "last time"
	case then.Year() != now.Year():
		return "in " + then.Format("January 2006")
	case then.Month() == now.Month():
		return "on " + then.Format("2 January")
	}
	return "in " + then.Format("January")
}
