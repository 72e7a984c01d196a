package annotations

import (
	"errors"
	"math"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// ReportOf returns the report of the results of a lesson, one for each of its
// swings.
func ReportOf(l *Lesson, results []*Result) *Report {
	r := &Report{Version: 1, Lesson: l.ID, Swings: make([]SwingReport, len(results))}
	for i := range results {
		r.Swings[i] = results[i].Report()
	}
	return r
}

// Report returns the result as it is printed, with what would settle the verdicts
// that can't be told, or are told of one end only.
func (r *Result) Report() SwingReport {
	out := SwingReport{ID: r.Swing().ID, Label: r.Swing().Label, Fit: r.fitReport(), Measures: r.measureReports(), Missing: r.missingReports()}
	for i := range r.Measures {
		if m := &r.Measures[i]; m.Target == nil || m.Verdict.TwoSided() {
			continue
		}
		list := r.Remedies(&r.Measures[i])
		for k := range list {
			out.Measures[i].Remedies = append(out.Measures[i].Remedies, list[k].report())
		}
		if len(list) > 0 {
			out.Measures[i].Advice = list[0].Words(false)
		}
	}
	return out
}

// Rounded returns a measure as it is written down everywhere: its numbers to a
// ten-thousandth of its unit, the judgement as it was.
func (m Measured) Rounded() Measured {
	m.Value, m.Sigma, m.Low95, m.High95 = Rounded(m.Value), Rounded(m.Sigma), Rounded(m.Low95), Rounded(m.High95)
	return m
}

func (r *Result) measureReports() []MeasureReport {
	out := make([]MeasureReport, len(r.Measures))
	for i := range r.Measures {
		m := r.Measures[i].Rounded()
		out[i] = MeasureReport{
			Name: m.Name, Definition: m.Definition, Position: m.Position, Group: m.Group, Unit: m.Unit, Method: m.Method,
			Value: m.Value, SD: m.Sigma, Low95: m.Low95, High95: m.High95, Verdict: m.Verdict, Probability: Rounded(m.Probability),
			Basis: m.Basis, Clothes: words.Seen(m.Cloth),
		}
		if a := m.Alone; a != nil {
			out[i].MarksAlone = &NumberReport{Rounded(a.Value), Rounded(a.Sigma), Rounded(a.Low95), Rounded(a.High95)}
		}
		if t := m.Target; t != nil {
			out[i].Target = t.Report()
		}
	}
	return out
}

// Report returns the range as it is printed.
func (t *Target) Report() *TargetReport {
	return &TargetReport{Low: end(t.Range.Low), High: end(t.Range.High), Source: t.Source}
}

// Reasons says why measures are missing, or all of them, each without a full stop.
func (r *Result) Reasons(imperial bool) []string {
	if r.unsettled() {
		return []string{words.Trouble(r.Err)}
	}
	out := make([]string, len(r.Missing))
	for i := range r.Missing {
		out[i] = words.Missing(&r.Missing[i], imperial)
	}
	return out
}

// unsettled reports whether there was a fit that is not to be trusted.
func (r *Result) unsettled() bool {
	var insufficient *geometry.Insufficient
	return r.Err != nil && !errors.As(r.Err, &insufficient)
}

func (r *Result) missingReports() []MissingReport {
	if r.unsettled() {
		return []MissingReport{{Reason: words.Trouble(r.Err)}}
	}
	out := make([]MissingReport, len(r.Missing))
	for i := range r.Missing {
		m := &r.Missing[i]
		out[i] = MissingReport{m.Name, m.Position, words.MissingNamed(m)}
	}
	return out
}

func (r *Result) fitReport() *FitReport {
	if r.Fit == nil {
		return nil
	}
	s, sum := r.Swing(), &r.Fit.Summary
	f := &FitReport{
		Status: sum.Status, Iterations: sum.Iterations, Cost: Rounded(sum.Cost),
		Observations: sum.Observations, Unknowns: sum.Unknowns, Rank: sum.Rank,
		Cameras: []CameraReport{}, Suspects: []SuspectReport{},
	}
	for _, c := range r.Fit.Cameras {
		p := c.Camera.Position
		f.Cameras = append(f.Cameras, CameraReport{
			Clip:      s.Clips[c.Clip].ID,
			PositionM: [3]float64{Rounded(p.X), Rounded(p.Y), Rounded(p.Z)},
			FocalPx:   Rounded(c.Camera.FocalPx),
		})
	}
	for i := range r.Fit.Suspects {
		x := &r.Fit.Suspects[i]
		mark := r.Refs[x.Mark]
		m := &s.Marks[mark]
		f.Suspects = append(f.Suspects, SuspectReport{
			Mark: mark, Clip: m.Clip, Position: m.Position, Point: m.Point.String(),
			ResidualPx: Rounded(x.ResidualPx), Reason: words.Suspect(&r.Problem, x),
		})
	}
	f.addMarking(r)
	f.Mistake = r.mistakeReport()
	return f
}

// addMarking adds how well the swing is marked.
func (f *FitReport) addMarking(r *Result) {
	m := &r.Fit.Marking
	for _, c := range m.Classes {
		f.Noise = append(f.Noise, ScaleReport{c.Class.String(), Rounded(c.Scale), Rounded(c.Low95), Rounded(c.High95)})
	}
	if m.Told() {
		px, lo, hi := Rounded(m.AgreePx), Rounded(m.AgreeLow95), Rounded(m.AgreeHigh95)
		f.ToldPx, f.ToldLow95, f.ToldHigh95 = &px, &lo, &hi
	}
	for i := range m.Misfits {
		x := &m.Misfits[i]
		f.Misfits = append(f.Misfits, MisfitReport{
			x.Class.String(), r.Problem.Positions[x.Position].Name, Rounded(x.Times), words.Misfit(&r.Problem, x),
		})
	}
}

func (r *Result) mistakeReport() *MistakeReport {
	m := r.Mistake()
	if m == nil {
		return nil
	}
	out := &MistakeReport{What: m.What, Ask: words.MistakeAsk(&r.Problem, m), Reason: words.Mistake(&r.Problem, m), all: m.WithholdsAll()}
	if m.Clip >= 0 {
		out.Clip = r.Swing().Clips[m.Clip].ID
	}
	if m.Position >= 0 {
		out.Position = r.Problem.Positions[m.Position].Name
	}
	if m.What == geometry.CameraOffLine && m.DegreesSigma > 0 {
		half := geometry.Z95 * m.DegreesSigma
		off, low, high := Rounded(m.Degrees), Rounded(m.Degrees-half), Rounded(m.Degrees+half)
		out.OffDeg, out.OffLow95, out.OffHigh = &off, &low, &high
	}
	return out
}

// Rounded returns v to a ten-thousandth, with no negative zero.
func Rounded(v float64) float64 { return math.Round(v*1e4)/1e4 + 0 }
