package students

import (
	"context"
	"fmt"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

var sexes = [...]geometry.Sex{geometry.SexUnset, geometry.Female, geometry.Male}

func handOf(choice int) geometry.Handed { return geometry.Handed(choice) }

func massText(kg float64) string {
	if kg <= 0 {
		return ""
	}
	return fmt.Sprintf("%.0f", kg)
}

// kept is what came of keeping a card.
type kept struct {
	card library.Card
	library.Carried
	mine bool // the open lesson is one of the student's
}

// keepCard keeps what is written.
func (r *Room) keepCard() {
	c, ok := r.written(r.host.Settings().Imperial)
	if !ok {
		return
	}
	before := r.was
	r.put(c, r.photo, &before)
}

// putBack keeps the card as it was before.
func (r *Room) putBack() {
	r.put(*r.undo, photo{}, nil)
}

// put keeps a card in the library, its name in the lessons, and all of it in the open
// lesson where that is the student's. undo is the card to go back to; nil where this goes
// back.
func (r *Room) put(c library.Card, p photo, undo *library.Card) {
	s := r.host.Session()
	if c.Student == 0 { // there is no library, or the lesson has no name so far
		r.keepInLesson(s, c)
		r.Shown = false
		return
	}
	var whose annotations.Student
	path := ""
	if s != nil {
		whose, path = s.Bench.Lesson().Student, s.Path
	}
	r.busy = true
	worker.Ask(r.shelf, "the student's card can't be kept", func(ctx context.Context, l *library.Library) (k kept, err error) {
		switch {
		case p.jpeg != nil:
			if c.Photo, err = l.KeepPhoto(ctx, c.Student, p.jpeg); err != nil {
				return k, err
			}
		case p.changed:
			c.Photo = ""
		}
		if s != nil {
			key, err := l.StudentOf(ctx, &whose)
			if err != nil {
				return k, err
			}
			k.mine = key == c.Student
		}
		open := ""
		if k.mine {
			open = path
		}
		if k.Carried, err = l.SetCard(ctx, c, open); err != nil {
			return k, err
		}
		k.card, err = l.Card(ctx, c.Student)
		return k, err
	}, func(k kept, err error) {
		r.busy = false
		if err != nil {
			r.problem = words.Sentence(err.Error()) + "."
			return
		}
		if k.mine && r.host.Session() == s {
			r.keepInLesson(s, k.card)
			k.Lessons++
		}
		done := "Kept."
		switch {
		case undo == nil:
			done = "The card is as it was before."
		case k.card.Name != undo.Name:
			done = "Kept. The new name stands in " + words.Count(k.Lessons, "lesson", "lessons") + "."
		}
		for _, left := range k.Left {
			done += " " + left.File + " could not be changed: " + left.Why + "."
		}
		r.show(k.card)
		r.undo, r.done, r.focus = undo, done, false
		r.shelf.Changed()
	})
}

// keepInLesson writes a card into the open lesson, as a step of undo.
func (r *Room) keepInLesson(s *session.Session, c library.Card) {
	if s == nil {
		return
	}
	student := s.Bench.Lesson().Student
	id := student.ID
	c.Of(&student)
	if id != "" {
		student.ID = id // of one who was joined
	}
	if student.ID == "" && student.Name != "" {
		student.ID = annotations.NewID()
	}
	if student.StatureM > 0 && student.StatureSDM == 0 {
		student.StatureSDM = kit.StatureSD
	}
	kit.Edit(r.host, annotations.SetStudent{Student: student})
}

// joinTo makes another student of the name and this one the same.
func (r *Room) joinTo(o library.Other) {
	c := r.was
	r.change(c.Student, "Joined: the lessons of both are listed together.", func(ctx context.Context, l *library.Library) error { return l.Join(ctx, c.Student, o.Student) })
}

// takeApart undoes that.
func (r *Room) takeApart(o library.Other) {
	r.change(r.was.Student, "Taken apart.", func(ctx context.Context, l *library.Library) error { return l.Separate(ctx, o.Student) })
}

func (r *Room) change(student int64, done string, do func(ctx context.Context, l *library.Library) error) {
	r.busy = true
	worker.Ask(r.shelf, "the students can't be changed", func(ctx context.Context, l *library.Library) (library.Card, error) {
		if err := do(ctx, l); err != nil {
			return library.Card{}, err
		}
		return l.Card(ctx, student)
	}, func(c library.Card, err error) {
		r.busy = false
		if err != nil {
			r.problem = words.Sentence(err.Error()) + "."
			return
		}
		undo := r.undo
		r.show(c)
		r.undo, r.done, r.focus = undo, done, false
		r.shelf.Changed()
	})
}
