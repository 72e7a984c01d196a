package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"

	"turngauge/annotations"
)

const measureHelp = `turngauge measure FILE... [--json] [--targets RANGES.json]

Measures the swings of lesson documents from their marks and prints a table:
every measure with its 95 % interval, its target range and the verdict. The
clips themselves are not needed.

  --json                 print JSON instead, one object for each file
  --targets RANGES.json  target ranges that go before the program's own: a list
                         of {"measure", "position", "clubs", "sex", "low",
                         "high", "source"}, of which "measure" and one end are
                         needed

Exit codes: 0 measured; 2 the command line is wrong; 3 a document can't be read
or is invalid, every fault listed by its JSON path; 4 nothing could be measured
in a lesson, the reasons printed.
`

func measure(r *run, c *command) int {
	fs := c.flags()
	asJSON := fs.Bool("json", false, "")
	own := fs.String("targets", "", "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) == 0 {
		return r.misuse(c, "name a lesson document to measure")
	}
	targets := annotations.DefaultTargets()
	if *own != "" {
		more, err := readTargets(*own)
		if err != nil {
			return r.fail(err, exitInput)
		}
		targets = append(targets, more...)
	}
	code = exitOK
	for i, path := range files {
		if i > 0 && !*asJSON {
			_, _ = fmt.Fprintln(r.stdout)
		}
		code = max(code, measureFile(r, path, targets, *asJSON))
	}
	return code
}

func readTargets(path string) (annotations.Targets, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the target ranges can't be read: %w", err)
	}
	var t annotations.Targets
	if err := json.Unmarshal(data, &t); err != nil {
		return nil, fmt.Errorf("%s can't be used: %w", path, err)
	}
	return t, nil
}

// measureFile measures one document and prints the outcome.
func measureFile(r *run, path string, targets annotations.Targets, asJSON bool) int {
	lesson, err := r.load(path)
	if err != nil {
		return r.fail(err, exitInput)
	}
	report, err := annotations.Measure(r.ctx, lesson, nil, targets)
	if err != nil {
		return r.fail(err, exitFailed)
	}
	if asJSON {
		err = writeJSON(r, report)
	} else {
		err = report.WriteTable(r.stdout, lesson)
	}
	if err != nil {
		return r.fail(fmt.Errorf("the measures can't be written: %w", err), exitFailed)
	}
	if !report.Measured() {
		if asJSON {
			r.say("nothing could be measured in %s; \"missing\" says what to mark", path)
		} else {
			r.say("nothing could be measured in %s", path)
		}
		return exitNothing
	}
	return exitOK
}

func writeJSON(r *run, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := r.stdout.Write(b.Bytes())
	return err
}
