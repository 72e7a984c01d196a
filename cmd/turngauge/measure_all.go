package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strconv"

	"turngauge/annotations"
	"turngauge/geometry"
)

// measurement is one document, measured.
type measurement struct {
	path     string
	lesson   *annotations.Lesson
	report   *annotations.Report
	warnings []string
	err      error
	code     int
}

// measureAll measures documents, several at once, prints them in their order,
// and returns the highest exit code. Of one that fails the others go on.
func measureAll(r *run, files []string, targets annotations.Targets, jobs int, out printer) int {
	results := make([]chan measurement, len(files))
	for i := range results {
		results[i] = make(chan measurement, 1)
	}
	// A worker may be ahead of the printer by as much as there are workers: what
	// waits to be printed does not pile up.
	ahead := make(chan struct{}, 2*jobs)
	next := make(chan int)
	go func() {
		defer close(next)
		for i := range files {
			ahead <- struct{}{}
			next <- i
		}
	}()
	for range min(jobs, len(files)) {
		go func() {
			for i := range next {
				results[i] <- measureOne(r, files[i], targets)
			}
		}()
	}
	code := exitOK
	for i := range files {
		m := <-results[i]
		<-ahead
		for _, w := range m.warnings {
			r.say("warning: %s", w)
		}
		if m.err != nil {
			code = max(code, r.fail(m.err, m.code))
			continue
		}
		if err := out.print(&m); err != nil {
			return r.fail(fmt.Errorf("the measures can't be written: %w", err), exitFailed)
		}
		if !m.report.Measured() {
			out.nothing(r, m.path)
			code = max(code, exitNothing)
		}
	}
	return code
}

func measureOne(r *run, path string, targets annotations.Targets) measurement {
	m := measurement{path: path}
	if err := r.ctx.Err(); err != nil {
		m.err, m.code = err, exitCanceled
		return m
	}
	if m.lesson, m.warnings, m.err = loadQuietly(path); m.err != nil {
		m.code = exitInput
		return m
	}
	results, err := annotations.EvaluateAll(r.ctx, m.lesson, annotations.Options{Targets: targets})
	if err != nil {
		m.err, m.code = err, exitFailed
		return m
	}
	m.report = annotations.ReportOf(m.lesson, results)
	return m
}

// printer prints measured documents.
type printer interface {
	begin() error
	print(m *measurement) error
	nothing(r *run, path string) // says that a document had nothing to measure
}

// tables prints for people.
type tables struct {
	run    *run
	before bool
}

func (t *tables) begin() error { return nil }

func (t *tables) print(m *measurement) error {
	if t.before {
		_, _ = fmt.Fprintln(t.run.stdout)
	}
	t.before = true
	return m.report.WriteTable(t.run.stdout, m.lesson)
}

func (t *tables) nothing(r *run, path string) { r.say("nothing could be measured in %s", path) }

// objects prints the JSON output of the lesson format.
type objects struct{ run *run }

func (o *objects) begin() error               { return nil }
func (o *objects) print(m *measurement) error { return writeJSON(o.run, m.report) }
func (o *objects) nothing(r *run, path string) {
	r.say("nothing could be measured in %s; \"missing\" says what to mark", path)
}

// row is one measure of one swing, for a study over many lessons. A number that
// is not there is absent.
type row struct {
	File       string                `json:"file"`
	Lesson     string                `json:"lesson,omitempty"`
	Title      string                `json:"title,omitempty"`
	Date       string                `json:"date,omitempty"`
	Student    string                `json:"student,omitempty"`
	Swing      string                `json:"swing"`
	Label      string                `json:"label,omitempty"`
	Club       string                `json:"club,omitempty"`
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
}

func rowsOf(m *measurement) []row {
	var out []row
	l := m.lesson
	for i := range m.report.Swings {
		s := &m.report.Swings[i]
		club := ""
		if sw := l.Swing(s.ID); sw != nil {
			club = sw.Club.Name
		}
		for k := range s.Measures {
			x := &s.Measures[k]
			w := row{
				File: m.path, Lesson: l.ID, Title: l.Title, Date: l.Date, Student: l.Student.Name, Swing: s.ID, Label: s.Label, Club: club,
				Measure: x.Name, Position: x.Position, Unit: x.Unit, Value: x.Value, Low95: x.Low95, High95: x.High95, SD: x.SD,
				Verdict: x.Verdict, Method: x.Method,
			}
			if x.Target != nil {
				w.TargetLow, w.TargetHigh = x.Target.Low, x.Target.High
			}
			out = append(out, w)
		}
	}
	return out
}

// csvRows prints rows as CSV (RFC 4180, with line feeds), with a heading.
type csvRows struct{ w *csv.Writer }

func (c *csvRows) begin() error {
	return c.write([]string{"file", "lesson", "title", "date", "student", "swing", "label", "club", "measure", "position", "unit",
		"value", "low95", "high95", "sd", "target_low", "target_high", "verdict", "method"})
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
	for _, x := range rowsOf(m) {
		if err := c.write([]string{x.File, x.Lesson, x.Title, x.Date, x.Student, x.Swing, x.Label, x.Club, x.Measure, string(x.Position), string(x.Unit),
			number(x.Value), number(x.Low95), number(x.High95), number(x.SD), end(x.TargetLow), end(x.TargetHigh), string(x.Verdict), x.Method}); err != nil {
			return err
		}
	}
	return nil
}

func (c *csvRows) nothing(r *run, path string) { r.say("nothing could be measured in %s", path) }

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

func (j *jsonRows) nothing(r *run, path string) { r.say("nothing could be measured in %s", path) }
