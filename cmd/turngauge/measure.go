package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"runtime"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/geometry"
)

const measureHelp = `turngauge measure FILE... [--json | --csv | --rows] [--targets RANGES.json]
                  [--since EARLIER.json] [--decided PERCENT] [--follow] [--jobs N]

Measures the swings of lesson documents from their marks and prints a table:
every measure with its 95 % interval, its target range and the verdict. The
clips themselves are not needed: where a swing was followed in the window, its
document keeps what came of it, and the number that is surer counts. Of a folder,
all lesson documents in it are measured. Several are measured at once and printed
in their order. Of a lesson with several swings of one club the means are told as
well, and how far the student's swings spread about them; what was tried in some of
them is compared with the others.

  --json                 print JSON instead, one object for each file
  --csv                  print one table for all files as CSV: a row for each
                         lesson, swing, measure and key position, with value,
                         interval, standard deviation, verdict and method; of
                         a swing whose numbers a mistake makes wrong, as views
                         that are swapped, one row that names the mistake; of
                         several swings also a row for each mean (basis visit)
  --rows                 print the same rows as JSON, one a line
  --since EARLIER.json   say also what has changed since this lesson of the student:
                         of the means, with the spread of the swings counted in,
                         and how many swings would settle what can't be told
  --follow               follow the marks through the clips first, which must be
                         there; a swing that can't be followed is measured from
                         its marks, and the reason said
  --jobs N               how many to measure at once; as many as there are
                         processors unless it is said
  --targets RANGES.json  target ranges that go before the program's own: a list
                         of {"measure", "position", "clubs", "sex", "low",
                         "high", "source"}, of which "measure" and one end are
                         needed
  --decided PERCENT      how sure a verdict must be to be given; 80 unless it is said

Exit codes: 0 measured; 2 the command line is wrong; 3 a document can't be read
or is invalid, every fault listed by its JSON path; 4 nothing could be measured
in a lesson, the reasons printed; of several lessons the highest.
`

func measure(r *run, c *command) int {
	fs := c.flags()
	asJSON, asCSV, asRows := fs.Bool("json", false, ""), fs.Bool("csv", false, ""), fs.Bool("rows", false, "")
	jobs := fs.Int("jobs", runtime.GOMAXPROCS(0), "")
	own, decided := fs.String("targets", "", ""), decidedFlag(fs)
	follow, since := fs.Bool("follow", false, ""), fs.String("since", "", "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	kinds := 0
	for _, k := range []bool{*asJSON, *asCSV, *asRows} {
		if k {
			kinds++
		}
	}
	switch {
	case len(files) == 0:
		return r.misuse(c, "name a lesson document to measure")
	case kinds > 1:
		return r.misuse(c, "say one of --json, --csv and --rows")
	case !decided.ok():
		return r.misuse(c, "%s", decided)
	case *jobs < 1 || *jobs > 256:
		return r.misuse(c, "--jobs is from 1 to 256, not %d", *jobs)
	}
	targets := annotations.DefaultTargets()
	if *own != "" {
		more, err := readTargets(*own)
		if err != nil {
			return r.fail(err, exitInput)
		}
		targets = append(targets, more...)
	}
	before, err := measureSince(r, *since, targets)
	if err != nil {
		return r.fail(err, exitInput)
	}
	files, code = lessonsOf(r, files)
	var out printer = &tables{run: r}
	switch {
	case *asJSON:
		out = &objects{run: r}
	case *asCSV:
		out = &csvRows{w: csv.NewWriter(r.stdout)}
	case *asRows:
		out = &jsonRows{run: r}
	}
	if err := out.begin(); err != nil {
		return r.fail(fmt.Errorf("the measures can't be written: %w", err), exitFailed)
	}
	return max(code, measureAll(r, files, how{targets: targets, decided: decided.probability(), follow: *follow, since: before}, *jobs, out))
}

// decidedPercent is how sure a verdict must be to be given, per cent.
type decidedPercent struct{ percent *float64 }

func decidedFlag(fs *flag.FlagSet) decidedPercent {
	return decidedPercent{fs.Float64("decided", 100*geometry.Decided, "")}
}

// ok reports whether it is a threshold: at a half or less, a verdict and its opposite
// could both be given.
func (d decidedPercent) ok() bool { return *d.percent > 50 && *d.percent < 100 }

// String says what is wrong with one that is none.
func (d decidedPercent) String() string {
	return fmt.Sprintf("--decided is how sure a verdict must be, over 50 and under 100 per cent, not %g", *d.percent)
}

// probability is that of annotations.Options.
func (d decidedPercent) probability() float64 { return *d.percent / 100 }

func readTargets(path string) (annotations.Targets, error) {
	data, err := place.Read(path, annotations.MaxBytes)
	if err != nil {
		return nil, fmt.Errorf("the target ranges can't be read: %w", err)
	}
	var t annotations.Targets
	if err := json.Unmarshal(data, &t); err != nil {
		return nil, fmt.Errorf("%s can't be used: %w", path, err)
	}
	return t, nil
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
