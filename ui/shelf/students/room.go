// Package students is the card of a student: what the coach keeps of one, in the library
// and in the lessons.
package students

import (
	"context"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/shelf/worker"
	"turngauge/ui/thumbnail"
)

// Room is the card of one student.
type Room struct {
	host     kit.Host
	shelf    *worker.Client
	pictures *thumbnail.Pictures
	card     kit.Modal
	state
}

type state struct {
	kit.Openable
	was     library.Card // as it was read; of a lesson without a name Student is 0
	undo    *library.Card
	done    string // what came of keeping it
	busy    bool
	problem string

	name, stature, mass, handicap, contact, injuries draw.Field
	statureError, massError                          string
	hand, sex                                        draw.Segmented
	handed, sexOf                                    int
	photo                                            photo

	choosePhoto, framePhoto, noPhoto draw.Button
	join                             []draw.Button // one for each of was.Others
	apart                            []draw.Button // one for each of was.Joined
	keep, back, closing              draw.Button
	focus                            bool
}

// New returns the card of a window, closed.
func New(h kit.Host, c *worker.Client, pictures *thumbnail.Pictures) *Room {
	return &Room{host: h, shelf: c, pictures: pictures}
}

// Commands is the way to the card of the open lesson's student.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{{
		ID: "student", Group: "Lesson", After: "library", Help: "The student's card: name, height, handicap, injuries",
		Keys: kit.WithMod(key.ModCtrl|key.ModShift, "S"), Do: r.openForLesson,
		Enabled: func() bool { return r.host.Session() != nil },
	}}
}

// NoticesOver reports whether the card is open: it tells of what was done.
func (r *Room) NoticesOver() bool { return r.Shown }

// Open opens the card of a student.
func (r *Room) Open(student int64) {
	worker.Ask(r.shelf, "the student's card can't be read", func(ctx context.Context, l *library.Library) (library.Card, error) {
		return l.Card(ctx, student)
	}, func(c library.Card, err error) {
		if err != nil {
			r.host.Alert(err.Error())
			return
		}
		r.show(c)
	})
}

// openForLesson opens that of the student of the open lesson, who may have no name yet.
func (r *Room) openForLesson() {
	s := r.host.Session()
	l := s.Bench.Lesson()
	if !r.shelf.Ready() {
		r.show(cardOf(l))
		return
	}
	worker.Ask(r.shelf, "the student's card can't be read", func(ctx context.Context, lib *library.Library) (library.Card, error) {
		if l.Student.Name == "" {
			return cardOf(l), nil
		}
		if _, err := lib.Record(ctx, s.Path, l, true); err != nil {
			return library.Card{}, err
		}
		key, err := lib.StudentOf(ctx, &l.Student)
		if err != nil {
			return library.Card{}, err
		}
		return lib.Card(ctx, key)
	}, func(c library.Card, err error) {
		switch {
		case r.host.Session() != s:
		case err != nil:
			r.host.Alert(err.Error())
		default:
			r.show(c)
		}
	})
}

// cardOf is what a lesson alone says of its student.
func cardOf(l *annotations.Lesson) library.Card {
	s := &l.Student
	return library.Card{ID: s.ID, Name: s.Name, Handed: s.Handed, Sex: s.Sex, StatureM: s.StatureM, MassKg: s.MassKg, Handicap: s.Handicap, Injuries: s.Injuries}
}

// show fills the card in.
func (r *Room) show(c library.Card) {
	r.state = state{
		Openable: kit.Opened(), was: c, focus: true, handed: int(c.Handed), sexOf: int(c.Sex),
		join: make([]draw.Button, len(c.Others)), apart: make([]draw.Button, len(c.Joined)),
	}
	r.name.SetText(c.Name)
	r.stature.SetText(kit.StatureText(c.StatureM, r.host.Settings().Imperial))
	r.mass.SetText(massText(c.MassKg))
	r.handicap.SetText(c.Handicap)
	r.contact.SetText(c.Contact)
	r.injuries.SetText(c.Injuries)
	r.photo.path = c.Photo
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	s := &r.state
	if s.focus {
		s.focus = false
		gtx.Execute(key.FocusCmd{Tag: &s.name.Editor})
	}
	if c, ok := s.hand.Update(gtx); ok {
		s.handed = c
	}
	if c, ok := s.sex.Update(gtx); ok {
		s.sexOf = c
	}
	entered := false
	for _, f := range []*draw.Field{&s.name, &s.stature, &s.mass, &s.handicap, &s.contact} {
		entered = f.Entered(gtx) || entered
	}
	for i := range s.join {
		if s.join[i].Clicked(gtx) && !s.busy {
			r.joinTo(s.was.Others[i])
			return
		}
	}
	for i := range s.apart {
		if s.apart[i].Clicked(gtx) && !s.busy {
			r.takeApart(s.was.Joined[i])
			return
		}
	}
	switch {
	case s.closing.Clicked(gtx):
		s.Shown = false
		kit.ReleaseKeys(gtx, r.host)
	case s.busy:
	case s.choosePhoto.Clicked(gtx):
		r.askPhoto()
	case s.framePhoto.Clicked(gtx):
		r.photoOfFrame()
	case s.noPhoto.Clicked(gtx):
		s.photo = photo{changed: true}
	case s.back.Clicked(gtx) && s.undo != nil:
		r.putBack()
	case s.keep.Clicked(gtx) || entered:
		r.keepCard()
	}
}

// written is the card as it stands in the fields; ok is false where something in it can't
// be read, which is said beside it.
func (s *state) written(imperial bool) (c library.Card, ok bool) {
	c = s.was
	c.Name = strings.Join(strings.Fields(s.name.Text()), " ")
	c.Handed, c.Sex = handOf(s.handed), sexes[s.sexOf]
	var m float64
	m, s.statureError = kit.Stature(s.stature.Text(), imperial)
	if m == 0 || !kit.SameStature(m, c.StatureM) {
		c.StatureM = m
	}
	m, s.massError = kit.Kilograms(s.mass.Text())
	if massText(m) != massText(c.MassKg) {
		c.MassKg = m
	}
	c.Handicap = strings.ReplaceAll(strings.TrimSpace(s.handicap.Text()), ",", ".")
	c.Contact, c.Injuries = strings.TrimSpace(s.contact.Text()), strings.TrimSpace(s.injuries.Text())
	s.problem = c.Check()
	return c, s.problem == "" && s.statureError == "" && s.massError == ""
}
