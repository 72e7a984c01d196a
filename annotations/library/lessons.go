package library

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
	"time"

	"turngauge/annotations"
)

// Entry is a lesson as the library lists it.
type Entry struct {
	Key        int64
	ID, Path   string
	Title      string
	Date       string // year-month-day; "" where the document gives none
	Student    string // "" where the document gives none
	StudentKey int64  // 0 without a student
	Place      string
	Clubs      string // with commas between
	Tags       []string
	Swings     int
	Marks      int
	Shots      int
	Opened     time.Time // last
	Recorded   time.Time // last taken into the library
	Deleted    time.Time // zero where it is not in the trash
	Origin     string    // of a deleted lesson: where its document was
	Prescribed bool      // there is a prescription
	SHA256     string    // of the document as it was recorded

	uid string
}

// Order is the order of a list of lessons.
type Order int

// The orders.
const (
	ByDate   Order = iota // newest lesson first
	ByOpened              // last opened first
)

// Query says which lessons are wanted; its zero value wants all.
type Query struct {
	Text    string // every word as the beginning of one in the lesson
	Student int64  // 0 for all
	Tag     string // "" for all
	Trash   bool   // those deleted, in place of the others
	Order   Order
	Limit   int // 0 for all
}

const entryColumns = `
	lesson.key, lesson.uid, lesson.id, lesson.path, lesson.title, lesson.date, coalesce(student.name, ''), coalesce(student.key, 0),
	lesson.place, lesson.clubs,
	coalesce((SELECT string_agg(name, '
') FROM (SELECT name FROM tag WHERE tag.lesson = lesson.key ORDER BY folded) AS sorted), ''),
	(SELECT count(*) FROM swing WHERE swing.lesson = lesson.key), lesson.marks, lesson.shots, lesson.opened, lesson.recorded,
	coalesce(lesson.deleted, 0), lesson.origin, EXISTS (SELECT 1 FROM prescription WHERE prescription.lesson = lesson.key), lesson.sha256
	FROM lesson LEFT JOIN student ON student.key = lesson.student `

func scanEntry(r interface{ Scan(...any) error }) (Entry, error) {
	var e Entry
	var tags string
	var opened, recorded, deleted int64
	err := r.Scan(&e.Key, &e.uid, &e.ID, &e.Path, &e.Title, &e.Date, &e.Student, &e.StudentKey, &e.Place, &e.Clubs, &tags,
		&e.Swings, &e.Marks, &e.Shots, &opened, &recorded, &deleted, &e.Origin, &e.Prescribed, &e.SHA256)
	if tags != "" {
		e.Tags = strings.Split(tags, "\n")
	}
	e.Opened, e.Recorded = time.UnixMilli(opened), time.UnixMilli(recorded)
	if deleted != 0 {
		e.Deleted = time.UnixMilli(deleted)
	}
	return e, err
}

// Lessons lists lessons.
func (l *Library) Lessons(ctx context.Context, q Query) ([]Entry, error) {
	where := "WHERE lesson.deleted IS NULL"
	if q.Trash {
		where = "WHERE lesson.deleted IS NOT NULL"
	}
	narrower, args := l.narrowed(q)
	where += narrower
	if q.Student != 0 {
		args = append(args, q.Student)
		where += fmt.Sprintf(" AND lesson.student = $%d", len(args))
	}
	order := " ORDER BY lesson.date DESC, lesson.recorded DESC"
	if q.Order == ByOpened {
		order = " ORDER BY lesson.opened DESC"
	}
	if q.Limit > 0 {
		args = append(args, q.Limit)
		order += fmt.Sprintf(" LIMIT $%d", len(args))
	}
	var out []Entry
	err := l.query(ctx, "the lessons can't be listed", "SELECT "+entryColumns+where+order, args, func(r *sql.Rows) error {
		e, err := scanEntry(r)
		out = append(out, e)
		return err
	})
	return out, err
}

