package library

import (
	"cmp"
	"context"
	"math"
	"slices"

	"turngauge/annotations"
)

// leastCourse is from how many lessons on a measure has a course worth drawing:
// two lessons are a comparison.
const leastCourse = 3

// Course returns measures with a target range over a student's lessons up to a
// day, for the sheet that the student takes home: at most so many, those that
// changed most surely from the first lesson to the last, and each with three
// lessons or more. A student who is not known has none.
func (l *Library) Course(ctx context.Context, student *annotations.Student, day string, most int) ([][]Value, error) {
	key, err := l.StudentOf(ctx, student)
	if err != nil || key == 0 {
		return nil, err
	}
	measures, err := l.MeasuresOf(ctx, key)
	if err != nil {
		return nil, err
	}
	var out [][]Value
	for _, m := range measures {
		if !m.Target || m.Lessons < leastCourse {
			continue
		}
		series, err := l.Progress(ctx, key, m.Name, m.Position, annotations.AnyClub)
		if err != nil {
			return nil, err
		}
		series = slices.DeleteFunc(series, func(v Value) bool { return v.Date == "" || v.Date > day })
		if len(series) >= leastCourse {
			out = append(out, series)
		}
	}
	sure := func(s []Value) float64 {
		c := ChangeOver(s)
		return math.Abs(c.Value) / max(c.Sigma, 1e-9)
	}
	slices.SortStableFunc(out, func(a, b []Value) int { return cmp.Compare(sure(b), sure(a)) })
	return out[:min(len(out), most)], nil
}
