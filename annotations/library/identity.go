package library

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// whom finds the student whom a document names: by the id, else by the name. own is the
// student of that id or name, who who that is, after joining; both 0 for one who is not
// known. lesson is the document's, 0 for none yet.
func whom(ctx context.Context, q querier, s *annotations.Student, lesson int64) (own, who int64, err error) {
	named := nameKey(s.Name)
	row := func(where string, args ...any) error {
		err := q.QueryRowContext(ctx, "SELECT student.key, coalesce(student.joined, student.key) FROM student "+where+" LIMIT 1", args...).Scan(&own, &who)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		return err
	}
	switch {
	case s.ID != "":
		if err = row("WHERE id = $1", s.ID); err == nil && own == 0 && named != "" {
			err = row("WHERE named = $1 AND id = ''", named) // it had none so far
		}
	case named != "":
		// The name is as it was: it is whose it was, whatever he is called by now.
		err = row("JOIN lesson ON lesson.own = student.key WHERE lesson.key = $1 AND lesson.called = $2", lesson, named)
		if err == nil && own == 0 {
			err = row("WHERE named = $1 ORDER BY id <> '', key", named)
		}
	}
	return own, who, err
}

// querier is a transaction, or the index itself.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// StudentOf returns the key of the student whom a document names; 0 where there is none.
func (l *Library) StudentOf(ctx context.Context, s *annotations.Student) (key int64, err error) {
	l.mu.RLock()
	defer l.mu.RUnlock()
	_, key, err = whom(ctx, l.store.DB(), s, 0)
	return key, sentence("the student can't be looked up", err)
}

// StudentNamed returns the key of the student of a name, the first of several; 0 where
// there is none.
func (l *Library) StudentNamed(ctx context.Context, name string) (key int64, err error) {
	return l.StudentOf(ctx, &annotations.Student{Name: name})
}

// handle is what stands in folded, which is unique: the name, and behind it the id where
// another student has the name.
func handle(ctx context.Context, tx *sql.Tx, key int64, named, id string) (string, error) {
	var others int
	err := tx.QueryRowContext(ctx, "SELECT count(*) FROM student WHERE folded = $1 AND key <> $2", named, key).Scan(&others)
	if others > 0 {
		named += "\x1f" + id
	}
	return named, err
}

// studentOf returns the keys of the student whom a lesson's document names, and of who
// that is, both nil for one without a name. One who is not known is taken in. What the
// coach has kept on the card is not changed by a lesson from before.
func studentOf(ctx context.Context, tx *sql.Tx, uid string, lesson *annotations.Lesson) (own, who any, err error) {
	s := &lesson.Student
	named := nameKey(s.Name)
	if named == "" && s.ID == "" {
		return nil, nil, nil
	}
	var row int64
	if err := tx.QueryRowContext(ctx, "SELECT key FROM lesson WHERE uid = $1", uid).Scan(&row); err != nil && !errors.Is(err, sql.ErrNoRows) {
		return nil, nil, err
	}
	key, is, err := whom(ctx, tx, s, row)
	if err != nil {
		return nil, nil, err
	}
	handed := "right"
	if s.Handed == geometry.LeftHanded {
		handed = "left"
	}
	var stature, mass any
	if s.StatureM > 0 {
		stature = s.StatureM
	}
	if s.MassKg > 0 {
		mass = s.MassKg
	}
	name := strings.TrimSpace(s.Name)
	if key == 0 {
		folded, err := handle(ctx, tx, 0, named, s.ID)
		if err != nil {
			return nil, nil, err
		}
		err = tx.QueryRowContext(ctx, `INSERT INTO student (name, folded, named, id, handed, sex, stature_m, mass_kg, handicap, injuries)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING key`, name, folded, named, s.ID, handed, sexWord(s.Sex), stature, mass, s.Handicap, s.Injuries).Scan(&key)
		return key, key, err
	}
	if s.ID != "" {
		if _, err := tx.ExecContext(ctx, "UPDATE student SET id = $1 WHERE key = $2 AND id = ''", s.ID, key); err != nil {
			return nil, nil, err
		}
	}
	_, err = tx.ExecContext(ctx, `UPDATE student SET handed = $2, sex = $3, stature_m = coalesce($4, stature_m), mass_kg = coalesce($5, mass_kg),
		handicap = CASE WHEN $6 = '' THEN handicap ELSE $6 END, injuries = CASE WHEN $7 = '' THEN injuries ELSE $7 END WHERE key = $1 AND kept < $8`,
		key, handed, sexWord(s.Sex), stature, mass, s.Handicap, s.Injuries, max(lesson.Date, "0"))
	if err != nil {
		return nil, nil, err
	}
	// A document with an id says what its student is called now; upper and lower case
	// rename nobody.
	var was string
	var kept bool
	if err := tx.QueryRowContext(ctx, "SELECT named, kept <> '' FROM student WHERE key = $1", key).Scan(&was, &kept); err != nil {
		return nil, nil, err
	}
	if s.ID != "" && named != "" && was != named && !kept {
		err = rename(ctx, tx, key, name, s.ID)
	}
	return key, is, err
}

// rename gives a student another name.
func rename(ctx context.Context, tx *sql.Tx, key int64, name, id string) error {
	named := nameKey(name)
	folded, err := handle(ctx, tx, key, named, id)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "UPDATE student SET name = $1, named = $2, folded = $3 WHERE key = $4", strings.TrimSpace(name), named, folded, key)
	return err
}

func sexWord(s geometry.Sex) string {
	switch s {
	case geometry.Female:
		return "female"
	case geometry.Male:
		return "male"
	}
	return ""
}

// dropIdleStudents removes students whose last lesson went to another name, as
// when a misspelt one is put right.
func dropIdleStudents(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM student WHERE NOT EXISTS (SELECT 1 FROM lesson WHERE student = student.key OR own = student.key)
		AND NOT EXISTS (SELECT 1 FROM target_set WHERE student = student.key) AND NOT EXISTS (SELECT 1 FROM student AS other WHERE other.joined = student.key)`)
	return err
}
