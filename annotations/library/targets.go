package library

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"time"

	"turngauge/annotations"
	"turngauge/geometry"
)

// TargetSet is one version of the coach's own target ranges, or of those for a
// student. Versions are never changed: a verdict keeps the range that it was
// given with (see [Value.Target]), and the set of its day can be looked up.
type TargetSet struct {
	Student int64 // 0 for the coach's own
	Version int   // from 1
	Made    time.Time
	Ranges  annotations.Targets
}

const targetColumns = "SELECT coalesce(student, 0), version, made, ranges FROM target_set WHERE coalesce(student, 0) = $1 ORDER BY version DESC"

// TargetSets lists the versions of the coach's own ranges (student 0) or of those
// for a student, newest first.
func (l *Library) TargetSets(ctx context.Context, student int64) ([]TargetSet, error) {
	return l.targetSets(ctx, student, targetColumns)
}

// TargetSet returns the newest version; ok is false where there is none.
func (l *Library) TargetSet(ctx context.Context, student int64) (s TargetSet, ok bool, err error) {
	list, err := l.targetSets(ctx, student, targetColumns+" LIMIT 1")
	if err != nil || len(list) == 0 {
		return s, false, err
	}
	return list[0], true, nil
}

func (l *Library) targetSets(ctx context.Context, student int64, q string) ([]TargetSet, error) {
	var out []TargetSet
	err := l.query(ctx, "the target ranges can't be read", q, []any{student}, func(r *sql.Rows) error {
		var s TargetSet
		var made int64
		var ranges string
		if err := r.Scan(&s.Student, &s.Version, &made, &ranges); err != nil {
			return err
		}
		s.Made = time.UnixMilli(made)
		err := json.Unmarshal([]byte(ranges), &s.Ranges)
		out = append(out, s)
		return err
	})
	return out, err
}

// SetTargets makes ranges the newest version of the coach's own (student 0) or of
// those for a student. Ranges that are the same as before make no version.
func (l *Library) SetTargets(ctx context.Context, student int64, ranges annotations.Targets) error {
	data, err := json.Marshal(ranges)
	if err != nil {
		return sentence("the target ranges can't be kept", err)
	}
	var key any
	if student != 0 {
		key = student
	}
	return l.change(ctx, "the target ranges can't be kept", func(tx *sql.Tx) error {
		var version int
		var old string
		err := tx.QueryRowContext(ctx, "SELECT version, ranges FROM target_set WHERE coalesce(student, 0) = $1 ORDER BY version DESC LIMIT 1", student).Scan(&version, &old)
		if err != nil && err != sql.ErrNoRows {
			return err
		}
		if err == nil && old == string(data) {
			return nil
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO target_set (student, version, made, ranges) VALUES ($1, $2, $3, $4)", key, version+1, millis(l.now()), string(data))
		return err
	})
}

// Targets puts the ranges that count for a student in order: the program's, then
// the coach's own from the library, then those for the student (0 for none). See
// annotations.Targets.Find.
func (l *Library) Targets(ctx context.Context, base annotations.Targets, student int64) (annotations.Targets, error) {
	out := append(annotations.Targets(nil), base...)
	for i, of := range []int64{0, student} {
		if i == 1 && of == 0 {
			continue
		}
		s, ok, err := l.TargetSet(ctx, of)
		if err != nil {
			return base, err
		}
		if ok {
			out = Override(out, s.Ranges)
		}
	}
	return out, nil
}

// Override puts ranges before others: of those, the ones that an own range
// covers are left out, also where they are for fewer clubs.
func Override(base, own annotations.Targets) annotations.Targets {
	covered := func(b annotations.Target) bool {
		return slices.ContainsFunc(own, func(o annotations.Target) bool {
			return o.Measure == b.Measure && (o.Position == "" || o.Position == b.Position) &&
				(o.Clubs == annotations.AnyClub || o.Clubs == b.Clubs) && (o.Sex == geometry.SexUnset || o.Sex == b.Sex)
		})
	}
	out := slices.DeleteFunc(slices.Clone(base), covered)
	return append(out, own...)
}
