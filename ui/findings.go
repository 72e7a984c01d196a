package ui

import (
	"image"
	"os"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
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
	if data, err := os.ReadFile(a.places.ownTargets()); err == nil {
		var own annotations.Targets
		if err := own.UnmarshalJSON(data); err != nil {
			a.alert("Your own target ranges in " + a.places.ownTargets() + " are left out: " + err.Error())
		} else {
			a.targets = append(a.targets, own...)
		}
	}
	if data, err := os.ReadFile(a.places.ownRules()); err == nil {
		own, err := annotations.ParseRules(data)
		if err != nil {
			a.alert("Your own rules in " + a.places.ownRules() + " are left out: " + err.Error())
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
	sw := a.desk.bench.Swing()
	for _, p := range a.desk.result.findings {
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
	sw := d.bench.Swing()
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
	pr := &d.bench.Lesson().Prescription
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

// edit applies an edit of the lesson and tells what is wrong with it.
func (a *App) edit(e annotations.Edit) bool {
	if err := a.desk.bench.Editor().Apply(e); err != nil {
		a.alert(err.Error())
		return false
	}
	return true
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
	sw := a.desk.bench.Swing()
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
			a.edit(annotations.DropFinding{Swing: sw.ID, ID: f.ID})
			continue
		}
		// One that is being emptied keeps its words until it has others.
		if p.writes(gtx, &row.field) && row.field.Text() != "" {
			f.Text = row.field.Text()
			a.edit(annotations.SetFinding{Swing: sw.ID, Finding: f, Gesture: p.gesture})
		}
	}
	for _, x := range a.proposals() {
		row := p.proposed[proposalKey(x.Measure, x.Position)]
		switch {
		case row == nil:
		case row.take.Clicked(gtx):
			x.Finding.ID = annotations.NewID()
			a.edit(annotations.SetFinding{Swing: sw.ID, Finding: x.Finding})
		case row.leave.Clicked(gtx):
			p.left[proposalKey(x.Measure, x.Position)] = true
		case row.show.Clicked(gtx):
			a.goTo(x.Position)
			a.sheet.Select(proposalKey(x.Measure, x.Position))
		}
	}
	a.updatePrescription(gtx)
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
		a.edit(annotations.SetFinding{Swing: p.swing, Finding: f, Gesture: p.gesture})
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
	for _, f := range a.desk.bench.Swing().Findings {
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
	old := a.desk.bench.Lesson().Prescription
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
	setUp := make([]string, setUpFields)
	copy(setUp, old.SetUp)
	for i := range p.setUp {
		free := s.setUp
		if setUp[i] != "" {
			free = nil // the suggestion is for a field that is still empty
		}
		before := changed
		take(&p.setUp[i], &setUp[i], free)
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
	for _, t := range setUp {
		if t != "" {
			next.SetUp = append(next.SetUp, t)
		}
	}
	next.SetUp = append(next.SetUp, old.SetUp[min(len(old.SetUp), setUpFields):]...)
	a.edit(annotations.SetPrescription{Prescription: next, Gesture: p.gesture})
}

// layoutFindings draws the panel: what is proposed, what the student is told,
// and the prescription.
func (a *App) layoutFindings(gtx layout.Context) layout.Dimensions {
	th, p := a.theme, &a.findings
	size := gtx.Constraints.Max
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Panel)
	pad := gtx.Dp(draw.Pad)
	var parts []layout.Widget
	add := func(gap unit.Dp, w layout.Widget) {
		parts = append(parts, func(gtx layout.Context) layout.Dimensions {
			return layout.Inset{Top: gap, Left: draw.Pad, Right: draw.Pad}.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Min = image.Point{}
				return w(gtx)
			})
		})
	}
	label := func(gap unit.Dp, size unit.Sp, w font.Weight, text string) {
		add(gap, func(gtx layout.Context) layout.Dimensions { return th.Label(gtx, size, w, th.Text, text) })
	}
	quiet := func(gap unit.Dp, text string) {
		add(gap, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
		})
	}
	add(10, func(gtx layout.Context) layout.Dimensions {
		d := th.Label(gtx, draw.Title, font.SemiBold, th.Text, "Findings")
		h := gtx.Sp(draw.Compact)
		off := op.Offset(image.Pt(gtx.Constraints.Max.X-h, (d.Size.Y-h)/2)).Push(gtx.Ops)
		th.Button(gtx, &p.close, draw.ButtonStyle{Icon: draw.IconClose, Kind: draw.Quiet, Compact: true, Name: "Back to the sheet", Tip: "Back to the sheet", Keys: a.shortcut("findings"), TipSide: draw.TipBelow})
		off.Pop()
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, d.Size.Y)}
	})
	a.addProposals(add, quiet)
	a.addTaken(add, label, quiet)
	a.addPrescription(add, label)
	a.addHandout(add, label, quiet)
	quiet(14, Caution)
	add(12, func(gtx layout.Context) layout.Dimensions { return layout.Dimensions{Size: image.Pt(0, pad)} })
	gtx.Constraints = layout.Exact(size)
	return p.list.Layout(gtx, len(parts), func(gtx layout.Context, i int) layout.Dimensions { return parts[i](gtx) })
}

