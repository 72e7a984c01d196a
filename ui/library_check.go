package ui

import (
	"context"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// prescriptionCheck is what was prescribed at an earlier lesson of the student,
// to be checked at this one.
type prescriptionCheck struct {
	desk    *desk // that it is for
	date    string
	earlier *annotations.Lesson
	show    []draw.Button
	again   draw.Button
}

// z95 is the standard normal quantile of 97.5 %, by which a finding's interval
// gives back its standard deviation.
const z95 = 1.959964

// libraryOpens takes an opened lesson into the library and looks for what it
// holds of the student.
func (a *App) libraryOpens(d *desk) {
	a.check = prescriptionCheck{desk: d}
	a.targets = a.baseTargets
	if a.worker == nil {
		return
	}
	l := d.Bench.Lesson()
	a.worker.Touch(d.Path, l, true, true)
	a.askTargets(d)
	a.checkChanged()
	for _, s := range d.Bench.Stages {
		if s.Clip != "" {
			a.findClip(d, d.swing, s.Clip)
		}
	}
}

// libraryCloses records a lesson as it was closed.
func (a *App) libraryCloses(d *desk) {
	a.check = prescriptionCheck{}
	if a.worker != nil {
		a.worker.Touch(d.Path, d.Bench.Lesson(), false, true)
		a.libraryChanged()
	}
}

// askTargets reads the ranges that count for the student of an open lesson.
func (a *App) askTargets(d *desk) {
	base, name := a.baseTargets, d.Bench.Lesson().Student.Name
	ask(a, "the target ranges can't be read", func(ctx context.Context, l *library.Library) (annotations.Targets, error) {
		student, err := l.StudentNamed(ctx, name)
		if err != nil {
			return base, err
		}
		return l.Targets(ctx, base, student)
	}, func(t annotations.Targets, err error) {
		if a.desk != d || err != nil {
			return // the program's own count
		}
		a.targets = t
		d.asked = false
	})
}

// checkChanged looks for the prescription before the lesson on the bench.
func (a *App) checkChanged() {
	d := a.desk
	if d == nil || a.check.desk != d || a.check.earlier != nil {
		return
	}
	l := d.Bench.Lesson()
	if l.Student.Name == "" || l.Date == "" {
		return
	}
	name, date := l.Student.Name, l.Date
	ask(a, "the last prescription can't be read", func(ctx context.Context, lib *library.Library) (*annotations.Lesson, error) {
		e, ok, err := lib.Prescribed(ctx, name, date, d.Path)
		if err != nil || !ok {
			return nil, err
		}
		earlier, _, err := lib.Document(ctx, e.Key)
		return earlier, err
	}, func(earlier *annotations.Lesson, err error) {
		if a.desk != d || err != nil || earlier == nil || a.check.earlier != nil {
			return
		}
		a.check.earlier, a.check.date = earlier, earlier.Date
		text := "Prescribed on " + dayWords(earlier.Date) + ": " + firstPrescribed(&earlier.Prescription) + "."
		a.notices.Tell(bench.Note(text + " " + a.Shortcut("findings") + " shows whether it changed."))
	})
}

func firstPrescribed(p *annotations.Prescription) string {
	texts := append(append([]string(nil), p.SetUp...), p.Feel, p.Drill, p.FilmNext)
	for _, t := range texts {
		if t != "" {
			return trimStop(t)
		}
	}
	return ""
}

func trimStop(s string) string {
	for len(s) > 0 && (s[len(s)-1] == '.' || s[len(s)-1] == ' ') {
		s = s[:len(s)-1]
	}
	return s
}

// checked is a finding of the earlier lesson held against this one.
type checked struct {
	finding annotations.Finding
	then    string
	now     string // "" where it is not measured
	change  *geometry.Change
	word    string
}

// checkedFindings holds the findings of the earlier lesson against the swing on
// the bench.
func (a *App) checkedFindings() []checked {
	e := a.check.earlier
	var out []checked
	for i := range e.Swings {
		for _, f := range e.Swings[i].Findings {
			if f.Measure == "" {
				continue
			}
			c := checked{finding: f, then: annotations.Told(f.Unit, f.Value, a.settings.Imperial)}
			for _, m := range a.desk.result.measures {
				if m.Name != f.Measure || m.Position != f.Position {
					continue
				}
				change := geometry.Changed(f.Value, (f.High95-f.Low95)/(2*z95), m.Value, m.Sigma, 0)
				c.change, c.now = &change, annotations.Told(m.Unit, m.Value, a.settings.Imperial)
				sw := a.desk.Bench.Swing()
				var r *geometry.Range
				if t, ok := a.targets.Find(m.Name, m.Position, sw.Club.Group(), a.desk.Bench.Lesson().Student.Sex); ok {
					r = &t.Range
				}
				c.word = "within the noise"
				if change.Real {
					c.word = realWord(f.Value, m.Value, r)
				}
			}
			out = append(out, c)
		}
	}
	return out
}

// addCheck draws, at the head of the findings, what was prescribed last and
// whether it has changed.
func (a *App) addCheck(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string), quiet func(unit.Dp, string)) {
	th, c := a.theme, &a.check
	if c.earlier == nil {
		return
	}
	p := &c.earlier.Prescription
	add(12, func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.Bold, th.Text, "Prescribed on "+dayWords(c.date)+": has it changed?")
	})
	for i, s := range p.SetUp {
		if i == 0 {
			quiet(4, "Set-up: "+s)
		} else {
			quiet(2, "and: "+s)
		}
	}
	for _, x := range []struct{ name, text string }{{"Feel", p.Feel}, {"Drill", p.Drill}, {"To film", p.FilmNext}} {
		if x.text != "" {
			quiet(2, x.name+": "+x.text)
		}
	}
	list := a.checkedFindings()
	for len(c.show) < len(list) {
		c.show = append(c.show, draw.Button{})
	}
	if len(list) == 0 {
		quiet(6, "That lesson has no finding with a number, so whether it changed can't be told from numbers: compare the swings (V).")
	}
	for i, x := range list {
		name := words.Sentence(kit.Joined(x.finding.Measure, string(x.finding.Position)))
		ink := th.Dim
		text := name + ": " + x.then + " then, not measured in this swing yet"
		if x.change != nil {
			text = name + ": " + x.then + " then, " + x.now + " now, " + told(x.finding.Unit, x.change, a.settings.Imperial) + ": " + x.word
			if x.change.Real {
				ink = th.Accent
			}
		}
		add(6, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Medium, ink, text)
		})
		if x.change != nil {
			add(2, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &c.show[i], draw.ButtonStyle{Label: "Show", Name: "Show " + name, Kind: draw.Quiet, Compact: true})
			})
		}
	}
	if now := a.desk.Bench.Lesson().Prescription; now.Empty() {
		add(6, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.again, draw.ButtonStyle{Label: "Prescribe the same again", Compact: true})
		})
	}
	label(16, draw.Body, font.Bold, "This swing")
}

