package main

import (
	"fmt"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/table"
	"turngauge/annotations/words"
)

// measurement is one document, measured.
type measurement struct {
	path     string
	lesson   *annotations.Lesson
	report   *annotations.Report
	student  []series.Report   // what several swings tell of the student
	compared []series.Compared // with what was tried, and since an earlier visit
	warnings []string
	err      error
	code     int
}

// how says how lessons are measured.
type how struct {
	targets annotations.Targets
	decided float64               // as in annotations.Options
	follow  bool                  // through their clips, first
	since   []*annotations.Result // of an earlier visit; nil for none
}

// measureAll measures documents, several at once, prints them in their order,
// and returns the highest exit code. Of one that fails the others go on.
func measureAll(r *run, files []string, by how, jobs int, out printer) int {
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
				results[i] <- measureOne(r, files[i], by)
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
			out.nothing(r, &m)
			code = max(code, exitNothing)
		}
	}
	return code
}

func measureOne(r *run, path string, by how) measurement {
	m := measurement{path: path}
	if err := r.ctx.Err(); err != nil {
		m.err, m.code = err, exitCanceled
		return m
	}
	if m.lesson, m.warnings, m.err = loadQuietly(path); m.err != nil {
		m.code = exitInput
		return m
	}
	o := annotations.Options{Targets: by.targets, Decided: by.decided}
	if by.follow {
		o.Follow = following(path)
	}
	results, err := annotations.EvaluateAll(r.ctx, m.lesson, o)
	if err != nil {
		m.err, m.code = err, exitFailed
		return m
	}
	for _, x := range results {
		if x.FollowErr != nil {
			m.warnings = append(m.warnings, fmt.Sprintf("%s: swing %s is measured from its marks alone: %s", path, x.Swing().ID, words.Trouble(x.FollowErr)))
		}
	}
	m.report = annotations.ReportOf(m.lesson, results)
	for _, s := range series.Of(results, &o) {
		m.student = append(m.student, s.Report())
	}
	m.compare(results, by.since, by.decided)
	return m
}

// compare compares what was tried with the usual swings, and those with an earlier
// visit.
func (m *measurement) compare(results, since []*annotations.Result, decided float64) {
	for _, c := range series.Tries(results) {
		m.compared = append(m.compared, c.Report(false, decided))
	}
	for _, r := range results {
		if len(r.Measures) == 0 || since == nil {
			continue
		}
		if c, ok := series.Between(r, results, since); ok && c.Later[0] == r { // the first of its kind
			m.compared = append(m.compared, c.Report(false, decided))
		}
	}
}

// measureSince measures the document of an earlier visit; path may be "".
func measureSince(r *run, path string, targets annotations.Targets) ([]*annotations.Result, error) {
	if path == "" {
		return nil, nil
	}
	l, err := r.load(path)
	if err != nil {
		return nil, err
	}
	results, err := annotations.EvaluateAll(r.ctx, l, annotations.Options{Targets: targets})
	if err != nil {
		return nil, err
	}
	for _, x := range results {
		if len(x.Measures) > 0 {
			return results, nil
		}
	}
	return nil, fmt.Errorf("nothing can be measured in %s, so that there is nothing to compare with", path)
}

// printer prints measured documents.
type printer interface {
	begin() error
	print(m *measurement) error
	nothing(r *run, m *measurement) // says that a document had nothing to measure
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
	var student strings.Builder
	for i := range m.student {
		m.student[i].Table(&student)
	}
	for i := range m.compared {
		m.compared[i].Table(&student)
	}
	return table.Write(t.run.stdout, m.report, m.lesson, student.String())
}

func (t *tables) nothing(r *run, m *measurement) { r.say("nothing could be measured in %s", m.path) }

// objects prints the JSON output of the lesson format.
type objects struct{ run *run }

func (o *objects) begin() error { return nil }
func (o *objects) print(m *measurement) error {
	return writeJSON(o.run, struct {
		*annotations.Report
		Student  []series.Report   `json:"student,omitempty"`
		Compared []series.Compared `json:"compared,omitempty"`
	}{m.report, m.student, m.compared})
}
func (o *objects) nothing(r *run, m *measurement) {
	if len(m.report.Mistakes()) > 0 {
		r.say("nothing could be measured in %s; \"mistake\" says why", m.path)
		return
	}
	r.say("nothing could be measured in %s; \"missing\" says what to mark", m.path)
}
