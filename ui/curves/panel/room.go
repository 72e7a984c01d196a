// Package panel is the room in which the swing's measures are seen over time.
package panel

import (
	"bytes"
	"context"
	"errors"
	"image"
	"path/filepath"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/widget"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/geometry/motion"
	"turngauge/ui/bench"
	"turngauge/ui/curves"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// Room is the panel in the place of the key positions' cards.
type Room struct {
	host     kit.Host
	copyText func(string) // puts text on the clipboard

	open   bool
	of     *bench.Bench       // that the work below is for
	cancel context.CancelFunc // nil while nothing is worked on
	part   float32            // of the work that is done
	stop   draw.Button

	again, copyAll, save, speeds draw.Button
	showSpeeds                   bool
	rows                         [len(curves.Looks)]widget.Clickable
	shown                        [len(curves.Looks)]bool
	plot                         curvePlot
}

// New makes the room, closed; copyText puts text on the clipboard.
func New(host kit.Host, copyText func(string)) *Room {
	p := &Room{host: host, copyText: copyText}
	for _, k := range curves.Trunk {
		p.shown[k] = true
	}
	return p
}

// Commands open the panel and hand on what it shows.
func (p *Room) Commands() []kit.Command {
	has := func() bool {
		c, _ := p.host.Session().Bench.Curves()
		return c != nil && c.Fit != nil
	}
	return []kit.Command{
		{ID: "curves", Group: "Lesson", After: "help", Help: "Curves: the turns over time, followed between the key positions", Keys: kit.On("I"), Do: func() { p.open = !p.open },
			Enabled: func() bool { return p.host.Session().Comparing == nil }},
		{ID: "copy curves", Group: "Lesson", After: "curves", Help: "Copy the curves as a table (CSV)", Keys: kit.WithMod(key.ModCtrl, "I"), Do: p.copyTable, Enabled: has},
		{ID: "save curves", Group: "Lesson", After: "copy curves", Help: "Save the curves as a table (CSV) beside the lesson", Keys: kit.WithMod(key.ModShift, "I"), Do: p.saveTable, Enabled: has},
	}
}

// Shown reports whether the panel has its place now: two swings side by side
// leave it none.
func (p *Room) Shown() bool {
	return p.open && p.host.Session() != nil && p.host.Session().Comparing == nil
}

// Seen are the names of the curves that are chosen, and whether speeds are shown in the place
// of values.
func (p *Room) Seen() (names []string, speeds bool) {
	c, _ := p.host.Session().Bench.Curves()
	if c == nil || c.Fit == nil {
		return nil, p.showSpeeds
	}
	for k := range c.Fit.Curves {
		if p.shown[k] {
			names = append(names, c.Fit.Curves[k].Name)
		}
	}
	return names, p.showSpeeds
}

// Plot is where the plot lies, from the panel's own corner; it is empty where
// there is none.
func (p *Room) Plot() image.Rectangle { return p.plot.place }

// Escape does nothing: the panel is closed as it was opened.
func (p *Room) Escape() bool { return false }

// HoldsKeys reports false: nothing is written in the panel.
func (p *Room) HoldsKeys() bool { return false }

// Update takes what was clicked on the panel, and has the curves made where it is
// open and there are none.
func (p *Room) Update(gtx layout.Context) {
	b := p.host.Session().Bench
	if p.of != b { // another swing, or another lesson
		if p.cancel != nil {
			p.cancel()
		}
		p.of, p.cancel, p.part = b, nil, 0
	}
	if !p.Shown() {
		return
	}
	for i := range p.rows {
		for p.rows[i].Clicked(gtx) {
			p.shown[i] = !p.shown[i]
		}
	}
	for p.speeds.Clicked(gtx) {
		p.showSpeeds = !p.showSpeeds
	}
	for p.copyAll.Clicked(gtx) {
		p.host.Run("copy curves")
	}
	for p.save.Clicked(gtx) {
		p.host.Run("save curves")
	}
	p.updatePlot(gtx)
	if p.cancel != nil {
		for p.stop.Clicked(gtx) {
			p.cancel()
		}
		return
	}
	again := false
	for p.again.Clicked(gtx) {
		again = true
	}
	if got, current := b.Curves(); again || got == nil || !current && got.Fit == nil {
		p.make()
	}
}

// make follows the marks through both clips and fits the motion, in the
// background. Where something is missing it says so at once.
func (p *Room) make() {
	s := p.host.Session()
	b := s.Bench
	l, made := b.Lesson(), b.CurvesKey()
	index := l.SwingIndex(b.Swing().ID)
	out := &bench.Curves{Of: made}
	for _, at := range b.Swing().Positions {
		out.Names = append(out.Names, at.Name)
	}
	if out.Reasons = curves.Missing(l, index); len(out.Reasons) > 0 {
		b.SetCurves(out)
		return
	}
	folder := filepath.Dir(s.Path)
	ctx, cancel := context.WithCancel(p.host.Session().Context())
	p.cancel, p.part = cancel, 0
	told := -1
	progress := func(part float64) {
		if now := int(100 * part); now != told { // a post for each per cent
			told = now
			p.host.Post(func() {
				if p.of == b {
					p.part = float32(part)
				}
			})
		}
	}
	ended := func() {
		cancel()
		if p.of == b {
			p.cancel = nil
		}
	}
	p.host.Go("Following the marks through the swing", func() {
		var followed *curves.Followed
		var fit *motion.Curves
		r, err := annotations.Evaluate(ctx, l, index, annotations.Options{MarksAlone: true})
		if err == nil {
			followed, fit, err = curves.Run(ctx, r, folder, progress)
		}
		p.host.Post(func() {
			stopped := ctx.Err() != nil
			ended()
			if p.host.Session() != s || s.Bench != b {
				return
			}
			out.Followed, out.Fit = followed, fit
			var none *motion.NoCurves
			switch {
			case stopped:
				out.Followed, out.Fit = nil, nil
				out.Reasons = []string{"following was stopped"}
			case errors.As(err, &none):
				out.Reasons = words.Lacks(none.Lacks)
			case err != nil:
				out.Reasons = []string{words.Trouble(err)}
			}
			b.SetCurves(out)
			if out.Fit != nil {
				p.keep(b, annotations.NewFollowed(&r.Problem, out.Fit.Measures(), out.Fit.Seen))
			}
		})
	}, ended)
}

// keep has the lesson keep what following came to: from now on the sheet and all
// else tell those numbers where they are the surer ones.
func (p *Room) keep(b *bench.Bench, f *annotations.Followed) {
	if err := b.Editor().Learn(b.Swing().ID, f); err != nil {
		p.host.Alert("The followed numbers can't be kept: " + err.Error() + ".")
	}
}

// table is the curves as CSV, or why there is none.
func (p *Room) table() (string, bench.Note) {
	c, _ := p.host.Session().Bench.Curves()
	if c == nil || c.Fit == nil {
		return "", "There are no curves yet: press I to have the marks followed."
	}
	var b bytes.Buffer
	if err := curves.WriteCSV(&b, c.Fit, c.Names); err != nil {
		return "", bench.Note(err.Error())
	}
	return b.String(), ""
}

func (p *Room) copyTable() {
	text, note := p.table()
	p.host.Tell(note)
	p.copyText(text)
}

// saveTable writes the table beside the lesson, under a name that is free.
func (p *Room) saveTable() {
	text, note := p.table()
	if note != "" {
		p.host.Tell(note)
		return
	}
	s := p.host.Session()
	l := s.Bench.Lesson()
	name := kit.FileName(l.Student.Name, l.Date, s.Bench.Swing().Label, "curves") + ".csv"
	path := place.FreeName(filepath.Join(filepath.Dir(s.Path), name))
	if err := place.NewShared(path, strings.NewReader(text)); err != nil {
		p.host.Alert("The curves can't be saved: " + annotations.Explain(err).Error() + ". Copy them instead.")
		return
	}
	p.host.Tell(bench.Note("Saved " + path + "."))
}

// stale reports whether the curves are of marks that have changed since.
func (p *Room) stale() bool {
	c, current := p.host.Session().Bench.Curves()
	return c != nil && c.Fit != nil && !current
}
