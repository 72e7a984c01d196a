package session

import (
	"context"
	"errors"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// mostAdvice is how many marks are advised, for a coach who can't place the first.
const mostAdvice = 24

// telling says which mark would sharpen the numbers most, and which of them how far.
func telling(s *geometry.Suggestion, imperial bool) string {
	return words.Ask(s) + ": " + words.Gain(s, imperial)
}

// solve evaluates a swing and makes everything the window shows of the result,
// and what it needs to advise on it.
func solve(ctx context.Context, solver *fit.Solver, r *request) (Result, *adviser) {
	out := r.result()
	options := annotations.Options{Solver: solver, Targets: r.Targets, Rules: r.Rules, Imperial: r.Imperial, Decided: r.Decided}
	result, err := annotations.Evaluate(ctx, r.lesson, r.lesson.SwingIndex(r.swing), options)
	if err != nil {
		return out, nil // overtaken
	}
	out.Evaluation = result
	visit := series.With(result, r.visit)
	out.Held = series.Held(result, visit, r.earlier, r.alone, &options)
	out.Findings = r.Rules.Propose(out.Held, r.Imperial)
	var insufficient *geometry.Insufficient
	switch {
	case result.Solution != nil:
		sw := result.Swing()
		out.Measures, out.Summary = result.Values(), result.Fit.Summary
		if m := result.Mistake(); m.WithholdsAll() && m.What != geometry.NoOneBody {
			break // where the fit sees things, and what disagrees with it, misleads
		}
		out.Seen = explain.See(result.Solution, &result.Problem)
		for _, s := range result.Fit.Suspects {
			reason := words.Suspect(&result.Problem, &s)
			ring := func(mark int) {
				m := &sw.Marks[result.Refs[mark]]
				out.Suspects = append(out.Suspects, Suspect{m.Clip, m.Position, m.Point, reason})
			}
			ring(s.Mark)
			if s.Swapped {
				ring(s.Other)
			}
		}
		for _, s := range result.NextMarks(mostAdvice) {
			k := result.Key(&s)
			out.Advice = append(out.Advice, bench.Advice{Clip: k.Clip, Position: k.Position, Point: k.Point, Text: telling(&s, r.Imperial), OK: true})
		}
	case !errors.As(result.Err, &insufficient):
		out.Problem = words.Trouble(result.Err)
	}
	for _, m := range result.Missing {
		if m.Name == "" {
			out.Problem = words.Missing(&m, r.Imperial)
			continue
		}
		out.Missing = append(out.Missing, m)
	}
	in := sheet.Input{
		Measures: out.Held, Missing: out.Missing, Imperial: r.Imperial, Decided: r.Decided,
		Why: out.Problem, Proposed: proposedMarks(&result.Problem),
		Swing: &result.Problem, Mistake: result.Mistake(), Alone: r.alone,
	}
	if !r.apart {
		in.Alike = len(series.Alike(result, visit))
	}
	if result.Fit != nil {
		in.Marking = &result.Fit.Marking
	}
	out.Sheet = sheet.Build(in)
	if len(out.Measures) == 0 {
		return out, nil
	}
	return out, &adviser{result: result, input: in, base: out.Sheet}
}

// proposedMarks counts the marks that the coach has not taken yet.
func proposedMarks(sw *geometry.Swing) int {
	n := 0
	for i := range sw.Marks {
		if s := sw.Marks[i].State; s == geometry.Proposed || s == geometry.Tracked {
			n++
		}
	}
	return n
}
