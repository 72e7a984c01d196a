package ui

import (
	"os"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// findingsPanel stands in the place of the sheet: what the student is told, and
// what they take away to work on.
type findingsPanel struct {
	open     bool
	list     layout.List
	taken    map[string]*findingRow // by the finding's ID
	proposed map[string]*proposalRow
	left     map[string]bool // proposals that the coach does not want, by key
	own      draw.Button
	draft    *findingRow // one of the coach's own that says nothing yet
	close    draw.Button
	shelf    draw.Button // opens the shelf of drills
	setUp    [setUpFields]draw.Field
	feel     draw.Field
	drill    draw.Field
	filmNext draw.Field
	use      map[string]*draw.Button // what a finding's rule would prescribe
	handout  handout
	swing    string      // that the rows are of
	gesture  uint64      // of writing in one field
	writing  *draw.Field // that field
	typing   bool        // a field has the keyboard
	rest     bool        // it is to give it back
}

// setUpFields is how many changes of the set-up are offered: more than two are
// forgotten before the next ball (common practice, no source).
const setUpFields = 2

type findingRow struct {
	field      draw.Field
	show, drop draw.Button
}

type proposalRow struct{ take, leave, show draw.Button }

func proposalKey(measure string, position geometry.PositionName) string {
	return measure + " @ " + string(position)
}

// readOwn reads the coach's own target ranges and rules, if there are any.
func (a *App) readOwn() {
	a.targets, a.rules = annotations.DefaultTargets(), annotations.DefaultRules()
	if data, err := os.ReadFile(a.dirs.OwnTargets()); err == nil {
		var own annotations.Targets
		if err := own.UnmarshalJSON(data); err != nil {
			a.notices.Alert("Your own target ranges in " + a.dirs.OwnTargets() + " are left out: " + err.Error())
		} else {
			a.targets = append(a.targets, own...)
		}
	}
	a.baseTargets = a.targets
	if data, err := os.ReadFile(a.dirs.OwnRules()); err == nil {
		own, err := annotations.ParseRules(data)
		if err != nil {
			a.notices.Alert("Your own rules in " + a.dirs.OwnRules() + " are left out: " + err.Error())
		} else {
			a.rules = append(a.rules, own...)
		}
	}
}

func (a *App) toggleFindings() {
	a.findings.open = !a.findings.open
	if a.findings.open {
		a.syncFindings()
	}
}

// proposals returns what the rules suggest and the coach has neither taken nor
// left.
func (a *App) proposals() []annotations.Proposal {
	var out []annotations.Proposal
	sw := a.desk.Bench.Swing()
	for _, p := range a.desk.Result.Findings {
		_, taken := sw.FindingOf(p.Measure, p.Position)
		if !taken && !a.findings.left[proposalKey(p.Measure, p.Position)] {
			out = append(out, p)
		}
	}
	return out
}

// syncFindings brings the fields into line with the lesson, which undo, or
// another swing, may have changed under them.
func (a *App) syncFindings() {
	p, d := &a.findings, a.desk
	sw := d.Bench.Swing()
	if p.swing != sw.ID || p.taken == nil {
		if p.handout.cancel != nil {
			p.handout.cancel()
		}
		*p = findingsPanel{open: p.open, swing: sw.ID,
			taken: map[string]*findingRow{}, proposed: map[string]*proposalRow{}, left: map[string]bool{}, use: map[string]*draw.Button{}}
		p.list.Axis = layout.Vertical
	}
	set := func(f *draw.Field, text string) {
		if f.Text() != text {
			f.SetText(text)
		}
	}
	for i := range sw.Findings {
		f := &sw.Findings[i]
		if p.taken[f.ID] == nil {
			p.taken[f.ID] = new(findingRow)
		}
		set(&p.taken[f.ID].field, f.Text)
	}
	pr := &d.Bench.Lesson().Prescription
	for i := range p.setUp {
		text := ""
		if i < len(pr.SetUp) {
			text = pr.SetUp[i]
		}
		set(&p.setUp[i], text)
	}
	set(&p.feel, pr.Feel)
	set(&p.drill, pr.Drill)
	set(&p.filmNext, pr.FilmNext)
}

// writes reports whether a field was written in, and counts that as one step of
// undo until another field is.
func (p *findingsPanel) writes(gtx layout.Context, f *draw.Field) bool {
	if !f.Edited(gtx) {
		return false
	}
	if p.writing != f {
		p.writing = f
		p.gesture++
	}
	return true
}

func (a *App) updateFindings(gtx layout.Context) {
	p := &a.findings
	if !p.open {
		p.typing = false
		return
	}
	if p.rest {
		p.rest = false
		gtx.Execute(key.FocusCmd{Tag: a})
	}
	sw := a.desk.Bench.Swing()
	if p.swing != sw.ID {
		a.syncFindings()
	}
	if p.close.Clicked(gtx) {
		p.open = false
	}
	if p.own.Clicked(gtx) {
		p.draft = new(findingRow)
		gtx.Execute(key.FocusCmd{Tag: &p.draft.field.Editor})
	}
	a.updateDraft(gtx)
	for i := range sw.Findings {
		f := sw.Findings[i]
		row := p.taken[f.ID]
		if row == nil {
			continue // it is there from the next frame on
		}
		if row.show.Clicked(gtx) {
			a.goTo(f.Position)
			a.sheet.Select(proposalKey(f.Measure, f.Position))
		}
		if row.drop.Clicked(gtx) {
			kit.Edit(a, annotations.DropFinding{Swing: sw.ID, ID: f.ID})
			continue
		}
		// One that is being emptied keeps its words until it has others.
		if p.writes(gtx, &row.field) && row.field.Text() != "" {
			f.Text = row.field.Text()
			kit.Edit(a, annotations.SetFinding{Swing: sw.ID, Finding: f, Gesture: p.gesture})
		}
	}
	for _, x := range a.proposals() {
		row := p.proposed[proposalKey(x.Measure, x.Position)]
		switch {
		case row == nil:
		case row.take.Clicked(gtx):
			x.Finding.ID = annotations.NewID()
			kit.Edit(a, annotations.SetFinding{Swing: sw.ID, Finding: x.Finding})
		case row.leave.Clicked(gtx):
			p.left[proposalKey(x.Measure, x.Position)] = true
		case row.show.Clicked(gtx):
			a.goTo(x.Position)
			a.sheet.Select(proposalKey(x.Measure, x.Position))
		}
	}
	a.updatePrescription(gtx)
	a.updateCheck(gtx)
	if p.shelf.Clicked(gtx) {
		a.Run("drills")
	}
	a.updateHandout(gtx)
	if p.writing != nil && !gtx.Focused(&p.writing.Editor) {
		p.writing = nil
	}
	a.syncIdleFields(gtx)
}

// updateDraft makes a finding of the coach's own words from their first letter
// on.
func (a *App) updateDraft(gtx layout.Context) {
	p := &a.findings
	d := p.draft
	switch {
	case d == nil:
	case d.drop.Clicked(gtx):
		p.draft = nil
	case p.writes(gtx, &d.field) && d.field.Text() != "":
		f := annotations.Finding{ID: annotations.NewID(), Text: d.field.Text()}
		p.taken[f.ID], p.draft = d, nil
		kit.Edit(a, annotations.SetFinding{Swing: p.swing, Finding: f, Gesture: p.gesture})
	}
}

// syncIdleFields shows what the lesson says in the fields, unless one is being
// written in.
func (a *App) syncIdleFields(gtx layout.Context) {
	p := &a.findings
	p.typing = false
	for _, f := range p.fields() {
		p.typing = p.typing || gtx.Focused(&f.Editor)
	}
	if !p.typing {
		a.syncFindings()
	}
}

func (p *findingsPanel) fields() []*draw.Field {
	fields := []*draw.Field{&p.feel, &p.drill, &p.filmNext}
	for i := range p.setUp {
		fields = append(fields, &p.setUp[i])
	}
	for _, r := range p.taken {
		fields = append(fields, &r.field)
	}
	if p.draft != nil {
		fields = append(fields, &p.draft.field)
	}
	return fields
}

// suggested is what the rules of the taken findings would prescribe.
type suggested struct{ setUp, feel, drill []string }

func (a *App) suggested() suggested {
	var s suggested
	add := func(list *[]string, text string) {
		for _, t := range *list {
			if t == text {
				return
			}
		}
		if text != "" {
			*list = append(*list, text)
		}
	}
	for _, f := range a.desk.Bench.Swing().Findings {
		for _, r := range a.rules {
			if r.ID == f.Rule && f.Rule != "" {
				add(&s.setUp, r.SetUp)
				add(&s.feel, r.Feel)
				add(&s.drill, r.Drill)
			}
		}
	}
	return s
}

func (a *App) updatePrescription(gtx layout.Context) {
	p := &a.findings
	old := a.desk.Bench.Lesson().Prescription
	next := annotations.Prescription{Feel: old.Feel, Drill: old.Drill, FilmNext: old.FilmNext}
	changed := false
	take := func(f *draw.Field, into *string, suggestions []string) {
		for _, text := range suggestions {
			if b := p.use[text]; b != nil && b.Clicked(gtx) {
				f.SetText(text)
				*into, changed = text, true
				p.writing = nil
				p.gesture++
			}
		}
		if p.writes(gtx, f) {
			*into, changed = f.Text(), true
		}
	}
	s := a.suggested()
	for i := range p.setUp {
		free := s.setUp
		if p.setUp[i].Text() != "" {
			free = nil // the suggestion is for a field that is still empty
		}
		before := changed
		take(&p.setUp[i], new(string), free)
		if changed && !before {
			s.setUp = nil
		}
	}
	take(&p.feel, &next.Feel, s.feel)
	take(&p.drill, &next.Drill, s.drill)
	take(&p.filmNext, &next.FilmNext, nil)
	if !changed {
		return
	}
	// The fields say what there is: one that is written in while the one before
	// it is empty is not the lesson's second.
	for i := range p.setUp {
		if t := p.setUp[i].Text(); t != "" {
			next.SetUp = append(next.SetUp, t)
		}
	}
	next.SetUp = append(next.SetUp, old.SetUp[min(len(old.SetUp), setUpFields):]...)
	kit.Edit(a, annotations.SetPrescription{Prescription: next, Gesture: p.gesture})
}
