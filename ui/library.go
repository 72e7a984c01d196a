package ui

import (
	"context"
	"slices"
	"strings"
	"sync/atomic"

	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// libraryPanel shows the students and their lessons: as the first window, or on
// a card over an open lesson.
type libraryPanel struct {
	open    bool   // on a card
	ready   bool   // the library is open
	trouble string // why there is none
	any     bool   // it holds a lesson, if only in the trash

	search   draw.Field
	focus    bool                      // the search is to have the keyboard
	asked    atomic.Int64              // generation of the last question
	gains    map[int64]library.Student // what is known of improvement, by student
	shown    string
	tag      string
	trash    bool
	order    studentOrder
	orders   draw.Segmented
	trashBtn draw.Button

	students    []library.Student // in the order chosen
	lessons     []library.Entry
	missing     map[int64]bool
	total       int   // lessons without a search
	student     int64 // whose lessons are shown; 0 for all
	lesson      int64 // chosen
	studentRows rowList
	lessonRows  rowList

	openIt, progress, exportOne, exportAll, remove, restore, importing draw.Button
	tags                                                               draw.Field
	tagsOf                                                             int64 // whose tags the field holds
	tagging                                                            bool  // it has the keyboard
	tagChips                                                           []draw.Button
	allTags                                                            []library.Tag
	close                                                              draw.Button
	undo                                                               draw.Button
	deleted                                                            *library.Entry // that can be got back with one key
	exporting                                                          *exporting
	exported                                                           string // what was exported, until it was seen
	exportSeen                                                         draw.Button
}

// studentOrder is the order of the students.
type studentOrder int

const (
	studentsByName studentOrder = iota
	studentsByLast              // the longest ago first, those due before the others
	studentsByGain              // those with the most real changes for the better first
)

// rowList is a list whose rows are chosen with the pointer and the arrows.
type rowList struct {
	list    layout.List
	clicks  []gesture.Click
	reveal  int // row to be scrolled into view, -1 for none
	visible int // rows that fit in
}

func (a *App) libraryOpened(err error, notes []string) {
	p := &a.library
	if err != nil {
		p.trouble = err.Error()
		a.notices.Alert(err.Error())
		return
	}
	for _, n := range notes {
		a.notices.Alert(n)
	}
	p.ready = true
	a.seedLibrary()
	a.libraryChanged()
}

// seedLibrary takes lessons in that were opened before there was a library.
func (a *App) seedLibrary() {
	recents := a.dirs.Recents()
	ask(a, "the recent lessons can't be taken in", func(ctx context.Context, l *library.Library) (int, error) {
		n := 0
		for _, r := range slices.Backward(recents) {
			if _, err := l.At(ctx, r.Path); err == nil {
				continue
			}
			lesson, _, err := annotations.Load(r.Path)
			if err != nil {
				continue // its opening says why
			}
			if _, err := l.Record(ctx, r.Path, lesson, true); err != nil {
				return n, err
			}
			n++
		}
		return n, nil
	}, func(n int, err error) {
		if n > 0 {
			a.libraryChanged()
		}
	})
}

// libraryChanged asks for what is shown anew.
func (a *App) libraryChanged() {
	p := &a.library
	if p.open || a.desk == nil {
		a.askLibrary()
	}
	a.progressChanged()
	a.checkChanged()
}

// libraryView is what the panel shows, read at once.
type libraryView struct {
	students []library.Student
	lessons  []library.Entry
	total    int
	trashed  bool // there is something to get back
	tags     []library.Tag
	missing  map[int64]bool // lessons whose document is not there
}

// askLibrary reads what is to be shown; of several questions the newest counts.
func (a *App) askLibrary() {
	p := &a.library
	if !p.ready {
		return
	}
	asked, q := p.asked.Add(1), library.Query{Text: p.search.Text(), Tag: p.tag, Trash: p.trash}
	student, order := p.student, p.order
	ask(a, "the library can't be read", func(ctx context.Context, l *library.Library) (libraryView, error) {
		var v libraryView
		var err error
		if p.asked.Load() != asked { // more was typed meanwhile
			return v, nil
		}
		if v.students, err = l.Students(ctx, library.Query{Text: q.Text, Tag: q.Tag}); err != nil {
			return v, err
		}
		if order == studentsByGain {
			if err = l.Improvement(ctx, v.students); err != nil {
				return v, err
			}
		}
		q.Student, q.Order, q.Limit = student, library.ByOpened, mostListed
		if student != 0 {
			q.Order = library.ByDate
			if !slices.ContainsFunc(v.students, func(s library.Student) bool { return s.Key == student }) && !q.Trash {
				q.Student, q.Order = 0, library.ByOpened // does not match any more
			}
		}
		if v.lessons, err = l.Lessons(ctx, q); err != nil {
			return v, err
		}
		v.missing = make(map[int64]bool)
		for _, e := range v.lessons {
			v.missing[e.Key] = missing(e.Path)
		}
		if v.total, err = l.Count(ctx); err != nil {
			return v, err
		}
		gone, err := l.Lessons(ctx, library.Query{Trash: true, Limit: 1})
		if err != nil {
			return v, err
		}
		v.trashed = len(gone) > 0
		v.tags, err = l.Tags(ctx)
		return v, err
	}, func(v libraryView, err error) {
		if asked != p.asked.Load() {
			return
		}
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		a.showLibrary(v)
		a.askGains(asked)
	})
}

// askGains reads what has improved for the students that are shown, after the
// list itself, which must not wait for it.
func (a *App) askGains(asked int64) {
	p := &a.library
	students := slices.Clone(p.students[:min(len(p.students), mostImproved)])
	ask(a, "what has improved can't be read", func(ctx context.Context, l *library.Library) ([]library.Student, error) {
		if p.asked.Load() != asked {
			return nil, nil
		}
		for i := range students {
			students[i].Compared, students[i].Closer, students[i].Farther = false, 0, 0
		}
		return students, l.Improvement(ctx, students)
	}, func(list []library.Student, err error) {
		if err != nil {
			a.notices.Alert(err.Error())
			return
		}
		if p.gains == nil {
			p.gains = make(map[int64]library.Student)
		}
		for _, s := range list {
			p.gains[s.Key] = s
		}
		p.showGains()
	})
}

// showGains puts what is known of improvement into the list.
func (p *libraryPanel) showGains() {
	for i := range p.students {
		s := &p.students[i]
		if g, ok := p.gains[s.Key]; ok {
			s.Compared, s.Closer, s.Farther, s.Since = g.Compared, g.Closer, g.Farther, g.Since
		}
	}
}

// mostListed bounds the lessons listed at once; a search finds the others.
const mostListed = 500

// mostImproved is of how many students the improvement is read when it does not
// order them.
const mostImproved = 200

func (a *App) showLibrary(v libraryView) {
	p := &a.library
	p.students, p.lessons, p.allTags, p.missing = v.students, v.lessons, v.tags, v.missing
	p.total, p.any = v.total, v.total > 0 || v.trashed || p.trash
	if p.order != studentsByGain {
		p.showGains()
	}
	switch p.order {
	case studentsByLast:
		slices.SortStableFunc(p.students, func(x, y library.Student) int {
			if dx, dy := x.Due(a.today()), y.Due(a.today()); dx != dy {
				if dx {
					return -1
				}
				return 1
			}
			return strings.Compare(x.Last, y.Last)
		})
	case studentsByGain: // it was read with them
		slices.SortStableFunc(p.students, func(x, y library.Student) int {
			return (y.Closer - y.Farther) - (x.Closer - x.Farther)
		})
	}
	if p.student != 0 && !slices.ContainsFunc(p.students, func(s library.Student) bool { return s.Key == p.student }) {
		p.student = 0
	}
	if p.chosen() == nil {
		p.lesson = 0
		if len(p.lessons) > 0 {
			p.lesson = p.lessons[0].Key
		}
	}
	p.studentRows.resize(len(p.students) + 1)
	p.lessonRows.resize(len(p.lessons))
	a.syncTags()
}

func (r *rowList) resize(n int) {
	for len(r.clicks) < n {
		r.clicks = append(r.clicks, gesture.Click{})
	}
	r.list.Axis = layout.Vertical
}

// chosen is the lesson that is chosen, or nil.
func (p *libraryPanel) chosen() *library.Entry {
	for i := range p.lessons {
		if p.lessons[i].Key == p.lesson {
			return &p.lessons[i]
		}
	}
	return nil
}

// whose is the student that progress and export are about: the one chosen, or
// that of the chosen lesson.
func (p *libraryPanel) whose() (key int64, name string) {
	key = p.student
	if e := p.chosen(); key == 0 && e != nil {
		key = e.StudentKey
	}
	for i := range p.students {
		if p.students[i].Key == key {
			return key, p.students[i].Name
		}
	}
	return 0, ""
}

// toggleLibrary opens the library on a card, or puts it away; in the first
// window it goes to the search.
func (a *App) toggleLibrary() {
	p := &a.library
	switch {
	case a.worker == nil || p.trouble != "":
		a.notices.Tell(bench.Note("There is no library: " + p.trouble))
		return
	case a.desk == nil:
		p.focus = true
		return
	}
	if p.open = !p.open; p.open {
		p.focus = true
		a.askLibrary()
	}
}

// escape takes back the search and what else narrows the list, and reports
// whether there was any.
func (p *libraryPanel) escape() bool {
	was := p.search.Text() != "" || p.tag != "" || p.trash || p.student != 0
	p.search.SetText("")
	p.shown, p.tag, p.trash, p.student = "", "", false, 0
	return was
}

// showsLibrary reports whether the panel is in the window.
func (a *App) showsLibrary() bool {
	return a.library.open || a.desk == nil && a.library.ready && a.library.any
}

func (a *App) updateLibrary(gtx layout.Context) {
	p := &a.library
	if p.focus {
		p.focus = false
		gtx.Execute(key.FocusCmd{Tag: &p.search.Editor})
	}
	a.libraryKeys(gtx)
	if p.search.Edited(gtx) && p.search.Text() != p.shown {
		p.shown = p.search.Text()
		a.askLibrary()
	}
	if i, ok := p.orders.Update(gtx); ok {
		p.order = studentOrder(i)
		a.askLibrary()
	}
	for i := range p.studentRows.clicks[:min(len(p.studentRows.clicks), len(p.students)+1)] {
		if clicked(gtx, &p.studentRows.clicks[i]) > 0 {
			p.chooseStudent(i)
			a.askLibrary()
		}
	}
	for i := range p.lessonRows.clicks[:min(len(p.lessonRows.clicks), len(p.lessons))] {
		if n := clicked(gtx, &p.lessonRows.clicks[i]); n > 0 {
			p.lesson = p.lessons[i].Key
			a.syncTags()
			if n > 1 {
				a.openFromLibrary()
				return
			}
		}
	}
	for i := range p.tagChips[:min(len(p.tagChips), len(p.allTags))] {
		if p.tagChips[i].Clicked(gtx) {
			t := p.allTags[i].Name
			if p.tag == t {
				t = ""
			}
			p.tag = t
			a.askLibrary()
		}
	}
	switch {
	case p.close.Clicked(gtx):
		p.open = false
	case p.trashBtn.Clicked(gtx):
		p.trash, p.lesson = !p.trash, 0
		a.askLibrary()
	case p.openIt.Clicked(gtx):
		a.openFromLibrary()
	case p.remove.Clicked(gtx):
		a.deleteLesson()
	case p.restore.Clicked(gtx):
		if e := p.chosen(); e != nil {
			a.undeleteLesson(*e)
		}
	case p.undo.Clicked(gtx) && p.deleted != nil:
		a.undeleteLesson(*p.deleted)
	case p.progress.Clicked(gtx):
		if key, name := p.whose(); key != 0 {
			a.openProgress(key, name)
		}
	case p.exportOne.Clicked(gtx):
		if e := p.chosen(); e != nil {
			a.exportLessons(library.Joined(e.Student, e.Date, e.Title), []int64{e.Key}, 0)
		}
	case p.exportAll.Clicked(gtx):
		if key, name := p.whose(); key != 0 {
			a.exportLessons(name, nil, key)
		}
	case p.importing.Clicked(gtx):
		a.askImport()
	}
	p.tagging = gtx.Focused(&p.tags.Editor)
	if p.tags.Entered(gtx) {
		p.tagging = false
		a.keepTags()
		gtx.Execute(key.FocusCmd{Tag: &p.search.Editor})
	}
	a.updateExporting(gtx)
}

// clicked returns how often in a row a row was clicked, 0 for not at all.
func clicked(gtx layout.Context, c *gesture.Click) int {
	n := 0
	for {
		e, ok := c.Update(gtx.Source)
		if !ok {
			return n
		}
		if e.Kind == gesture.KindClick {
			n = e.NumClicks
		}
	}
}