// narrowed are the conditions on lessons of a query's text and tag.
func (l *Library) narrowed(q Query) (where string, args []any) {
	if words := wordsOf(q.Text); len(words) > 0 {
		args = append(args, l.store.Match(words))
		where = " AND lesson.key IN (SELECT rowid FROM search WHERE " + l.store.Matches("$1") + ")"
	}
	if q.Tag != "" {
		args = append(args, nameKey(q.Tag))
		where += fmt.Sprintf(" AND EXISTS (SELECT 1 FROM tag WHERE tag.lesson = lesson.key AND tag.folded = $%d)", len(args))
	}
	return where, args
}

// Lesson returns a lesson, in the trash or not. The error is ErrNotFound where
// there is none.
func (l *Library) Lesson(ctx context.Context, key int64) (Entry, error) {
	return l.entry(ctx, "WHERE lesson.key = $1", key)
}

// At returns the lesson whose document is at a path. The error is ErrNotFound
// where there is none.
func (l *Library) At(ctx context.Context, path string) (Entry, error) {
	return l.entry(ctx, "WHERE lesson.path = $1", path)
}

func (l *Library) entry(ctx context.Context, where string, arg any) (Entry, error) {
	e, ok := Entry{}, false
	err := l.query(ctx, "the lesson can't be looked up", "SELECT "+entryColumns+where, []any{arg}, func(r *sql.Rows) (err error) {
		e, err = scanEntry(r)
		ok = true
		return err
	})
	if err == nil && !ok {
		err = ErrNotFound
	}
	return e, err
}

// withID lists the lessons, not in the trash, whose document has an ID.
func (l *Library) withID(ctx context.Context, id string) ([]Entry, error) {
	var out []Entry
	err := l.query(ctx, "the lesson can't be looked up", "SELECT "+entryColumns+"WHERE lesson.id = $1 AND lesson.deleted IS NULL", []any{id}, func(r *sql.Rows) error {
		e, err := scanEntry(r)
		out = append(out, e)
		return err
	})
	return out, err
}

// Before returns the student's last marked lesson before a day, for comparison
// with another lesson, which is not itself meant; ok is false where there is
// none.
func (l *Library) Before(ctx context.Context, student *annotations.Student, day, path string) (e Entry, ok bool, err error) {
	key, err := l.StudentOf(ctx, student)
	if err != nil || key == 0 {
		return e, false, err
	}
	err = l.query(ctx, "the lesson before can't be looked up", "SELECT "+entryColumns+
		`WHERE lesson.deleted IS NULL AND lesson.student = $1 AND lesson.date < $2 AND lesson.date <> '' AND lesson.path <> $3 AND lesson.marks > 0
		ORDER BY lesson.date DESC, lesson.recorded DESC LIMIT 1`,
		[]any{key, day, path}, func(r *sql.Rows) (err error) {
			e, err = scanEntry(r)
			ok = true
			return err
		})
	return e, ok, err
}

// Count returns how many lessons there are, without those in the trash.
func (l *Library) Count(ctx context.Context) (n int, err error) {
	err = l.query(ctx, "the lessons can't be counted", "SELECT count(*) FROM lesson WHERE deleted IS NULL", nil, func(r *sql.Rows) error { return r.Scan(&n) })
	return n, err
}

// Prescribed returns the student's last lesson before a day that prescribes
// something; ok is false where there is none.
func (l *Library) Prescribed(ctx context.Context, student *annotations.Student, day, path string) (e Entry, ok bool, err error) {
	key, err := l.StudentOf(ctx, student)
	if err != nil || key == 0 {
		return e, false, err
	}
	err = l.query(ctx, "the prescription before can't be looked up", "SELECT "+entryColumns+
		`WHERE lesson.deleted IS NULL AND lesson.student = $1 AND lesson.date < $2 AND lesson.date <> '' AND lesson.path <> $3
		AND EXISTS (SELECT 1 FROM prescription WHERE prescription.lesson = lesson.key) ORDER BY lesson.date DESC, lesson.recorded DESC LIMIT 1`,
		[]any{key, day, path}, func(r *sql.Rows) (err error) {
			e, err = scanEntry(r)
			ok = true
			return err
		})
	return e, ok, err
}
