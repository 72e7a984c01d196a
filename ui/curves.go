package ui

import (
	"bytes"
	"context"
	"errors"
	"image"
	"path/filepath"
	"slices"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/widget"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/curves"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// curvesPanel is the swing's measures over time, in the place of the key
// positions.
type curvesPanel struct {
	open   bool
	of     *bench.Bench       // that the work below is for
	cancel context.CancelFunc // nil while nothing is worked on
	part   float32            // of the work that is done
	stop   draw.Button

	again, copyAll, save, speeds draw.Button
	showSpeeds                   bool
	rows                         [len(curveLooks)]widget.Clickable
	shown                        [len(curveLooks)]bool
	chosen                       bool // shown was set once
	plot                         curvePlot
	place                        image.Rectangle // of the panel in the window
}

// toggleCurves opens the panel, or closes it.
func (a *App) toggleCurves() {
	c := &a.curves
	c.open = !c.open
	if !c.chosen {
		c.chosen = true
		for _, k := range []int{0, 1, 2} {
			c.shown[k] = true
		}
	}
}

// curvesShown reports whether the panel has its place now: two swings side by
// side leave it none.
func (a *App) curvesShown() bool { return a.curves.open && a.desk.comparing == nil }

// updateCurves takes what was clicked on the panel, and has the curves made where
// it is open and there are none.
func (a *App) updateCurves(gtx layout.Context) {
	c, d := &a.curves, a.desk
	if c.of != d.Bench { // another swing, or another lesson
		if c.cancel != nil {
			c.cancel()
		}
		c.of, c.cancel, c.part = d.Bench, nil, 0
	}
	if !a.curvesShown() {
		return
	}
	for i := range c.rows {
		for c.rows[i].Clicked(gtx) {
			c.shown[i] = !c.shown[i]
		}
	}
	for c.speeds.Clicked(gtx) {
		c.showSpeeds = !c.showSpeeds
	}
	for c.copyAll.Clicked(gtx) {
		a.Run("copy curves")
	}
	for c.save.Clicked(gtx) {
		a.Run("save curves")
	}
	a.updateCurvePlot(gtx)
	if c.cancel != nil {
		for c.stop.Clicked(gtx) {
			c.cancel()
		}
		return
	}
	again := false
	for c.again.Clicked(gtx) {
		again = true
	}
	if got, current := d.Bench.Curves(); again || got == nil || !current && got.Fit == nil {
		a.makeCurves()
	}
}

// makeCurves follows the marks through both clips and fits the motion, in the
// background. Where something is missing it says so at once.
func (a *App) makeCurves() {
	c, d, b := &a.curves, a.desk, a.desk.Bench
	l, made := b.Lesson(), b.CurvesKey()
	index := l.SwingIndex(b.Swing().ID)
	out := &bench.Curves{Of: made}
	for _, p := range b.Swing().Positions {
		out.Names = append(out.Names, p.Name)
	}
	if out.Reasons = curves.Missing(l, index); len(out.Reasons) > 0 {
		b.SetCurves(out)
		return
	}
	folder := filepath.Dir(d.Path)
	ctx, cancel := context.WithCancel(d.ctx)
	c.cancel, c.part = cancel, 0
	told := -1
	progress := func(part float64) {
		if now := int(100 * part); now != told { // a post for each per cent
			told = now
			a.work.Post(func() {
				if c.of == b {
					c.part = float32(part)
				}
			})
		}
	}
	ended := func() {
		cancel()
		if c.of == b {
			c.cancel = nil
		}
	}
	a.work.Go("Following the marks through the swing", func() {
		followed, fit, err := curves.Run(ctx, l, index, folder, progress)
		a.work.Post(func() {
			stopped := ctx.Err() != nil
			ended()
			if a.desk != d || d.Bench != b {
				return
			}
			out.Followed, out.Fit = followed, fit
			var none *geometry.NoCurves
			switch {
			case stopped:
				out.Followed, out.Fit = nil, nil
				out.Reasons = []string{"following was stopped"}
			case errors.As(err, &none):
				out.Reasons = none.Reasons
			case err != nil:
				out.Reasons = []string{strings.TrimPrefix(err.Error(), "geometry: ")}
			}
			b.SetCurves(out)
			a.plan.made = false
		})
	}, ended)
}

// curvesText is the table of the curves as CSV, or why there is none.
func (a *App) curvesText() (string, bench.Note) {
	c, _ := a.desk.Bench.Curves()
	if c == nil || c.Fit == nil {
		return "", "There are no curves yet: press I to have the marks followed."
	}
	var b bytes.Buffer
	if err := curves.WriteCSV(&b, c.Fit, c.Names); err != nil {
		return "", bench.Note(err.Error())
	}
	return b.String(), ""
}

func (a *App) copyCurves() {
	text, note := a.curvesText()
	a.notices.Tell(note)
	a.clip = text
}

// saveCurves writes the table beside the lesson, under a name that is free.
func (a *App) saveCurves() {
	text, note := a.curvesText()
	if note != "" {
		a.notices.Tell(note)
		return
	}
	l, folder := a.desk.Bench.Lesson(), filepath.Dir(a.desk.Path)
	words := slices.DeleteFunc([]string{l.Student.Name, l.Date, a.desk.Bench.Swing().Label, "curves"}, func(s string) bool { return s == "" })
	path := place.FreeName(filepath.Join(folder, fileName(strings.Join(words, " "))+".csv"))
	if err := place.New(path, strings.NewReader(text)); err != nil {
		a.notices.Alert("The curves can't be saved: " + annotations.Explain(err).Error() + ". Copy them instead.")
		return
	}
	a.notices.Tell(bench.Note("Saved " + path + "."))
}

// curveTarget is the target range of a measure at a key position.
func (a *App) curveTarget(name string, at geometry.PositionName) (geometry.Range, bool) {
	l := a.desk.Bench.Lesson()
	t, ok := a.targets.Find(name, at, a.desk.Bench.Swing().Club.Group(), l.Student.Sex)
	return t.Range, ok
}

// markedValue is a measure at a key position from the marks alone.
func (d *desk) markedValue(name string, at geometry.PositionName) (geometry.Measure, bool) {
	for i := range d.result.measures {
		if m := &d.result.measures[i]; m.Name == name && m.Position == at {
			return *m, true
		}
	}
	return geometry.Measure{}, false
}

// curvesStale reports whether the curves are of marks that have changed since.
func (a *App) curvesStale() bool {
	c, current := a.desk.Bench.Curves()
	return c != nil && c.Fit != nil && !current
}

// curvesCommands are what the panel adds to the table of commands.
func curvesCommands(a *App) []kit.Command {
	has := func() bool {
		c, _ := a.desk.Bench.Curves()
		return c != nil && c.Fit != nil
	}
	return []kit.Command{
		{ID: "curves", Group: "Lesson", Help: "Curves: the turns over time, followed between the key positions", Keys: kit.On("I"), Do: a.toggleCurves,
			Enabled: func() bool { return a.desk.comparing == nil }},
		{ID: "copy curves", Group: "Lesson", Help: "Copy the curves as a table (CSV)", Keys: kit.WithMod(key.ModCtrl, "I"), Do: a.copyCurves, Enabled: has},
		{ID: "save curves", Group: "Lesson", Help: "Save the curves as a table (CSV) beside the lesson", Keys: kit.WithMod(key.ModShift, "I"), Do: a.saveCurves, Enabled: has},
	}
}
