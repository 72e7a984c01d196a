package session

import (
	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// Result is what came of a fit.
type Result struct {
	// Revision, Lesson and Swing, an ID, say what was solved. It may be a moment
	// older than what is on the bench: its own order of positions and clips counts.
	Revision uint64
	Lesson   *annotations.Lesson
	Swing    string

	// Evaluation is what the rest was made from; nil where the fit broke.
	Evaluation *annotations.Result
	// Measures and Missing are the numbers and the reasons for their absence.
	Measures []geometry.Measure
	// Held are they as the sheet shows them: the means over the visit, of two swings or
	// more, held against an earlier visit.
	Held     []annotations.Measured
	Missing  []geometry.Missing
	Sheet    *sheet.Model // nil until the first fit
	Suspects []Suspect
	Advice   []bench.Advice
	Gains    map[annotations.MarkKey]annotations.Gain // what each mark not made yet would sharpen; nil until known
	Summary  geometry.Summary
	Findings []annotations.Proposal // what the rules suggest, for the coach to take or leave
	Seen     [][]explain.Seen       // what the fit expects to see, per clip and position
	Problem  string                 // why the fit is not to be trusted, or ""
}

// Suspect is a mark that does not agree with the others.
type Suspect struct {
	Clip     string
	Position geometry.PositionName
	Point    geometry.Point
	Reason   string
}

// result is an empty answer to a request.
func (r *request) result() Result {
	return Result{Revision: r.revision, Lesson: r.lesson, Swing: r.swing}
}

// fitDone takes a result of the fit, if it is of the swing on the bench. Where undoing
// has taken that swing out of the lesson, the bench holds none until its next Refresh.
func (s *Session) fitDone(r Result) {
	if sw := s.Bench.Swing(); s.closed || sw == nil || r.Swing != sw.ID {
		return
	}
	s.Result = r
	s.Bench.SetAdvice(r.Advice)
	s.tellOfPlace()
}

// tellOfPlace tells once of each clip whose camera was found far off its line.
func (s *Session) tellOfPlace() {
	e := s.Result.Evaluation
	m := e.Mistake()
	if m == nil || m.What != geometry.CameraOffLine || e.Fit.Warm {
		return
	}
	clip := e.Swing().Clips[m.Clip].ID
	if s.offLine[clip] {
		return
	}
	if s.offLine == nil {
		s.offLine = make(map[string]bool)
	}
	s.offLine[clip] = true
	s.env.Tell(bench.Note(words.Sentence(words.Mistake(&e.Problem, m)) + ": press Shift+P to see it from above, and what it costs."))
}

// adviceDone takes what was worked out after a fit, if that fit is still the
// one shown.
func (s *Session) adviceDone(adv advised) {
	if s.closed || s.Result.Sheet != adv.base {
		return
	}
	s.Result.Sheet, s.Result.Gains = adv.sheet, adv.gains
}

// ByMarks returns what the marks alone tell of a measure at a position, if it could
// be measured.
func (r *Result) ByMarks(name string, at geometry.PositionName) (geometry.Measure, bool) {
	if m := r.Evaluation.Find(name, at); m != nil {
		return *m.ByMarks(), true
	}
	return geometry.Measure{}, false
}

// PointsAt returns the fitted points of a position, or nil.
func (r *Result) PointsAt(name geometry.PositionName) *[geometry.NumPoints]geometry.PointEstimate {
	return r.Evaluation.Points(name)
}

// Settled returns the results of a lesson's swing on the bench and of the one
// compared with, as far as they depend on the marks alone and nobody asks their
// solutions any more.
func (s *Session) Settled(l *annotations.Lesson) []*annotations.Result {
	var out []*annotations.Result
	if r := s.Result.Evaluation; r != nil && r.Lesson == l && r.Solution != nil && !r.Fit.Warm && s.Result.Gains != nil {
		out = append(out, r)
	}
	if s.Other != nil && s.Other.Result != nil {
		out = append(out, s.Other.Result)
	}
	return out
}
