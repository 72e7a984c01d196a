package library

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/shots"
)

// Record takes a lesson, as it stands in its document at path, into the library
// and keeps a copy of the document. A lesson whose document lay elsewhere and is
// not there any more is taken for moved. opened says that the coach has it open
// now.
func (l *Library) Record(ctx context.Context, path string, lesson *annotations.Lesson, opened bool) (key int64, err error) {
	const what = "the lesson can't be taken into the library"
	if path, err = filepath.Abs(path); err != nil {
		return 0, sentence(what, err)
	}
	data, err := lesson.Encode()
	if err != nil {
		return 0, sentence(what, err)
	}
	if l.readOnly {
		return 0, ErrReadOnly
	}
	sha, now := hashOf(data), l.now()
	var uid string
	err = l.change(ctx, what, func(tx *sql.Tx) error {
		row, err := find(ctx, tx, path, lesson.ID)
		if err != nil {
			return err
		}
		key, uid = row.key, row.uid
		if row.sha == sha && row.path == path && row.deleted == nil {
			at := any(nil)
			if opened {
				at = millis(now)
			}
			_, err = tx.ExecContext(ctx, "UPDATE lesson SET opened = coalesce($1, opened), recorded = $2 WHERE key = $3", at, millis(now), key)
			return err
		}
		if key == 0 {
			uid = annotations.NewID()
		}
		at := now
		if !opened && key != 0 {
			at = time.Time{}
		}
		key, err = index(ctx, tx, uid, path, lesson, sha, at, now)
		return err
	})
	if err != nil {
		return 0, err
	}
	if newest := l.newestCopy(uid); newest == "" || !l.sameCopy(newest, sha) {
		if err := l.keepCopy(uid, path, data); err != nil {
			return key, sentence("the lesson is in the library, but no copy of its document could be kept there", err)
		}
	}
	return key, nil
}

func (l *Library) newestCopy(uid string) string {
	dir := filepath.Join(l.copies(), uid)
	if days := daysOf(dir); len(days) > 0 {
		return filepath.Join(dir, days[len(days)-1])
	}
	return ""
}

func (l *Library) sameCopy(file, sha string) bool {
	data, _, err := readCopy(file)
	return err == nil && hashOf(data) == sha
}

// found is a lesson's row as it is looked for by path and ID.
type found struct {
	key            int64
	uid, path, sha string
	deleted        *int64
}

// find looks for the row of a lesson's document: the one at its path, else the
// one with its ID whose own document is gone.
func find(ctx context.Context, tx *sql.Tx, path, id string) (found, error) {
	const columns = "SELECT key, uid, path, sha256, deleted FROM lesson WHERE "
	var f found
	scan := func(row interface{ Scan(...any) error }, f *found) error {
		return row.Scan(&f.key, &f.uid, &f.path, &f.sha, &f.deleted)
	}
	err := scan(tx.QueryRowContext(ctx, columns+"path = $1", path), &f)
	if err == nil || !errors.Is(err, sql.ErrNoRows) {
		return f, err
	}
	if id == "" {
		return found{}, nil
	}
	rows, err := tx.QueryContext(ctx, columns+"id = $1 AND deleted IS NULL ORDER BY opened DESC", id)
	if err != nil {
		return found{}, err
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		var f found
		if err := scan(rows, &f); err != nil {
			return found{}, err
		}
		if _, err := os.Stat(f.path); errors.Is(err, os.ErrNotExist) {
			return f, nil
		}
	}
	return found{}, rows.Err()
}

// indexAs indexes a lesson under a known name for its copies.
func (l *Library) indexAs(ctx context.Context, uid, path string, lesson *annotations.Lesson, sha string, at time.Time) error {
	tx, err := l.store.DB().BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if _, err = index(ctx, tx, uid, path, lesson, sha, at, at); err == nil {
		return tx.Commit()
	}
	_ = tx.Rollback()
	return err
}

