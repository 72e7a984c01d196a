package library

import (
	"context"
	"database/sql"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/geometry"
)

// DueAfter is after how long without a lesson a student with a prescription is
// due to have it checked: four weeks (common practice, no source).
const DueAfter = 28 * 24 * time.Hour

// Student is a student of the library with what has come of the lessons.
type Student struct {
	Key  int64
	ID   string // "" while no document has one
	Name string
	// Photo is a picture's file, "" for none.
	Photo, Handicap, Contact string
	// Shared says that another student has the name.
	Shared  bool
	Handed  string // "right" or "left"
	Lessons int
	Last    string // date of the last lesson; "" where none has one
	LastKey int64  // that lesson
	// LastPath is where its document is, and LastSHA256 tells its content.
	LastPath, LastSHA256 string
	// Prescribed says that the last lesson prescribes something.
	Prescribed bool
	// Measured counts the lessons with measures.
	Measured int
	// Compared says that two lessons were measured, and the next two count the
	// measures with a target range whose change between the last two is real:
	// closer to the range, and farther from it.
	Compared         bool
	Closer, Farther  int
	Since            string // date of the lesson that the last is compared with
	folded, lastSort string
}

// Due reports whether a student's prescription waits for its check: the last
// lesson prescribes something and was longer ago than DueAfter.
func (s *Student) Due(now time.Time) bool {
	day, err := time.ParseInLocation(time.DateOnly, s.Last, now.Location())
	return err == nil && s.Prescribed && now.Sub(day) >= DueAfter
}

// Students lists the students with lessons that match a query, by name. The
// counts are over all their lessons.
func (l *Library) Students(ctx context.Context, q Query) ([]Student, error) {
	where, args := l.narrowed(q)
	var out []Student
	err := l.query(ctx, "the students can't be listed", `
		WITH wanted AS MATERIALIZED (SELECT DISTINCT student FROM lesson WHERE deleted IS NULL AND student IS NOT NULL`+where+`)
		SELECT student.key, student.id, student.name, student.photo, student.handicap, student.contact,
			EXISTS (SELECT 1 FROM student AS other WHERE other.named = student.named AND other.key <> student.key AND other.joined IS NULL),
			student.folded, student.handed,
			(SELECT count(*) FROM lesson WHERE lesson.student = student.key AND deleted IS NULL),
			last.date, last.key, last.path, last.sha256, EXISTS (SELECT 1 FROM prescription WHERE prescription.lesson = last.key)
		FROM wanted CROSS JOIN student CROSS JOIN lesson AS last WHERE student.key = wanted.student AND last.key =
			(SELECT key FROM lesson WHERE lesson.student = student.key AND deleted IS NULL ORDER BY date DESC, recorded DESC LIMIT 1)`, args, func(r *sql.Rows) error {
		var s Student
		err := r.Scan(&s.Key, &s.ID, &s.Name, &s.Photo, &s.Handicap, &s.Contact, &s.Shared, &s.folded, &s.Handed, &s.Lessons, &s.Last, &s.LastKey, &s.LastPath, &s.LastSHA256, &s.Prescribed)
		if s.Photo != "" {
			s.Photo = filepath.Join(l.photos(), s.Photo)
		}
		out = append(out, s)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i := range out {
		out[i].lastSort = fold(out[i].Name)
	}
	slices.SortFunc(out, func(a, b Student) int { return strings.Compare(a.lastSort, b.lastSort) })
	return out, nil
}

// Improvement adds to students what changed for real between their last two
// measured lessons.
func (l *Library) Improvement(ctx context.Context, students []Student) error {
	for i := range students {
		if err := l.improvement(ctx, &students[i]); err != nil {
			return err
		}
	}
	return nil
}

func (l *Library) improvement(ctx context.Context, s *Student) error {
	// All values that have a range, for how far his swings differ; and the last two days
	// with a measured lesson, which are compared.
	var values []Value
	err := l.query(ctx, "the improvement can't be read", "SELECT "+valueColumns+`
		WHERE lesson.student = $1 AND lesson.deleted IS NULL AND (m.target_low IS NOT NULL OR m.target_high IS NOT NULL)
		ORDER BY n.text, p.text, lesson.date, lesson.recorded, swing.ordinal`, []any{s.Key}, func(r *sql.Rows) error {
		v, err := scanValue(r)
		values = append(values, v)
		return err
	})
	if err != nil || len(values) == 0 {
		return err
	}
	var days []int64
	err = l.query(ctx, "the improvement can't be read", `SELECT key FROM lesson WHERE student = $1 AND deleted IS NULL
		AND EXISTS (SELECT 1 FROM swing JOIN measured ON measured.swing = swing.key WHERE swing.lesson = lesson.key AND swing.marks > 0)
		ORDER BY date DESC, recorded DESC LIMIT 2`, []any{s.Key}, func(r *sql.Rows) error {
		var key int64
		err := r.Scan(&key)
		days = append(days, key)
		return err
	})
	if err != nil || len(days) < 2 {
		return err
	}
	for i := 0; i < len(values); {
		end := i + 1
		for end < len(values) && values[end].Name == values[i].Name && values[end].Position == values[i].Position {
			end++
		}
		s.count(visitsOf(values[i:end]), days[1], days[0])
		i = end
	}
	return nil
}

// count counts one measure, of which there are a student's values, if it has changed
// from one lesson to another.
func (s *Student) count(values []Value, earlier, later int64) {
	at := func(lesson int64) int {
		return slices.IndexFunc(values, func(v Value) bool { return v.Lesson == lesson })
	}
	old, now := at(earlier), at(later)
	if old < 0 {
		return
	}
	s.Compared, s.Since = true, values[old].Date
	if now < 0 {
		return
	}
	if c := changeBetween(values, old, now); c.Real {
		target := *values[now].Target
		switch a, z := outside(c.Earlier.Value, target), outside(c.Later.Value, target); {
		case z < a:
			s.Closer++
		case z > a:
			s.Farther++
		}
	}
}

// outside is how far a value lies outside a range.
func outside(v float64, r geometry.Range) float64 { return max(r.Low-v, v-r.High, 0) }
