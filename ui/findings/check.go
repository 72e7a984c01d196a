package findings

import (
	"context"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// check is what was prescribed at an earlier lesson of the student,
// to be checked at this one.
type check struct {
	of      *session.Session // that it is for
	date    string
	earlier *annotations.Lesson
	results []*annotations.Result // its swings; nil until they are measured
	show    []draw.Button
	again   draw.Button
}

// z95 is the standard normal quantile of 97.5 %, by which a finding's interval
// gives back its standard deviation.
const z95 = 1.959964

// lookBack looks for the prescription before the lesson on the bench.
func (p *Room) lookBack() {
	d := p.host.Session()
	if d == nil || p.check.of != d || p.check.earlier != nil {
		return
	}
	l := d.Bench.Lesson()
	if l.Student.Name == "" || l.Date == "" {
		return
	}
	student, date := l.Student, l.Date
	worker.Ask(p.shelf, "the last prescription can't be read", func(ctx context.Context, lib *library.Library) (*annotations.Lesson, error) {
		e, ok, err := lib.Prescribed(ctx, &student, date, d.Path)
		if err != nil || !ok {
			return nil, err
		}
		earlier, _, err := lib.Document(ctx, e.Key)
		return earlier, err
	}, func(earlier *annotations.Lesson, err error) {
		if p.host.Session() != d || err != nil || earlier == nil || p.check.earlier != nil {
			return
		}
		p.check.earlier, p.check.date = earlier, earlier.Date
		p.measureEarlier(d)
		text := "Prescribed on " + words.Day(earlier.Date) + ": " + firstPrescribed(&earlier.Prescription) + "."
		p.host.Tell(bench.Note(text + " " + p.host.Shortcut("findings") + " shows whether it changed."))
	})
}

// measureEarlier measures the swings of the lesson with the last prescription.
func (p *Room) measureEarlier(d *session.Session) {
	earlier := p.check.earlier
	p.host.Go("Measuring the lesson of the last prescription", func() {
		results, err := annotations.EvaluateAll(d.Context(), earlier, annotations.Options{})
		p.host.Post(func() {
			if err == nil && p.host.Session() == d && p.check.earlier == earlier {
				p.check.results = results
			}
		})
	}, nil)
}

// changeSince is what became of a finding's measure: of the means of both visits, where
// the earlier one was measured, else of the number that was found. then is what it is a
// change from.
func (p *Room) changeSince(f *annotations.Finding, m *annotations.Measured) (change geometry.Change, then float64) {
	s := p.host.Session()
	if c, ok := series.Between(s.Result.Evaluation, s.Visit(), p.check.results); ok {
		if change, ok := c.Of(m.Name, m.Position, m.Unit); ok {
			return change, change.Earlier.Value
		}
	}
	return geometry.Changed(f.Value, (f.High95-f.Low95)/(2*z95), m.Value, m.Sigma, geometry.UsualSpread(m.Name, m.Unit)), f.Value
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
	size    string // of the change, with its interval
	word    string
}

// checkedFindings holds the findings of the earlier lesson against the swing on
// the bench.
func (p *Room) checkedFindings() []checked {
	e := p.check.earlier
	var out []checked
	for i := range e.Swings {
		for _, f := range e.Swings[i].Findings {
			if f.Measure == "" {
				continue
			}
			told := words.Told(f.Unit, p.host.Settings().Imperial).Of(f.Measure, f.Position)
			c := checked{finding: f, then: told.Value(f.Value)}
			for _, m := range p.host.Session().Held() {
				if m.Name != f.Measure || m.Position != f.Position {
					continue
				}
				change, then := p.changeSince(&f, &m)
				c.change, c.then, c.now = &change, told.Value(then), told.Value(m.Value)
				sw := p.host.Session().Bench.Swing()
				var target *geometry.Range
				if t, ok := p.doors.Terms().Targets.Find(m.Name, m.Position, sw.Club.Group(), p.host.Session().Bench.Lesson().Student.Sex); ok {
					target = &t.Range
				}
				c.size = told.Change(&change, then, m.Value)
				c.word = words.ChangeSure(&change, then, m.Value, target, "the target range", p.host.Settings().Decided) + "; " + words.SwingsOf(&change)
				if n := change.Settled(); n > 0 && !change.Told(p.host.Settings().Decided) {
					c.word += "; " + words.Film(n)
				}
			}
			out = append(out, c)
		}
	}
	return out
}

// addCheck draws, at the head of the findings, what was prescribed last and
// whether it has changed.
func (p *Room) addCheck(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string), quiet func(unit.Dp, string)) {
	th, c := p.host.Theme(), &p.check
	if c.earlier == nil {
		return
	}
	last := &c.earlier.Prescription
	add(12, func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.Bold, th.Text, "Prescribed on "+words.Day(c.date)+": has it changed?")
	})
	for i, s := range last.SetUp {
		if i == 0 {
			quiet(4, "Set-up: "+s)
		} else {
			quiet(2, "and: "+s)
		}
	}
	for _, x := range []struct{ name, text string }{{"Feel", last.Feel}, {"Drill", last.Drill}, {"To film", last.FilmNext}} {
		if x.text != "" {
			quiet(2, x.name+": "+x.text)
		}
	}
	list := p.checkedFindings()
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
			text = name + ": " + x.then + " then, " + x.now + " now, " + x.size + ", " + x.word
			if x.change.Told(p.host.Settings().Decided) {
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
	if now := p.host.Session().Bench.Lesson().Prescription; now.Empty() {
		add(6, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &c.again, draw.ButtonStyle{Label: "Prescribe the same again", Compact: true})
		})
	}
	label(16, draw.Body, font.Bold, "This swing")
}

func (p *Room) updateCheck(gtx layout.Context) {
	c := &p.check
	if c.earlier == nil {
		return
	}
	for i, x := range p.checkedFindings() {
		if i < len(c.show) && c.show[i].Clicked(gtx) {
			p.doors.Show(x.finding.Measure, x.finding.Position)
		}
	}
	if c.again.Clicked(gtx) {
		last := c.earlier.Prescription
		kit.Edit(p.host, annotations.SetPrescription{Prescription: annotations.Prescription{SetUp: last.SetUp, Feel: last.Feel, Drill: last.Drill, FilmNext: last.FilmNext}})
		p.sync()
	}
}
