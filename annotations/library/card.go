package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Card is what the coach keeps of a student. Numbers that are 0 are not known.
type Card struct {
	Student  int64
	ID, Name string
	Handed   geometry.Handed
	Sex      geometry.Sex
	StatureM float64 // metres
	MassKg   float64
	Handicap string // as annotations.Student
	Injuries string
	Contact  string // kept here alone, not in documents
	Photo    string // a picture's file, "" for none
	// Others are students of the same name, and Joined those that were joined to this one.
	Others, Joined []Other
}

// Other is another student beside one: of the same name, or joined to that one.
type Other struct {
	Student int64
	ID      string
	Name    string
	Lessons int
	Last    string // day of the last lesson
}

// Carried says what came of keeping a card: in how many documents the name was changed,
// and in which it could not be.
type Carried struct {
	Lessons int
	Left    []Left
}

const cardColumns = "SELECT key, id, name, handed, sex, coalesce(stature_m, 0), coalesce(mass_kg, 0), handicap, injuries, contact, photo FROM student "

// Card returns a student's card. The error is ErrNotFound where there is no such student.
func (l *Library) Card(ctx context.Context, student int64) (c Card, err error) {
	const what = "the student's card can't be read"
	err = l.query(ctx, what, cardColumns+"WHERE key = $1", []any{student}, func(r *sql.Rows) error {
		var handed, sex string
		err := r.Scan(&c.Student, &c.ID, &c.Name, &handed, &sex, &c.StatureM, &c.MassKg, &c.Handicap, &c.Injuries, &c.Contact, &c.Photo)
		if handed == "left" {
			c.Handed = geometry.LeftHanded
		}
		c.Sex = sexOf(sex)
		if c.Photo != "" {
			c.Photo = filepath.Join(l.photos(), c.Photo)
		}
		return err
	})
	if err != nil {
		return c, err
	}
	if c.Student == 0 {
		return c, ErrNotFound
	}
	if c.Others, err = l.others(ctx, "lesson.student", "student.named = $1 AND student.key <> $2 AND student.joined IS NULL", nameKey(c.Name), student); err != nil {
		return c, err
	}
	c.Joined, err = l.others(ctx, "lesson.own", "student.joined = $1", student)
	return c, err
}

// others lists students with their lessons, which are those whose column names them.
func (l *Library) others(ctx context.Context, column, where string, args ...any) (out []Other, err error) {
	err = l.query(ctx, "the students can't be listed", "SELECT student.key, student.id, student.name, count(lesson.key), coalesce(max(lesson.date), '') FROM student LEFT JOIN lesson ON "+
		column+" = student.key AND lesson.deleted IS NULL WHERE "+where+" GROUP BY student.key ORDER BY 5 DESC", args, func(r *sql.Rows) error {
		var o Other
		err := r.Scan(&o.Student, &o.ID, &o.Name, &o.Lessons, &o.Last)
		out = append(out, o)
		return err
	})
	return out, err
}

// Called lists the students of a name or, where it is one, of an id.
func (l *Library) Called(ctx context.Context, text string) ([]Other, error) {
	return l.others(ctx, "lesson.student", "(student.named = $1 OR student.id = $2) AND student.joined IS NULL", nameKey(text), text)
}

func sexOf(word string) geometry.Sex {
	for _, s := range []geometry.Sex{geometry.Female, geometry.Male} {
		if sexWord(s) == word {
			return s
		}
	}
	return geometry.SexUnset
}

// Check says in a sentence what is wrong with a card, or "".
func (c *Card) Check() string {
	switch {
	case nameKey(c.Name) == "":
		return "A student needs a name."
	case !words.Handicap(c.Handicap):
		return "Write the handicap like 12.4 or, for one better than scratch, +2.1; at most 54."
	}
	return ""
}

// Of puts what the card says of the student in the place of what a document does.
func (c *Card) Of(s *annotations.Student) {
	if s.StatureM != c.StatureM {
		s.StatureM, s.StatureSDM = c.StatureM, 0
	}
	s.ID, s.Name, s.Handed, s.Sex, s.MassKg, s.Handicap, s.Injuries = c.ID, c.Name, c.Handed, c.Sex, c.MassKg, c.Handicap, c.Injuries
}

