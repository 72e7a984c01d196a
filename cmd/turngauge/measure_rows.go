package main

import (
	"encoding/csv"
	"encoding/json"
	"strconv"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// row is one measure of one swing, for a study over many lessons, or a swing of
// which a mistake withholds every measure. A number that is not there is absent.
type row struct {
	File    string `json:"file"`
	Lesson  string `json:"lesson,omitempty"`
	Title   string `json:"title,omitempty"`
	Date    string `json:"date,omitempty"`
	Student string `json:"student,omitempty"`
	Swing   string `json:"swing"`
	Label   string `json:"label,omitempty"`
	Club    string `json:"club,omitempty"`
	*Numbers
	Mistake geometry.MistakeKind `json:"mistake,omitempty"`
	Tried   string               `json:"tried,omitempty"`
	// Swings and Spread are of a mean: how many swings it is of, and how far they differ.
	// Its Swing is that of the first.
	Swings int      `json:"swings,omitempty"`
	Spread *float64 `json:"spread,omitempty"`
}

// Numbers are what was measured; exported for encoding/json to fill in.
type Numbers struct {
	Measure    string                `json:"measure"`
	Position   geometry.PositionName `json:"position,omitempty"`
	Unit       geometry.Unit         `json:"unit"`
	Value      float64               `json:"value"`
	Low95      float64               `json:"low95"`
	High95     float64               `json:"high95"`
	SD         float64               `json:"sd"`
	TargetLow  *float64              `json:"target_low,omitempty"`
	TargetHigh *float64              `json:"target_high,omitempty"`
	Verdict    geometry.Verdict      `json:"verdict,omitempty"`
	Method     string                `json:"method"`
	// Probability is that of the verdict.
	Probability float64           `json:"probability,omitempty"`
	Basis       annotations.Basis `json:"basis"`
}

func rowsOf(m *measurement) []row {
	var out []row
	l := m.lesson
	for i := range m.report.Swings {
		s := &m.report.Swings[i]
		w := row{File: m.path, Lesson: l.ID, Title: l.Title, Date: l.Date, Student: l.Student.Name, Swing: s.ID, Label: s.Label}
		if sw := l.Swing(s.ID); sw != nil {
			w.Club, w.Tried = sw.Club.Name, sw.Tried
		}
		if s.Fit != nil && s.Fit.Mistake != nil {
			w.Mistake = s.Fit.Mistake.What
		}
		for k := range s.Measures {
			w.Numbers = numbersOf(&s.Measures[k])
			out = append(out, w)
		}
		if len(s.Measures) == 0 && w.Mistake != "" {
			out = append(out, w)
		}
	}
	for i := range m.student {
		s := &m.student[i]
		first := l.Swing(s.Swings[0])
		w := row{File: m.path, Lesson: l.ID, Title: l.Title, Date: l.Date, Student: l.Student.Name, Swing: first.ID, Club: first.Club.Name, Tried: s.Tried}
		for k := range s.Measures {
			x := &s.Measures[k]
			w.Swings, w.Spread = x.N, &x.Spread
			w.Numbers = &Numbers{Measure: x.Name, Position: x.Position, Unit: x.Unit, Value: x.Value, Low95: x.Low95, High95: x.High95, SD: x.SD,
				Verdict: x.Verdict, Method: "mean over the visit", Probability: x.Probability, Basis: annotations.OnVisit}
			if x.Target != nil {
				w.TargetLow, w.TargetHigh = x.Target.Low, x.Target.High
			}
			out = append(out, w)
		}
	}
	return out
}

func numbersOf(x *annotations.MeasureReport) *Numbers {
	w := &Numbers{
		Measure: x.Name, Position: x.Position, Unit: x.Unit, Value: x.Value, Low95: x.Low95, High95: x.High95, SD: x.SD,
		Verdict: x.Verdict, Method: x.Method, Probability: x.Probability, Basis: x.Basis,
	}
	if x.Target != nil {
		w.TargetLow, w.TargetHigh = x.Target.Low, x.Target.High
	}
	return w
}

// csvRows prints rows as CSV (RFC 4180, with line feeds), with a heading.
type csvRows struct{ w *csv.Writer }

func (c *csvRows) begin() error {
	return c.write([]string{"file", "lesson", "title", "date", "student", "swing", "label", "club", "measure", "position", "unit",
		"value", "low95", "high95", "sd", "target_low", "target_high", "verdict", "method", "probability", "basis", "mistake", "tried", "swings", "spread"})
}

func (c *csvRows) write(fields []string) error {
	if err := c.w.Write(fields); err != nil {
		return err
	}
	c.w.Flush()
	return c.w.Error()
}

func (c *csvRows) print(m *measurement) error {
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	end := func(v *float64) string {
		if v == nil {
			return ""
		}
		return number(*v)
	}
	for _, w := range rowsOf(m) {
		fields := []string{w.File, w.Lesson, w.Title, w.Date, w.Student, w.Swing, w.Label, w.Club}
		for i := range fields {
			fields[i] = words.Cell(fields[i])
		}
		if x := w.Numbers; x != nil {
			probability := ""
			if x.Probability > 0 {
				probability = number(x.Probability)
			}
			fields = append(fields, x.Measure, string(x.Position), string(x.Unit), number(x.Value), number(x.Low95), number(x.High95), number(x.SD),
				end(x.TargetLow), end(x.TargetHigh), string(x.Verdict), x.Method, probability, string(x.Basis))
		} else {
			fields = append(fields, make([]string, 13)...)
		}
		swings := ""
		if w.Swings > 0 {
			swings = strconv.Itoa(w.Swings)
		}
		if err := c.write(append(fields, string(w.Mistake), words.Cell(w.Tried), swings, end(w.Spread))); err != nil {
			return err
		}
	}
	return nil
}

func (c *csvRows) nothing(r *run, m *measurement) { sayNothing(r, m) }

// jsonRows prints rows as JSON, one a line.
type jsonRows struct{ run *run }

func (j *jsonRows) begin() error { return nil }

func (j *jsonRows) print(m *measurement) error {
	e := json.NewEncoder(j.run.stdout)
	e.SetEscapeHTML(false)
	for _, x := range rowsOf(m) {
		if err := e.Encode(x); err != nil {
			return err
		}
	}
	return nil
}

func (j *jsonRows) nothing(r *run, m *measurement) { sayNothing(r, m) }

// sayNothing says that a document had nothing to measure, and why where the rows
// have no room for it.
func sayNothing(r *run, m *measurement) {
	if why := m.report.Mistakes(); len(why) > 0 {
		r.say("nothing could be measured in %s: %s", m.path, strings.Join(why, "; "))
		return
	}
	r.say("nothing could be measured in %s", m.path)
}
