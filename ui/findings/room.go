// Package findings is the room in which the coach decides what the student is
// told and takes home: findings that the rules propose or the coach writes, the
// prescription, whether the last one led to a change, and the sheet and the clip
// to take home.
package findings

import (
	"sync"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// Room is the panel in the place of the sheet.
type Room struct {
	host  kit.Host
	shelf *worker.Client
	doors Doors

	check check
	tasks sync.WaitGroup // what is being written for the student to take home
	panel
}

// Doors are what the panel asks the window for beside the open lesson.
type Doors struct {
	// Terms are what numbers are written in and judged by.
	Terms func() session.Terms
	// Show goes to a key position and selects a measure's row of the sheet.
	Show func(measure string, at geometry.PositionName)
	// CopyPNG puts a picture on the clipboard; it is called on any goroutine.
	CopyPNG func(data []byte) error
	// End closes the window: what it was kept open for is done.
	End func()
	// Talk begins a narrated review with a finding.
	Talk func(f annotations.Finding)
}

// panel is what is forgotten with the lesson and, but for whether it is open,
// with the swing.
type panel struct {
	open     bool
	list     layout.List
	taken    map[string]*findingRow // by the finding's ID
	proposed map[string]*proposalRow
	chosen   map[string]choice // what the coach did with proposals, by key
	own      draw.Button
	draft    *findingRow // one of the coach's own that says nothing yet
	close    draw.Button
	drills   draw.Button // opens the shelf of drills
	setUp    [setUpFields]draw.Field
	feel     draw.Field
	drill    draw.Field
	filmNext draw.Field
	question draw.Field
	use      map[string]*draw.Button // what a finding's rule would prescribe
	handout  handout
	small    small
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
	field   draw.Field
	show    draw.Button
	drop    draw.Button
	talk    draw.Button
	subject subject
	finding annotations.Finding // of a draft: what it has beside its words
}

func newPanel(swing string, open bool) panel {
	return panel{
		open: open, swing: swing, list: layout.List{Axis: layout.Vertical},
		taken: map[string]*findingRow{}, proposed: map[string]*proposalRow{}, chosen: map[string]choice{}, use: map[string]*draw.Button{},
	}
}

// New makes the room, closed.
func New(host kit.Host, shelf *worker.Client, doors Doors) *Room {
	p := &Room{host: host, shelf: shelf, doors: doors, panel: newPanel("", false)}
	shelf.Watch(p.lookBack)
	return p
}

// Commands open and close the panel.
func (p *Room) Commands() []kit.Command {
	return []kit.Command{
		{ID: "findings", Group: "Lesson", After: "redo", Help: "Findings and prescription, or the sheet", Keys: kit.On("K"), Do: p.toggle},
		{ID: "frame of finding", Group: "Lesson", After: "findings", Help: "Show the finding written last by this frame", Keys: kit.WithMod(key.ModCtrl, "K"),
			Do: p.takeFrame, Enabled: p.Shown},
		{ID: "write handout", Group: "Lesson", After: "frame of finding", Help: "Write what the student takes home", Keys: kit.WithMod(key.ModCtrl|key.ModShift, "K"),
			Do: p.openAndMake},
	}
}

// openAndMake writes what goes home and shows where it is written.
func (p *Room) openAndMake() {
	if !p.open {
		p.toggle()
	}
	p.makeHandout()
}

func (p *Room) toggle() {
	p.open = !p.open
	if p.open {
		p.sync()
	}
}

// Shown reports whether the panel has the sheet's place.
func (p *Room) Shown() bool { return p.open }

// Close gives the sheet its place back.
func (p *Room) Close() { p.open = false }

// Escape gives the keyboard back to the window.
func (p *Room) Escape() bool {
	if !p.typing {
		return false
	}
	p.rest = true
	return true
}

// HoldsKeys reports whether a field is being written in.
func (p *Room) HoldsKeys() bool { return p.typing }

// LessonClosed forgets what the panel knows of the lesson. A sheet on its way is
// finished on its own.
func (p *Room) LessonClosed() { p.panel, p.check = newPanel("", false), check{} }

// sync brings the fields into line with the lesson, which undo, or
// another swing, may have changed under them.
func (p *Room) sync() {
	d := p.host.Session()
	sw := d.Bench.Swing()
	if p.swing != sw.ID {
		if p.handout.cancel != nil {
			p.handout.cancel()
		}
		p.panel = newPanel(sw.ID, p.open)
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
	set(&p.question, d.Bench.Lesson().Question)
}

// writes reports whether a field was written in, and counts that as one step of
// undo until another field is.
func (p *panel) writes(gtx layout.Context, f *draw.Field) bool {
	if !f.Edited(gtx) {
		return false
	}
	if p.writing != f {
		p.writing = f
		p.gesture++
	}
	return true
}

// Update takes up what was done on the panel.
func (p *Room) Update(gtx layout.Context) {
	if p.check.of != p.host.Session() {
		p.check = check{of: p.host.Session()}
		p.lookBack()
	}
	if !p.open {
		p.typing = false
		return
	}
	if p.rest {
		p.rest = false
		kit.ReleaseKeys(gtx, p.host)
	}
	sw := p.host.Session().Bench.Swing()
	if p.swing != sw.ID {
		p.sync()
	}
	if p.close.Clicked(gtx) {
		p.open = false
	}
	if p.own.Clicked(gtx) {
		p.draft = new(findingRow)
		gtx.Execute(key.FocusCmd{Tag: &p.draft.field.Editor})
	}
	p.updateDraft(gtx)
	for i := range sw.Findings {
		f := sw.Findings[i]
		row := p.taken[f.ID]
		if row == nil {
			continue // it is there from the next frame on
		}
		if row.show.Clicked(gtx) {
			p.doors.Show(f.Measure, f.Position)
		}
		p.updateSubject(gtx, &row.subject, f, func(next annotations.Finding) {
			kit.Edit(p.host, annotations.SetFinding{Swing: sw.ID, Finding: next})
		})
		if row.drop.Clicked(gtx) {
			kit.Edit(p.host, annotations.DropFinding{Swing: sw.ID, ID: f.ID})
			continue
		}
		// One that is being emptied keeps its words until it has others.
		if p.writes(gtx, &row.field) && row.field.Text() != "" {
			f.Text = row.field.Text()
			kit.Edit(p.host, annotations.SetFinding{Swing: sw.ID, Finding: f, Gesture: p.gesture})
		}
	}
	p.updateQuestion(gtx)
	p.updateProposals(gtx)
	p.updatePrescription(gtx)
	p.updateCheck(gtx)
	if p.drills.Clicked(gtx) {
		p.host.Run("drills")
	}
	p.updateHandout(gtx)
	if p.writing != nil && !gtx.Focused(&p.writing.Editor) {
		p.writing = nil
	}
	p.syncIdleFields(gtx)
}

// updateDraft makes a finding of the coach's own words from their first letter
// on.
func (p *Room) updateDraft(gtx layout.Context) {
	d := p.draft
	switch {
	case d == nil:
	case d.drop.Clicked(gtx):
		p.draft = nil
	case p.writes(gtx, &d.field) && d.field.Text() != "":
		f := d.finding
		f.ID, f.Text = annotations.NewID(), d.field.Text()
		p.taken[f.ID], p.draft = d, nil
		kit.Edit(p.host, annotations.SetFinding{Swing: p.swing, Finding: f, Gesture: p.gesture})
	default:
		p.updateSubject(gtx, &d.subject, d.finding, func(next annotations.Finding) { d.finding = next })
	}
}

// syncIdleFields shows what the lesson says in the fields, unless one is being
// written in.
func (p *Room) syncIdleFields(gtx layout.Context) {
	p.typing = false
	for _, f := range p.fields() {
		p.typing = p.typing || gtx.Focused(&f.Editor)
	}
	if !p.typing {
		p.sync()
	}
}

func (p *panel) fields() []*draw.Field {
	fields := []*draw.Field{&p.feel, &p.drill, &p.filmNext, &p.question, &p.handout.folder}
	for i := range p.setUp {
		fields = append(fields, &p.setUp[i])
	}
	for _, r := range p.taken {
		fields = append(fields, &r.field, &r.subject.filter)
	}
	if p.draft != nil {
		fields = append(fields, &p.draft.field, &p.draft.subject.filter)
	}
	return fields
}

// suggested is what the rules of the taken findings would prescribe.
type suggested struct{ setUp, feel, drill []string }

func (p *Room) suggested() suggested {
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
	for _, f := range p.host.Session().Bench.Swing().Findings {
		for _, r := range p.doors.Terms().Rules {
			if r.ID == f.Rule && f.Rule != "" {
				add(&s.setUp, r.SetUp)
				add(&s.feel, r.Feel)
				add(&s.drill, r.Drill)
			}
		}
	}
	return s
}

func (p *Room) updatePrescription(gtx layout.Context) {
	old := p.host.Session().Bench.Lesson().Prescription
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
	s := p.suggested()
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
	kit.Edit(p.host, annotations.SetPrescription{Prescription: next, Gesture: p.gesture})
}
