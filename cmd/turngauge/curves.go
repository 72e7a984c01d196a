package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
)

const curvesHelp = `turngauge curves LESSON.json [--csv FILE] [--swing ID]

Follows the marks of a swing through both of its clips, fits the golfer's motion
to them, and prints the measures at the key positions beside those of the marks
alone, the order in which pelvis and torso turn round with its probability, and
the peak separation. It needs the clips, impact set in both, and the hips and
shoulders marked at least at address and at the top.

  --csv FILE   write the curves too, as a table: a row for each instant with
               each measure, its 95 % interval and its change per second;
               - writes to the standard output, and nothing else there
  --swing ID   which swing of the lesson; the first unless it is said

Exit codes: 0 done; 2 the command line is wrong; 3 the document or a clip can't
be read; 4 there are no curves, what is missing printed.
`

func curvesOf(r *run, c *command) int {
	fs := c.flags()
	table, swing := fs.String("csv", "", ""), fs.String("swing", "", "")
	files, code, done := r.parse(c, fs)
	if done {
		return code
	}
	if len(files) != 1 {
		return r.misuse(c, "name one lesson document")
	}
	l, warnings, err := annotations.Load(files[0])
	if err != nil {
		return r.fail(err, exitInput)
	}
	for _, w := range warnings {
		_, _ = fmt.Fprintln(r.stderr, "turngauge:", w)
	}
	index := 0
	if *swing != "" {
		index = l.SwingIndex(*swing)
	}
	if index < 0 || index >= len(l.Swings) {
		return r.misuse(c, "the lesson has no swing %q", *swing)
	}
	result, err := annotations.Evaluate(r.ctx, l, index, annotations.Options{Follow: following(files[0])})
	if err != nil {
		return exitCanceled
	}
	var none *motion.NoCurves
	switch err := result.FollowErr; {
	case errors.As(err, &none), errors.Is(err, geometry.ErrNotConverged):
		return r.fail(errors.New(words.Trouble(err)), exitNothing)
	case err != nil:
		return r.fail(err, exitInput)
	}
	tracked := result.Curves
	if *table != "" {
		var names []geometry.PositionName
		for _, p := range l.Swings[index].Positions {
			names = append(names, p.Name)
		}
		var b bytes.Buffer
		if err := curves.WriteCSV(&b, tracked, names); err != nil {
			return r.fail(err, exitFailed)
		}
		if *table == "-" {
			if _, err := r.stdout.Write(b.Bytes()); err != nil {
				return r.fail(err, exitFailed)
			}
			return exitOK
		}
		if err := place.Shared(*table, &b); err != nil {
			return r.fail(fmt.Errorf("the curves can't be written: %w", err), exitFailed)
		}
	}
	if err := printCurves(r, result); err != nil {
		return r.fail(err, exitFailed)
	}
	return exitOK
}

// following follows the swings of the document at a path, as for Options.Follow.
func following(path string) func(context.Context, *annotations.Result) (*motion.Curves, error) {
	return func(ctx context.Context, marked *annotations.Result) (*motion.Curves, error) {
		if marked.Err != nil {
			return nil, nil // and that is said
		}
		_, tracked, err := curves.Run(ctx, marked, filepath.Dir(path), func(float64) {})
		return tracked, err
	}
}

// printCurves prints the measures at the key positions, tracked beside marked.
func printCurves(r *run, result *annotations.Result) error {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(w, "measure\tposition\ttracked\tmarks alone\tunit")
	written := func(m *geometry.Measure) string {
		return strings.TrimLeft(words.Column(m.Unit, m.Value, (m.High95-m.Low95)/2), " ")
	}
	for _, m := range result.Curves.Measures() {
		if m.Sigma < 1e-6 {
			continue // counted since address, at address
		}
		alone := ""
		if h := result.Find(m.Name, m.Position); h != nil {
			alone = written(h.ByMarks())
		}
		_, _ = fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", m.Name, m.Position, written(&m), alone, m.Unit)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	tracked := result.Curves
	if seen := words.Seen(&tracked.Seen); seen != "" {
		fmt.Fprintf(&b, "\n%s\n", seen)
	}
	first, last := tracked.Seconds[0], tracked.Seconds[len(tracked.Seconds)-1]
	fmt.Fprintf(&b, "\n%s\n%s\n%d instants from %.2f s to %.2f s about impact.\n", words.Reversal(&tracked.Reversal), words.Peak(&tracked.Peak),
		len(tracked.Seconds), math.Abs(first), last)
	_, err := r.stdout.Write([]byte(b.String()))
	return err
}
