package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/fit"
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
	_, fit, err := curves.Run(r.ctx, l, index, filepath.Dir(files[0]), func(float64) {})
	var none *motion.NoCurves
	switch {
	case errors.As(err, &none), errors.Is(err, geometry.ErrNotConverged):
		return r.fail(err, exitNothing)
	case r.ctx.Err() != nil:
		return exitCanceled
	case err != nil:
		return r.fail(err, exitInput)
	}
	if *table != "" {
		var names []geometry.PositionName
		for _, p := range l.Swings[index].Positions {
			names = append(names, p.Name)
		}
		var b bytes.Buffer
		if err := curves.WriteCSV(&b, fit, names); err != nil {
			return r.fail(err, exitFailed)
		}
		if *table == "-" {
			if _, err := r.stdout.Write(b.Bytes()); err != nil {
				return r.fail(err, exitFailed)
			}
			return exitOK
		}
		if err := os.WriteFile(*table, b.Bytes(), 0o644); err != nil {
			return r.fail(fmt.Errorf("the curves can't be written: %w", err), exitFailed)
		}
	}
	if err := printCurves(r, l, index, fit); err != nil {
		return r.fail(err, exitFailed)
	}
	return exitOK
}

// printCurves prints the measures at the key positions, tracked beside marked.
func printCurves(r *run, l *annotations.Lesson, index int, tracked *motion.Curves) error {
	sw, _ := annotations.Problem(l, index)
	marked, err := fit.NewSolver().Solve(r.ctx, sw)
	if err != nil {
		return err
	}
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(w, "measure\tposition\ttracked\tmarks alone\tunit")
	for _, m := range tracked.Measures() {
		if m.Sigma < 1e-6 {
			continue // counted since address, at address
		}
		alone := ""
		if h, miss := marked.Measure(m.Name, m.Position); miss == nil {
			alone = fmt.Sprintf("%.1f ± %.1f", h.Value, (h.High95-h.Low95)/2)
		}
		_, _ = fmt.Fprintf(w, "%s\t%s\t%.1f ± %.1f\t%s\t%s\n", m.Name, m.Position, m.Value, (m.High95-m.Low95)/2, alone, m.Unit)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	first, last := tracked.Seconds[0], tracked.Seconds[len(tracked.Seconds)-1]
	fmt.Fprintf(&b, "\n%s\n%s\n%d instants from %.2f s to %.2f s about impact.\n", tracked.Reversal.Sentence(), tracked.Peak.Sentence(),
		len(tracked.Seconds), math.Abs(first), last)
	_, err = r.stdout.Write([]byte(b.String()))
	return err
}