func (a *App) updateCheck(gtx layout.Context) {
	c := &a.check
	if c.earlier == nil {
		return
	}
	for i, x := range a.checkedFindings() {
		if i < len(c.show) && c.show[i].Clicked(gtx) {
			a.goTo(x.finding.Position)
			a.sheet.Select(proposalKey(x.finding.Measure, x.finding.Position))
		}
	}
	if c.again.Clicked(gtx) {
		p := c.earlier.Prescription
		kit.Edit(a, annotations.SetPrescription{Prescription: annotations.Prescription{SetUp: p.SetUp, Feel: p.Feel, Drill: p.Drill, FilmNext: p.FilmNext}})
		a.syncFindings()
	}
}

// findClip looks for the file of a clip that is not at its place, by its
// fingerprint, and puts the lesson right where it is found.
func (a *App) findClip(d *desk, swing, clip string) {
	c := d.Bench.Swing().Clip(clip)
	if c == nil || c.File == "" || c.SHA256 == "" {
		return
	}
	was, sum, view := c.PathIn(filepath.Dir(d.Path)), c.SHA256, c.View
	if !missing(was) {
		return
	}
	aside(a, "Looking for the clip", func(ctx context.Context, l *library.Library) (string, error) {
		return l.FindClip(ctx, sum, was, filepath.Dir(d.Path), nearestFolder(was))
	}, func(found string, err error) {
		if a.desk != d || err != nil || found == "" {
			return
		}
		l := d.Bench.Lesson()
		sw := l.Swing(swing)
		if sw == nil || sw.Clip(clip) == nil {
			return
		}
		next := *sw.Clip(clip)
		next.File = found
		if rel, err := filepath.Rel(filepath.Dir(d.Path), found); err == nil && filepath.IsLocal(rel) {
			next.File = rel
		}
		if kit.Edit(a, annotations.SetClip{Swing: swing, Clip: next}) {
			a.notices.Tell(bench.Note("The " + view.String() + " clip was moved: it was found again as " + found + "."))
			a.openFilms()
		}
	})
}
