package library

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
	"unicode/utf8"
)

// maxTag is how many letters a tag may have, and maxTags how many a lesson.
const maxTag, maxTags = 60, 50

type queryer interface {
	QueryContext(ctx context.Context, q string, args ...any) (*sql.Rows, error)
}

func tagsOf(ctx context.Context, q queryer, lesson int64) ([]string, error) {
	rows, err := q.QueryContext(ctx, "SELECT name FROM tag WHERE lesson = $1 ORDER BY folded", lesson)
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	var out []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		out = append(out, name)
	}
	return out, rows.Err()
}

// SetTags replaces the tags of a lesson. Tags that differ in case only are one;
// empty ones are none.
func (l *Library) SetTags(ctx context.Context, key int64, tags []string) error {
	const what = "the tags can't be kept"
	var clean []string
	for _, t := range tags {
		t = strings.Join(strings.Fields(t), " ")
		same := func(other string) bool { return nameKey(other) == nameKey(t) }
		if t != "" && !slices.ContainsFunc(clean, same) {
			clean = append(clean, t)
		}
		if utf8.RuneCountInString(t) > maxTag {
			return errors.New(what + ": a tag has at most 60 letters; put more into the lesson's notes")
		}
	}
	if len(clean) > maxTags {
		return errors.New(what + ": a lesson has at most 50 tags")
	}
	return l.change(ctx, what, func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM lesson WHERE key = $1", key).Scan(&n); err != nil {
			return err
		}
		if n == 0 {
			return ErrNotFound
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM tag WHERE lesson = $1", key); err != nil {
			return err
		}
		for _, t := range clean {
			if _, err := tx.ExecContext(ctx, "INSERT INTO tag (lesson, folded, name) VALUES ($1, $2, $3)", key, nameKey(t), t); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, "UPDATE search SET tags = $1 WHERE rowid = $2", fold(strings.Join(clean, " ")), key)
		return err
	})
}

// Tag is a tag and how many lessons have it.
type Tag struct {
	Name    string
	Lessons int
}

// Tags lists all tags, the most used first.
func (l *Library) Tags(ctx context.Context) ([]Tag, error) {
	var out []Tag
	err := l.query(ctx, "the tags can't be read",
		`SELECT max(tag.name), count(*) AS n FROM tag JOIN lesson ON lesson.key = tag.lesson WHERE lesson.deleted IS NULL GROUP BY folded ORDER BY n DESC, folded`,
		nil, func(r *sql.Rows) error {
			var t Tag
			err := r.Scan(&t.Name, &t.Lessons)
			out = append(out, t)
			return err
		})
	return out, err
}