func (a *App) addProposals(add func(unit.Dp, layout.Widget), quiet func(unit.Dp, string)) {
	th, p := a.theme, &a.findings
	proposals := a.proposals()
	switch {
	case len(proposals) > 0:
		quiet(6, "Surely outside the target range, the likely largest effect first. Take what you would tell; your judgement comes first.")
	case len(a.desk.result.measures) == 0:
		quiet(6, "Nothing is measured yet: mark the swing first.")
	case len(a.desk.result.findings) == 0:
		quiet(6, "No measure is surely outside its target range. Where the sheet says “can't tell”, pointing at the row says what would tell.")
	}
	for _, x := range proposals {
		k := proposalKey(x.Measure, x.Position)
		row := p.proposed[k]
		if row == nil {
			row = new(proposalRow)
			p.proposed[k] = row
		}
		add(10, func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Text, x.Text)
		})
		for _, h := range x.Hints {
			quiet(2, "Often together, not a certainty: "+h+".")
		}
		quiet(2, "Rule: "+x.Source+".")
		add(6, func(gtx layout.Context) layout.Dimensions {
			button := func(b *draw.Button, label string, kind draw.Kind) layout.Widget {
				return func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, b, draw.ButtonStyle{Label: label, Name: label + ": " + x.Text, Kind: kind, Compact: true})
				}
			}
			return draw.Row(gtx, draw.Gap, button(&row.take, "Tell the student", draw.Plain), button(&row.leave, "Leave it", draw.Quiet),
				button(&row.show, "Show", draw.Quiet))
		})
	}
}

func (a *App) addTaken(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string), quiet func(unit.Dp, string)) {
	th, p := a.theme, &a.findings
	sw := a.desk.bench.Swing()
	label(18, draw.Body, font.Bold, "What the student is told")
	if len(sw.Findings) == 0 {
		quiet(4, "Nothing yet.")
	}
	for i := range sw.Findings {
		f := &sw.Findings[i]
		row := p.taken[f.ID]
		if row == nil {
			continue
		}
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &row.field, draw.FieldStyle{Name: "Finding: " + f.Text})
		})
		add(4, func(gtx layout.Context) layout.Dimensions {
			var parts []layout.Widget
			if f.Measure != "" {
				parts = append(parts, func(gtx layout.Context) layout.Dimensions {
					where := f.Measure
					if f.Position != "" {
						where += ", " + string(f.Position)
					}
					return th.Button(gtx, &row.show, draw.ButtonStyle{Label: where, Name: "Show " + where, Kind: draw.Quiet, Compact: true})
				})
			}
			parts = append(parts, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, &row.drop, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take the finding out", Tip: "Take the finding out", Kind: draw.Quiet, Compact: true})
			})
			return draw.Row(gtx, draw.Gap, parts...)
		})
	}
	if p.draft != nil {
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, &p.draft.field, draw.FieldStyle{Name: "Finding in your own words", Hint: "In your own words"})
		})
		add(4, func(gtx layout.Context) layout.Dimensions {
			return th.Button(gtx, &p.draft.drop, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take the finding out", Kind: draw.Quiet, Compact: true})
		})
		return
	}
	add(8, func(gtx layout.Context) layout.Dimensions {
		return th.Button(gtx, &p.own, draw.ButtonStyle{Label: "Write one of your own", Icon: draw.IconPlus, Compact: true})
	})
}

func (a *App) addPrescription(add func(unit.Dp, layout.Widget), label func(unit.Dp, unit.Sp, font.Weight, string)) {
	th, p := a.theme, &a.findings
	label(18, draw.Body, font.Bold, "Prescription")
	s := a.suggested()
	field := func(f *draw.Field, name, hint string, suggestions []string) {
		add(8, func(gtx layout.Context) layout.Dimensions {
			return th.Area(gtx, f, draw.FieldStyle{Label: name, Hint: hint})
		})
		if f.Len() > 0 {
			return
		}
		for _, text := range suggestions {
			b := p.use[text]
			if b == nil {
				b = new(draw.Button)
				p.use[text] = b
			}
			add(4, func(gtx layout.Context) layout.Dimensions {
				return th.Button(gtx, b, draw.ButtonStyle{Label: text, Icon: draw.IconPlus, Name: "Use: " + text, Kind: draw.Quiet, Compact: true})
			})
		}
	}
	offered := false
	names := [setUpFields]string{"Set-up change", "Second set-up change"}
	for i := range p.setUp {
		var free []string
		if p.setUp[i].Len() == 0 && !offered {
			offered = true
			for _, t := range s.setUp {
				if t != p.setUp[0].Text() {
					free = append(free, t)
				}
			}
		}
		field(&p.setUp[i], names[i], "", free)
	}
	field(&p.feel, "One feel", "", s.feel)
	field(&p.drill, "Drill", "", s.drill)
	field(&p.filmNext, "To film before the next lesson", "", nil)
}
