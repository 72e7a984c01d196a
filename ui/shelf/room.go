// Package shelf is the coach's library in the window: students and their lessons,
// and what can be done with them.
package shelf

import (
	"sync/atomic"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/thumbnail"
)

// Room is the library: on a card over an open lesson, or as a panel of the first
// window.
type Room struct {
	host       kit.Host
	shelf      *worker.Client
	dirs       profile.Dirs
	openLesson func(path string)
	cards      Cards
	lost       *Lost
	consent    *Consent
	rights     *Rights
	pictures   *thumbnail.Pictures
	now        time.Time // of the frame, for what is due
	card       kit.Modal
	panel
}

type panel struct {
	open bool // on a card
	any  bool // it holds a lesson, if only in the trash
	read bool // what it holds was read

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
	total       int            // lessons without a search
	student     int64          // whose lessons are shown; 0 for all
	lesson      int64          // chosen, and shown below
	with        map[int64]bool // those chosen with it
	from        int64          // where a range of chosen ones begins
	studentRows kit.List
	lessonRows  kit.List

	openIt, progress, cardOf, rightsOf, exportOne, exportAll, remove, restore, importing draw.Button
	tags                                                                                 draw.Field
	tagsOf                                                                               int64 // whose tags the field holds
	tagging                                                                              bool  // it has the keyboard
	tagChips                                                                             []draw.Button
	allTags                                                                              []library.Tag
	close                                                                                draw.Button
	undo                                                                                 draw.Button
	deleted                                                                              []library.Entry // that can be got back with one key
	exporting                                                                            *exporting
	exported                                                                             string // what was exported, until it was seen
	exportSeen                                                                           draw.Button
}

// studentOrder is the order of the students.
type studentOrder int

const (
	studentsByName studentOrder = iota
	studentsByLast              // the longest ago first, those due before the others
	studentsByGain              // those with the most real changes for the better first
)

// Cards are what is shown of one student.
type Cards struct {
	Progress func(student int64, name string) // over all lessons
	Student  func(student int64)              // name, height, injuries
}

// New returns the room of a window. openLesson opens a lesson's document; lost is asked about a lesson whose
// document is not at its place, consent what may be exported and imported,
// rights what is held on a student; pictures are those of the lists.
func New(h kit.Host, c *worker.Client, d profile.Dirs, lost *Lost, consent *Consent, rights *Rights, pictures *thumbnail.Pictures, openLesson func(path string), cards Cards) *Room {
	r := &Room{host: h, shelf: c, dirs: d, lost: lost, consent: consent, rights: rights, pictures: pictures, openLesson: openLesson, cards: cards}
	c.Watch(func() {
		if r.open || h.Session() == nil {
			r.read()
		}
	})
	return r
}

// Commands is the way into the room.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "library", Group: "Lesson", After: "open", Help: "The library: students and their lessons, search",
		Keys: kit.WithMod(key.ModCtrl, "L"), Do: r.toggle, Anywhere: true,
	}}
}

// IsOpen reports whether the library is open on its card.
func (r *Room) IsOpen() bool { return r.open }

// HoldsKeys reports whether the card is open, or a lesson's tags are written in
// the first window.
func (r *Room) HoldsKeys() bool { return r.open || r.host.Session() == nil && r.tagging }

// NoticesOver reports whether the card is open: it tells of what was done.
func (r *Room) NoticesOver() bool { return r.open }

// Escape closes the card; in the first window it takes back the search and what
// else narrows the list.
func (r *Room) Escape() bool {
	switch {
	case r.open:
		r.open = false
	case r.host.Session() != nil || !r.widen():
		return false
	default:
		r.read()
	}
	return true
}

// Focus gives the keyboard to the search where the library is in the window.
func (r *Room) Focus() { r.focus = r.Shown() }

// PutAway closes the card, because a lesson is opened from it.
func (r *Room) PutAway() { r.open = false }

// today is the day, for what is due.
func (r *Room) today() time.Time {
	if r.now.IsZero() {
		return time.Now()
	}
	return r.now
}

// chosen is the lesson that is chosen, or nil.
func (p *panel) chosen() *library.Entry {
	for i := range p.lessons {
		if p.lessons[i].Key == p.lesson {
			return &p.lessons[i]
		}
	}
	return nil
}