// index writes a lesson's rows. opened is when the coach opened it, zero to
// leave that as it is.
func index(ctx context.Context, tx *sql.Tx, uid, path string, lesson *annotations.Lesson, sha string, opened, now time.Time) (key int64, err error) {
	own, student, err := studentOf(ctx, tx, uid, lesson)
	if err != nil {
		return 0, err
	}
	marks := 0
	var clubs []string
	for i := range lesson.Swings {
		s := &lesson.Swings[i]
		marks += len(s.Marks)
		if c := s.Club.Name; c != "" && !slices.Contains(clubs, c) {
			clubs = append(clubs, c)
		}
	}
	var at any
	if !opened.IsZero() {
		at = millis(opened)
	}
	err = tx.QueryRowContext(ctx, `
		INSERT INTO lesson (uid, id, path, student, title, date, coach, place, notes, marks, shots, clubs, sha256, opened, recorded, own, called)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, coalesce(CAST($14 AS BIGINT), $15), $15, $16, $17)
		ON CONFLICT (uid) DO UPDATE SET id = $2, path = $3, student = $4, title = $5, date = $6, coach = $7, place = $8, notes = $9,
			marks = $10, shots = $11, clubs = $12, sha256 = $13, opened = coalesce(CAST($14 AS BIGINT), lesson.opened), recorded = $15, deleted = NULL, origin = '', own = $16, called = $17
		RETURNING key`,
		uid, lesson.ID, path, student, lesson.Title, lesson.Date, lesson.Coach, lesson.Place, lesson.Notes, marks, len(lesson.Shots),
		strings.Join(clubs, ", "), sha, at, millis(now), own, nameKey(lesson.Student.Name)).Scan(&key)
	if err != nil {
		return 0, err
	}
	var findings []string
	ids := make([]any, 0, len(lesson.Swings)+1)
	ids = append(ids, key)
	for i := range lesson.Swings {
		if err := indexSwing(ctx, tx, key, i, filepath.Dir(path), &lesson.Swings[i]); err != nil {
			return 0, err
		}
		ids = append(ids, lesson.Swings[i].ID)
		for _, f := range lesson.Swings[i].Findings {
			findings = append(findings, f.Text)
		}
	}
	gone := "DELETE FROM swing WHERE lesson = $1 AND id NOT IN (''"
	for i := range lesson.Swings {
		gone += fmt.Sprintf(", $%d", i+2)
	}
	gone += ")"
	if _, err := tx.ExecContext(ctx, gone, ids...); err != nil {
		return 0, err
	}
	if err := indexPrescription(ctx, tx, key, &lesson.Prescription); err != nil {
		return 0, err
	}
	if err := indexShots(ctx, tx, key, lesson); err != nil {
		return 0, err
	}
	p := &lesson.Prescription
	findings = append(findings, p.Feel, p.Drill, p.FilmNext)
	findings = append(findings, p.SetUp...)
	if err := indexSearch(ctx, tx, key, lesson, findings); err != nil {
		return 0, err
	}
	return key, dropIdleStudents(ctx, tx)
}

func indexSwing(ctx context.Context, tx *sql.Tx, lesson int64, i int, folder string, s *annotations.Swing) error {
	var key int64
	err := tx.QueryRowContext(ctx, `
		INSERT INTO swing (lesson, ordinal, id, label, club, club_group, positions, marks, tried) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		ON CONFLICT (lesson, id) DO UPDATE SET ordinal = $2, label = $4, club = $5, club_group = $6, positions = $7, marks = $8, tried = $9 RETURNING key`,
		lesson, i, s.ID, s.Label, s.Club.Name, string(s.Club.Group()), len(s.Positions), len(s.Marks), s.Tried).Scan(&key)
	if err != nil {
		return err
	}
	for _, table := range []string{"clip", "finding"} {
		if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" WHERE swing = $1", key); err != nil {
			return err
		}
	}
	for _, c := range s.Clips {
		path := c.PathIn(folder)
		var bytes any
		if info, err := os.Stat(path); err == nil {
			bytes = info.Size()
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO clip (swing, id, view, path, sha256, bytes) VALUES ($1, $2, $3, $4, $5, $6)",
			key, c.ID, c.View.String(), path, c.SHA256, bytes); err != nil {
			return err
		}
	}
	for i, f := range s.Findings {
		var value, low, high any
		if f.Measure != "" {
			value, low, high = f.Value, f.Low95, f.High95
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO finding (swing, ordinal, text, measure, position, value, low95, high95, verdict) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
			key, i, f.Text, f.Measure, string(f.Position), value, low, high, string(f.Verdict)); err != nil {
			return err
		}
	}
	return nil
}