// SetCard keeps a card, and carries the name into the documents of all the student's
// lessons, which then have the student's id too, so that the name finds nobody else.
// Documents that are open in a window, or can't be written, are told of; open is one that
// is looked after by whoever asks. Killed on the way, the lessons stay the student's.
func (l *Library) SetCard(ctx context.Context, c Card, open string) (out Carried, err error) {
	const what = "the student's card can't be kept"
	if text := c.Check(); text != "" {
		return out, errors.New(text)
	}
	c.Name = strings.Join(strings.Fields(c.Name), " ")
	if err := l.identify(ctx, c.Student); err != nil {
		return out, err
	}
	if out, err = l.carry(ctx, c.Student, c.Name, open); err != nil {
		return out, sentence(what, err)
	}
	stature, mass := any(nil), any(nil)
	if c.StatureM > 0 {
		stature = c.StatureM
	}
	if c.MassKg > 0 {
		mass = c.MassKg
	}
	handed, photo := "right", ""
	if c.Handed == geometry.LeftHanded {
		handed = "left"
	}
	if c.Photo != "" {
		photo = filepath.Base(c.Photo)
	}
	return out, l.change(ctx, what, func(tx *sql.Tx) error {
		var id string
		if err := tx.QueryRowContext(ctx, "SELECT id FROM student WHERE key = $1", c.Student).Scan(&id); err != nil {
			return err
		}
		if err := rename(ctx, tx, c.Student, c.Name, id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `UPDATE student SET handed = $1, sex = $2, stature_m = $3, mass_kg = $4, handicap = $5, injuries = $6, contact = $7, photo = $8, kept = $9
			WHERE key = $10`, handed, sexWord(c.Sex), stature, mass, c.Handicap, c.Injuries, c.Contact, photo, l.now().Format(time.DateOnly), c.Student)
		return err
	})
}

// identify gives a student an id, and those joined to him, where they have none.
func (l *Library) identify(ctx context.Context, student int64) error {
	return l.change(ctx, "the student can't be told apart", func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, "SELECT key FROM student WHERE id = '' AND (key = $1 OR joined = $1)", student)
		if err != nil {
			return err
		}
		var keys []int64
		for rows.Next() {
			var k int64
			if err = rows.Scan(&k); err != nil {
				break
			}
			keys = append(keys, k)
		}
		if err = errors.Join(err, rows.Err(), rows.Close()); err != nil {
			return err
		}
		for _, k := range keys {
			if _, err := tx.ExecContext(ctx, "UPDATE student SET id = $1 WHERE key = $2", annotations.NewID(), k); err != nil {
				return err
			}
		}
		return nil
	})
}

// TellApart gives the students of a name their ids, also in their documents, so that
// another one of that name can come; open as in SetCard. It is done before the first
// lesson of the other is made.
func (l *Library) TellApart(ctx context.Context, name, open string) (out Carried, err error) {
	others, err := l.others(ctx, "lesson.student", "student.named = $1", nameKey(name))
	for _, o := range others {
		if err = l.identify(ctx, o.Student); err != nil {
			return out, err
		}
		c, err := l.carry(ctx, o.Student, "", open)
		out.Lessons, out.Left = out.Lessons+c.Lessons, append(out.Left, c.Left...)
		if err != nil {
			return out, err
		}
	}
	return out, err
}

// carry writes a student's id and, where it is not "", the name into the documents of all
// lessons, those in the trash too.
func (l *Library) carry(ctx context.Context, student int64, name, open string) (out Carried, err error) {
	type document struct {
		path, id string
		deleted  bool
	}
	var list []document
	err = l.query(ctx, "the student's lessons can't be listed", `SELECT lesson.path, student.id, lesson.deleted IS NOT NULL FROM lesson
		JOIN student ON student.key = lesson.own WHERE lesson.student = $1`, []any{student}, func(r *sql.Rows) error {
		var d document
		err := r.Scan(&d.path, &d.id, &d.deleted)
		list = append(list, d)
		return err
	})
	if err != nil {
		return out, err
	}
	for _, d := range list {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if d.path == open {
			continue
		}
		changed, err := l.carryInto(ctx, d.path, d.id, name, d.deleted)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			out.Left = append(out.Left, Left{d.path, "the document is not there"})
		case err != nil:
			out.Left = append(out.Left, Left{d.path, err.Error()})
		case changed:
			out.Lessons++
		}
	}
	return out, nil
}

