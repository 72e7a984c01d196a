package takehome

import (
	"math"
	"strings"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/plan"
)

// The size of the plan views, points: two of them side by side fit either
// paper.
const (
	planWidth  = 244.0
	planHeight = 132.0
	planNarrow = 160.0 // of three
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
		before, aim := b.plan(b.before, position), b.aim(now)
		r := reachOf(now, before, aim)
		where := ", at " + at(position)
		title := "Now" + where
		if before == nil {
			title = "At " + at(position)
		}
		draw := func(f *plan.Figure, title, when string) {
			width := planWidth
			if before != nil && aim != nil {
				width = planNarrow
			}
			b.sheet.Plans = append(b.sheet.Plans, fromAbove(f, title, planSays(f, when), width, planHeight, r))
		}
		if before != nil {
			draw(before, "Before"+where, b.sheet.Earlier)
		}
		draw(now, title, "now")
		if aim != nil {
			draw(aim, "What we look for", "as we look for it")
		}
		b.sheet.PlanNote = "You from above at " + at(position) + ", the ball below, the target to the " + toward(now) +
			". The lead half of each line is solid, the trail half dashed; the fan about it shows how surely its turn is known, or the range that we look for; the thin grey lines are where it was at address."
		return
	}
}

// aim is a golfer from above as he is looked for: hips and shoulders at the middle of
// their target ranges, which the fans show. nil where neither has one, or both lie
// within.
func (b *builder) aim(now *plan.Figure) *plan.Figure {
	f := *now
	outside := false
	turn := func(l *plan.Line, word, name string) {
		m := b.now.number(name, now.Position)
		if m == nil || m.Target == nil || !l.Known || math.IsInf(m.Target.Range.Low, 0) || math.IsInf(m.Target.Range.High, 0) {
			*l = plan.Line{}
			return
		}
		low, high := m.Target.Range.Low, m.Target.Range.High
		outside = outside || m.Value < low || m.Value > high
		more := (low+high)/2 - m.Value
		s, c := math.Sincos(more * math.Pi / 180)
		mid := plan.Pt{X: (l.Lead.X + l.Trail.X) / 2, Z: (l.Lead.Z + l.Trail.Z) / 2}
		about := func(p plan.Pt) plan.Pt {
			x, z := p.X-mid.X, p.Z-mid.Z
			return plan.Pt{X: mid.X + c*x - s*z, Z: mid.Z + s*x + c*z}
		}
		l.Lead, l.Trail = about(l.Lead), about(l.Trail)
		l.HeadingDeg += more
		l.SigmaDeg = (high - low) / 2 / 1.959964 // the fan is drawn as an interval
		l.Label = word + " " + words.Told(m.Unit, false).Of(m.Name, m.Position).Range(m.Target.Range)
	}
	turn(&f.Hips, "hips", "pelvis turn")
	turn(&f.Shoulders, "shoulders", "torso turn")
	if !outside {
		return nil
	}
	return &f
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
			l.Label = word + " " + words.Told(r.Unit, false).Of(name, position).Value(r.Value) // the fan shows its interval
		}
	}
	told(&f.Hips, "hips", "pelvis turn")
	told(&f.Shoulders, "shoulders", "torso turn")
	return &f
}