// whose is the student that progress and export are about: the one chosen, or
// that of the chosen lesson.
func (p *panel) whose() (key int64, name string) {
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

// toggle opens the library on a card, or puts it away; in the first
// window it goes to the search.
func (r *Room) toggle() {
	p := &r.panel
	switch {
	case !r.shelf.Started() || r.shelf.Trouble() != "":
		r.host.Tell(bench.Note("There is no library: " + r.shelf.Trouble()))
		return
	case r.host.Session() == nil:
		p.focus = true
		return
	}
	if p.open = !p.open; p.open {
		p.focus = true
		r.read()
	}
}

// widen takes back the search and what else narrows the list, and reports
// whether there was any.
func (p *panel) widen() bool {
	was := p.search.Text() != "" || p.tag != "" || p.trash || p.student != 0
	p.search.SetText("")
	p.shown, p.tag, p.trash, p.student = "", "", false, 0
	return was
}

// Shown reports whether the library is in the window.
func (r *Room) Shown() bool {
	return r.open || r.host.Session() == nil && r.shelf.Ready() && r.any
}

// Update takes up what was done in the library, on its card or in its panel.
func (r *Room) Update(gtx layout.Context) {
	r.now = gtx.Now
	p := &r.panel
	if p.focus {
		p.focus = false
		gtx.Execute(key.FocusCmd{Tag: &p.search.Editor})
	}
	r.updateKeys(gtx)
	if p.search.Edited(gtx) && p.search.Text() != p.shown {
		p.shown = p.search.Text()
		r.read()
	}
	if i, ok := p.orders.Update(gtx); ok {
		p.order = studentOrder(i)
		r.read()
	}
	for {
		i, _, ok := p.studentRows.Clicked(gtx, len(p.students)+1)
		if !ok {
			break
		}
		p.chooseStudent(i)
		r.read()
	}
	for {
		i, times, ok := p.lessonRows.Clicked(gtx, len(p.lessons))
		if !ok {
			break
		}
		p.choose(i, p.lessonRows.Held)
		r.syncTags()
		if times > 1 {
			r.openChosen()
			return
		}
	}
	for i := range p.tagChips[:min(len(p.tagChips), len(p.allTags))] {
		if p.tagChips[i].Clicked(gtx) {
			t := p.allTags[i].Name
			if p.tag == t {
				t = ""
			}
			p.tag = t
			r.read()
		}
	}
	switch {
	case p.close.Clicked(gtx):
		p.open = false
	case p.trashBtn.Clicked(gtx):
		p.trash = !p.trash
		p.only(0)
		r.read()
	case p.openIt.Clicked(gtx):
		r.openChosen()
	case p.remove.Clicked(gtx):
		r.deleteLessons()
	case p.restore.Clicked(gtx):
		r.undelete(p.several())
	case p.undo.Clicked(gtx):
		r.undelete(p.deleted)
	case p.progress.Clicked(gtx):
		if key, name := p.whose(); key != 0 {
			r.cards.Progress(key, name)
		}
	case p.cardOf.Clicked(gtx):
		if key, _ := p.whose(); key != 0 {
			r.cards.Student(key)
		}
	case p.rightsOf.Clicked(gtx):
		if key, _ := p.whose(); key != 0 {
			r.rights.Open(key)
		}
	case p.exportOne.Clicked(gtx):
		if e := p.chosen(); e != nil {
			chosen := p.several()
			name := library.Joined(e.Student, e.Date, e.Title)
			if len(chosen) > 1 {
				name = library.Joined(e.Student, words.Count(len(chosen), "lesson", "lessons"))
			}
			r.exportLessons(name, keysOf(chosen), 0)
		}
	case p.exportAll.Clicked(gtx):
		if key, name := p.whose(); key != 0 {
			r.exportLessons(name, nil, key)
		}
	case p.importing.Clicked(gtx):
		r.askImport()
	}
	p.tagging = gtx.Focused(&p.tags.Editor)
	if p.tags.Entered(gtx) {
		p.tagging = false
		r.keepTags()
		gtx.Execute(key.FocusCmd{Tag: &p.search.Editor})
	}
	r.updateExporting(gtx)
}
