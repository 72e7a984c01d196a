package library

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"unicode/utf8"
)

// Drill is an exercise on the coach's shelf.
type Drill struct {
	Key     int64 // 0 for one that is not kept yet
	Name    string
	Text    string // what the student does
	Measure string // name of the measure that it is for; "" for any
	Used    int    // how often it was prescribed
}

// Prescribed is what stands in a prescription.
func (d *Drill) Prescribed() string {
	if d.Text == "" {
		return d.Name
	}
	return d.Name + ": " + d.Text
}

// Drills lists the shelf: those for a measure first where one is given, then the
// most used.
func (l *Library) Drills(ctx context.Context, measure string) ([]Drill, error) {
	var out []Drill
	err := l.query(ctx, "the drills can't be listed", `SELECT key, name, text, measure, used FROM drill WHERE deleted IS NULL
		ORDER BY ($1 <> '' AND measure = $1) DESC, used DESC, name`, []any{measure}, func(r *sql.Rows) error {
		var d Drill
		err := r.Scan(&d.Key, &d.Name, &d.Text, &d.Measure, &d.Used)
		out = append(out, d)
		return err
	})
	return out, err
}

// KeepDrill puts a drill on the shelf, or changes the one with its key, and
// returns its key.
func (l *Library) KeepDrill(ctx context.Context, d Drill) (key int64, err error) {
	d.Name = strings.TrimSpace(d.Name)
	switch {
	case d.Name == "":
		return 0, errors.New("the drill needs a name")
	case utf8.RuneCountInString(d.Name) > 100 || utf8.RuneCountInString(d.Text) > 800:
		return 0, errors.New("the drill is too long: a name has at most 100 letters, a text 800")
	}
	err = l.change(ctx, "the drill can't be kept", func(tx *sql.Tx) error {
		args := []any{d.Name, strings.TrimSpace(d.Text), d.Measure, millis(l.now())}
		if d.Key == 0 {
			return tx.QueryRowContext(ctx, "INSERT INTO drill (name, text, measure, changed) VALUES ($1, $2, $3, $4) RETURNING key", args...).Scan(&key)
		}
		return tx.QueryRowContext(ctx, `INSERT INTO drill (name, text, measure, changed, key) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (key) DO UPDATE SET name = $1, text = $2, measure = $3, changed = $4, deleted = NULL RETURNING key`,
			append(args, d.Key)...).Scan(&key)
	})
	return key, err
}

// DropDrill takes a drill off the shelf; KeepDrill with the same key puts it
// back.
func (l *Library) DropDrill(ctx context.Context, key int64) error {
	return l.change(ctx, "the drill can't be taken off the shelf", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE drill SET deleted = $1 WHERE key = $2", millis(l.now()), key)
		return err
	})
}

// UseDrill counts that a drill was prescribed.
func (l *Library) UseDrill(ctx context.Context, key int64) error {
	return l.change(ctx, "the drill can't be counted", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE drill SET used = used + 1 WHERE key = $1", key)
		return err
	})
}