func indexPrescription(ctx context.Context, tx *sql.Tx, lesson int64, p *annotations.Prescription) error {
	if p.Empty() {
		_, err := tx.ExecContext(ctx, "DELETE FROM prescription WHERE lesson = $1", lesson)
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO prescription (lesson, set_up, feel, drill, film_next) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (lesson) DO UPDATE SET set_up = $2, feel = $3, drill = $4, film_next = $5`,
		lesson, strings.Join(p.SetUp, "\n"), p.Feel, p.Drill, p.FilmNext)
	return err
}

func indexShots(ctx context.Context, tx *sql.Tx, lesson int64, l *annotations.Lesson) error {
	if _, err := tx.ExecContext(ctx, "DELETE FROM shot_summary WHERE lesson = $1", lesson); err != nil {
		return err
	}
	for _, block := range l.Shots.Blocks() {
		for _, r := range shots.Readings {
			values := l.Shots.Of(block, r.Name)
			if len(values) == 0 {
				continue
			}
			mean, sd := meanOf(values)
			if _, err := tx.ExecContext(ctx, "INSERT INTO shot_summary (lesson, block, reading, shots, mean, sd) VALUES ($1, $2, $3, $4, $5, $6)",
				lesson, block, string(r.Name), len(values), mean, sd); err != nil {
				return err
			}
		}
	}
	return nil
}

// meanOf returns the mean of values and their standard deviation, nil for one.
func meanOf(values []float64) (mean float64, sd any) {
	n := float64(len(values))
	for _, v := range values {
		mean += v / n
	}
	if len(values) < 2 {
		return mean, nil
	}
	sum := 0.0
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sum / (n - 1))
}

func indexSearch(ctx context.Context, tx *sql.Tx, key int64, l *annotations.Lesson, findings []string) error {
	tags, err := tagsOf(ctx, tx, key)
	if err != nil {
		return err
	}
	title := []string{l.Title, l.Date, l.Place, l.Coach}
	for i := range l.Swings {
		title = append(title, l.Swings[i].Label, l.Swings[i].Tried, l.Swings[i].Club.Name)
	}
	for _, r := range l.Reviews { // a search for "review" finds lessons that were talked through
		title = append(title, "review", r.Title)
		for _, c := range r.Captions {
			findings = append(findings, c.Text)
		}
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM search WHERE rowid = $1", key); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO search (rowid, student, title, tags, notes, findings) VALUES ($1, $2, $3, $4, $5, $6)",
		key, fold(l.Student.Name), fold(strings.Join(title, " ")), fold(strings.Join(tags, " ")), fold(l.Notes+" "+l.Question), fold(strings.Join(findings, " ")))
	return err
}

// Refresh reads documents that were changed by other programs since they were
// recorded, and returns how many.
func (l *Library) Refresh(ctx context.Context) (changed int, err error) {
	list, err := l.Lessons(ctx, Query{})
	if err != nil || l.readOnly {
		return 0, err
	}
	for _, e := range list {
		info, err := os.Stat(e.Path)
		if err != nil || !info.ModTime().After(e.Recorded) {
			continue
		}
		lesson, _, err := annotations.Load(e.Path)
		if err != nil {
			continue // its opening says why; the copy stays
		}
		if _, err := l.Record(ctx, e.Path, lesson, false); err != nil {
			return changed, err
		}
		changed++
	}
	return changed, ctx.Err()
}