func (l *Library) carryInto(ctx context.Context, path, id, name string, deleted bool) (changed bool, err error) {
	if _, err := os.Stat(path); err != nil {
		return false, err
	}
	free, err := holdDocument(path)
	if err != nil {
		return false, err
	}
	defer free()
	lesson, _, err := annotations.Load(path)
	if err != nil {
		return false, err
	}
	if name == "" {
		name = lesson.Student.Name
	}
	if lesson.Student.ID == "" {
		lesson.Student.ID = id
	} else if lesson.Student.Name == name {
		return false, nil
	}
	lesson.Student.Name = name
	if err := annotations.Save(path, lesson); err != nil {
		return false, err
	}
	if !deleted {
		_, err = l.Record(ctx, path, lesson, false)
	}
	return true, err
}

// Join makes two students one, whose lessons are then listed together. Documents stay as
// they are, so that Separate takes them apart again.
func (l *Library) Join(ctx context.Context, into, from int64) error {
	if into == from {
		return errors.New("a student can't be joined to himself")
	}
	return l.change(ctx, "the students can't be joined", func(tx *sql.Tx) error {
		for _, q := range []string{
			"UPDATE student SET joined = $1 WHERE key = $2 OR joined = $2",
			"UPDATE lesson SET student = $1 WHERE student = $2",
		} {
			if _, err := tx.ExecContext(ctx, q, into, from); err != nil {
				return err
			}
		}
		return nil
	})
}

// Separate takes a student out of the one he was joined to, with his lessons.
func (l *Library) Separate(ctx context.Context, from int64) error {
	return l.change(ctx, "the students can't be taken apart", func(tx *sql.Tx) error {
		for _, q := range []string{"UPDATE student SET joined = NULL WHERE key = $1", "UPDATE lesson SET student = own WHERE own = $1"} {
			if _, err := tx.ExecContext(ctx, q, from); err != nil {
				return err
			}
		}
		return nil
	})
}

func (l *Library) photos() string { return filepath.Join(l.folder, "photos") }

// KeepPhoto puts a picture, a JPEG file, beside the library, for a card of the student.
func (l *Library) KeepPhoto(ctx context.Context, student int64, jpeg []byte) (path string, err error) {
	const what = "the photo can't be kept"
	if l.readOnly {
		return "", ErrReadOnly
	}
	if err := l.identify(ctx, student); err != nil {
		return "", err
	}
	c, err := l.Card(ctx, student)
	if err != nil {
		return "", err
	}
	if err := place.Folder(l.photos()); err != nil {
		return "", sentence(what, err)
	}
	path = filepath.Join(l.photos(), fmt.Sprintf("%s %s.jpg", c.ID, annotations.NewID()))
	return path, sentence(what, place.Bytes(path, jpeg))
}

// photosOf lists the photos of students by their ids: those of cards before, too.
func (l *Library) photosOf(ids []string) (out []string) {
	entries, _ := os.ReadDir(l.photos())
	for _, e := range entries {
		if slices.Contains(ids, strings.SplitN(e.Name(), " ", 2)[0]) {
			out = append(out, filepath.Join(l.photos(), e.Name()))
		}
	}
	return out
}

// sweepPhotos removes the photos of students who are not in the library any more, and
// those that no card has, once they are some days old.
func (l *Library) sweepPhotos(ctx context.Context) error {
	kept := make(map[string]bool)
	err := l.query(ctx, "the photos can't be listed", "SELECT photo FROM student WHERE photo <> ''", nil, func(r *sql.Rows) error {
		var name string
		err := r.Scan(&name)
		kept[name] = true
		return err
	})
	if err != nil {
		return err
	}
	entries, _ := os.ReadDir(l.photos())
	for _, e := range entries {
		if info, err := e.Info(); err == nil && !kept[e.Name()] && l.now().Sub(info.ModTime()) > TrashDays*24*time.Hour {
			_ = os.Remove(filepath.Join(l.photos(), e.Name()))
		}
	}
	return nil
}
