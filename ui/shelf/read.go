package shelf

import (
	"context"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/place"
	"turngauge/ui/shelf/worker"
)

// Seed takes lessons in that were opened before there was a library, and tells whose
// films are kept for too long.
func (r *Room) Seed() {
	r.rights.tellDue()
	recents := r.dirs.Recents()
	worker.Ask(r.shelf, "the recent lessons can't be taken in", func(ctx context.Context, l *library.Library) (int, error) {
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
			r.shelf.Changed()
		}
	})
}

// reading is what the panel shows, read at once.
type reading struct {
	students []library.Student
	lessons  []library.Entry
	total    int
	trashed  bool // there is something to get back
	tags     []library.Tag
	missing  map[int64]bool // lessons whose document is not there
}

// read reads what is to be shown; of several questions the newest counts.
func (r *Room) read() {
	p := &r.panel
	if !r.shelf.Ready() {
		return
	}
	asked, q := p.asked.Add(1), library.Query{Text: p.search.Text(), Tag: p.tag, Trash: p.trash}
	student, order := p.student, p.order
	worker.Ask(r.shelf, "the library can't be read", func(ctx context.Context, l *library.Library) (reading, error) {
		var v reading
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
			v.missing[e.Key] = place.Missing(e.Path)
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
	}, func(v reading, err error) {
		if asked != p.asked.Load() {
			return
		}
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.show(v)
		r.readGains(asked)
	})
}

// readGains reads what has improved for the students that are shown, after the
// list itself, which must not wait for it.
func (r *Room) readGains(asked int64) {
	p := &r.panel
	students := slices.Clone(p.students[:min(len(p.students), mostImproved)])
	worker.Ask(r.shelf, "what has improved can't be read", func(ctx context.Context, l *library.Library) ([]library.Student, error) {
		if p.asked.Load() != asked {
			return nil, nil
		}
		for i := range students {
			students[i].Compared, students[i].Closer, students[i].Farther = false, 0, 0
		}
		return students, l.Improvement(ctx, students)
	}, func(list []library.Student, err error) {
		if err != nil {
			r.host.Alert(err.Error())
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
func (p *panel) showGains() {
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

func (r *Room) show(v reading) {
	p := &r.panel
	p.students, p.lessons, p.allTags, p.missing = v.students, v.lessons, v.tags, v.missing
	p.total, p.any, p.read = v.total, v.total > 0 || v.trashed || p.trash, true
	if p.order != studentsByGain {
		p.showGains()
	}
	switch p.order {
	case studentsByLast:
		slices.SortStableFunc(p.students, func(x, y library.Student) int {
			if dx, dy := x.Due(r.today()), y.Due(r.today()); dx != dy {
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
		first := int64(0)
		if len(p.lessons) > 0 {
			first = p.lessons[0].Key
		}
		p.only(first)
	}
	r.syncTags()
}
