package words

import (
	"fmt"

	"turngauge/geometry"
)

// Ask says what to mark: "mark the buckle at the top face-on".
func Ask(s *geometry.Suggestion) string {
	by := ""
	if s.ByHand {
		by = " by hand"
	}
	return fmt.Sprintf("mark the %s %s %s%s", s.Point, s.MarkAt.At(), s.View, by)
}

// Advice says what to mark, and what it does for the measure it was asked for:
// "mark the buckle at the top face-on: ±5.7 becomes ±3.8".
func Advice(s *geometry.Suggestion, imperial bool) string {
	return Ask(s) + ": " + Exact(s.Unit, imperial).Narrower(s.HalfWidthNow, s.HalfWidthThen)
}

// Gain says what a mark does for the measure that it sharpens most: "pelvis turn,
// top, ± 5.7 becomes ± 3.8".
func Gain(s *geometry.Suggestion, imperial bool) string {
	name := s.Measure
	if s.At != "" {
		name += ", " + string(s.At) + ","
	}
	n := Exact(s.Unit, imperial)
	return name + " " + n.PlusMinus(s.HalfWidthNow) + " becomes " + n.PlusMinus(s.HalfWidthThen)
}
