package library

import (
	"context"
	"database/sql"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Progress returns a measure of a student's lessons from the first to the last,
// one value a lesson, with the change since the lesson before. It is the mean of the
// lesson's swings that were swung alike: those in which nothing was tried, with the
// group of clubs that is asked for, or that of the first such swing (annotations.AnyClub).
// How far the student's swings differ is estimated from all his lessons, where they tell
// it, and counted in; the intervals take in the coach's marking. A change is real only
// where its 95 % interval leaves out zero.
func (l *Library) Progress(ctx context.Context, student int64, name string, position geometry.PositionName, clubs annotations.ClubGroup) ([]Value, error) {
	var all []Value
	where := `WHERE lesson.student = $1 AND lesson.deleted IS NULL AND n.text = $2 AND p.text = $3 AND ($4 = '' OR swing.club_group = $4)
		ORDER BY lesson.date, lesson.recorded, swing.ordinal`
	err := l.query(ctx, "the progress can't be read", "SELECT "+valueColumns+where, []any{student, name, string(position), string(clubs)}, func(r *sql.Rows) error {
		v, err := scanValue(r)
		all = append(all, v)
		return err
	})
	out := visitsOf(all)
	addChanges(out)
	return out, err
}

func (v *Value) occasion() geometry.Occasion {
	return geometry.Occasion{Value: v.Value, Sigma: v.SD, Shared: v.shared, Lasting: v.lasting}
}

// visitsOf makes one value of each lesson of values of one measure, which are in the
// order of lessons and swings. Of several copies of one document the one recorded last
// counts.
func visitsOf(all []Value) []Value {
	var out []Value
	for i := 0; i < len(all); {
		end := i + 1
		for end < len(all) && all[end].Lesson == all[i].Lesson {
			end++
		}
		v := mean(all[i:end])
		if n := len(out); n > 0 && v.id != "" && out[n-1].id == v.id {
			out = out[:n-1]
		}
		out = append(out, v)
		i = end
	}
	return out
}

// mean is the value of a lesson, of those of its swings.
func mean(swings []Value) Value {
	v := swings[0]
	for i := range swings {
		if swings[i].Tried == "" {
			v = swings[i]
			break
		}
	}
	v.visit = nil
	for i := range swings {
		if s := &swings[i]; s.Tried == v.Tried && s.group == v.group {
			v.visit = append(v.visit, s.occasion())
		}
	}
	if v.Swings = len(v.visit); v.Swings == 1 {
		return v
	}
	m := v.visit.Mean(geometry.SpreadOf([]geometry.Visit{v.visit}, geometry.UsualSpread(v.Name, v.Unit)))
	v.Value, v.SD, v.Low95, v.High95 = m.Value, m.Sigma, m.Low95, m.High95
	if v.Target != nil {
		v.Verdict = m.Judge(*v.Target, 0).Verdict
	}
	return v
}

// addChanges adds the changes from each value of one measure to the next.
func addChanges(values []Value) {
	for i := 1; i < len(values); i++ {
		c := changeBetween(values, i-1, i)
		values[i].Change = &c
	}
}

// changeBetween compares two of a student's values of one measure; all of them tell how
// far his swings differ.
func changeBetween(values []Value, earlier, later int) geometry.Change {
	var others []geometry.Visit
	for i := range values {
		if i != earlier && i != later {
			others = append(others, values[i].visit)
		}
	}
	v := &values[later]
	return geometry.Compare(values[earlier].occasions(), v.occasions(), others, geometry.UsualSpread(v.Name, v.Unit))
}

// occasions are the swings of the value; one that was made from nothing but its number
// is of one swing.
func (v *Value) occasions() geometry.Visit {
	if len(v.visit) == 0 {
		return geometry.Visit{v.occasion()}
	}
	return v.visit
}

// ChangeOver compares the first and the last of a student's values of one measure. There
// are two of them at least.
func ChangeOver(values []Value) geometry.Change { return changeBetween(values, 0, len(values)-1) }
