package takehome

import (
	"fmt"
	"math"
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
	n := words.Told(f.Unit, b.request.Imperial).Of(f.Measure, f.Position)
	if strings.Contains(f.Text, n.Value(f.Value)) || strings.Contains(f.Text, words.Told(f.Unit, b.request.Imperial).Value(math.Abs(f.Value))) {
		if since == "" {
			return ""
		}
		return "That is" + strings.TrimPrefix(since, ",") + "."
	}
	said := fmt.Sprintf("Your %s was %s", nameAt(f.Measure, f.Position), n.Spoken(f.Value))
	if part, ok := turning[f.Measure]; ok {
		verb := "had turned"
		if n.Sided(f.Value) {
			verb = "were"
		}
		said = fmt.Sprintf("%s, your %s %s %s", sentence(atOnly(f.Position)), part, verb, n.Spoken(f.Value))
	}
	said += since + "."
	if t, ok := b.request.targets().Find(f.Measure, f.Position, b.now.Swing().Club.Group(), b.now.Lesson.Student.Sex); ok {
		switch f.Verdict {
		case geometry.Within:
			said += " That is what we look for."
		case geometry.Below:
			said += " We look for " + n.Other(geometry.Below, t.Range) + ": " + n.Range(t.Range) + "."
		case geometry.Above:
			said += " We look for " + n.Other(geometry.Above, t.Range) + ": " + n.Range(t.Range) + "."
		}
	}
	return said
}

// turning are the parts of the body whose turn is a measure.
var turning = map[string]string{"pelvis turn": "hips", "torso turn": "shoulders"}

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
	n := words.Told(now.Unit, b.request.Imperial).Of(now.Name, now.Position)
	return ", " + n.HowMuch(now.Before.Value, now.Value) + " " + b.when()
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
