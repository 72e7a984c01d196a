package takehome

import (
	"strings"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/plan"
)

// The size of the plan views, points: two of them side by side fit either
// paper.
const (
	planWidth  = 244.0
	planHeight = 186.0
)

// plans draws the golfer from above at the position the first finding about a
// turn speaks of, or else at the top or the nearest to it that can be drawn.
func (b *builder) plans() {
	order := []geometry.PositionName{geometry.Top, geometry.Impact, geometry.LeadArmLevel, geometry.Delivery, geometry.ClubLevelBack, geometry.Finish, geometry.Address}
	for _, f := range b.now.findings() {
		if strings.Contains(f.Measure, "turn") || f.Measure == "separation" {
			order = append([]geometry.PositionName{f.Position}, order...)
			break
		}
	}
	for _, position := range order {
		now := b.plan(b.now, position)
		if now == nil {
			continue
		}
		before := b.plan(b.before, position)
		r := reachOf(now, before)
		where := ", at " + at(position)
		title := "Now" + where
		if before == nil {
			title = "At " + at(position)
		}
		draw := func(f *plan.Figure, title, when string) {
			b.sheet.Plans = append(b.sheet.Plans, fromAbove(f, title, planSays(f, when), planWidth, planHeight, r))
		}
		if before != nil {
			draw(before, "Before"+where, b.sheet.Earlier)
		}
		draw(now, title, "now")
		b.sheet.PlanNote = "You from above at " + at(position) + ", the ball below, the target to the " + toward(now) +
			". The lead half of each line is solid, the trail half dashed; a fan shows the 95 % interval of its turn, the thin grey lines where it was at address."
		return
	}
}

func toward(f *plan.Figure) string {
	if f.Mirror {
		return "left"
	}
	return "right"
}

// plan is the golfer from above, or nil where neither hips nor shoulders are
// known.
func (b *builder) plan(m *measured, position geometry.PositionName) *plan.Figure {
	p := m.pointsAt(position)
	if p == nil {
		return nil
	}
	f := plan.Build(position, p, m.pointsAt(geometry.Address), m.Values())
	f.Mirror = m.Lesson.Student.Handed == geometry.LeftHanded
	if !f.Hips.Known && !f.Shoulders.Known {
		return nil
	}
	told := func(l *plan.Line, word, name string) {
		l.Label = word
		if r := m.number(name, position); r != nil {
			l.Label = word + " " + words.Told(r.Unit, false).WithInterval(r.Value, r.Low95, r.High95)
		}
	}
	told(&f.Hips, "hips", "pelvis turn")
	told(&f.Shoulders, "shoulders", "torso turn")
	return &f
}
