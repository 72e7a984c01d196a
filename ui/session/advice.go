package session

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/ui/sheet"
)

// adviser works out what would sharpen the numbers of a fit.
type adviser struct {
	result *annotations.Result
	input  sheet.Input
	base   *sheet.Model // the sheet without the advice
}

// advised is the sheet with advice on every row, and what each mark not made
// yet is good for.
type advised struct {
	base, sheet *sheet.Model
	gains       map[annotations.MarkKey]annotations.Gain
}

// advise gives up when it is overtaken.
func (a *adviser) advise(overtaken func() bool) (advised, bool) {
	if a == nil {
		return advised{}, false
	}
	s, ok := a.result.Sharpen(overtaken)
	if !ok {
		return advised{}, false
	}
	in := a.input
	in.Best = s.Best
	for i := range in.Best {
		if in.Measures[i].One != nil { // a mark of this swing hardly sharpens the mean
			in.Best[i] = nil
		}
	}
	return advised{base: a.base, sheet: sheet.Build(in), gains: s.Gains}, true
}

// Why says what a mark not made yet would sharpen most, or "".
func (s *Session) Why(k annotations.MarkKey) string {
	if waiting := s.Result.waitsFor(k); waiting != "" {
		return waiting
	}
	g, ok := s.Result.Gains[k]
	if !ok {
		return ""
	}
	return words.Gain(&g.Suggestion, s.env.Terms().Imperial)
}

// waitsFor says which measures of a position are not measured for want of a
// point, or "".
func (r *Result) waitsFor(k annotations.MarkKey) string {
	var names []string
	for i := range r.Missing {
		if m := &r.Missing[i]; m.Position == k.Position && m.WaitsFor(k.Point) {
			names = append(names, m.Name)
		}
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "the " + names[0] + " waits for it"
	default:
		return fmt.Sprintf("the %s and %d more wait for it", names[0], len(names)-1)
	}
}
