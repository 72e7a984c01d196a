package library

import (
	"context"
	"database/sql"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
)

// RecordMeasures keeps what was measured of the swings of a lesson, whose document
// had a fingerprint, as it is printed; where the lesson has changed since, it does
// nothing.
func (l *Library) RecordMeasures(ctx context.Context, key int64, sha string, results []*annotations.Result) error {
	now := millis(l.now())
	return l.change(ctx, "the measures can't be taken into the library", func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM lesson WHERE key = $1 AND sha256 = $2", key, sha).Scan(&n); err != nil || n == 0 {
			return err
		}
		t := terms{tx: tx, known: make(map[string]int64)}
		insert, err := tx.PrepareContext(ctx, insertMeasure)
		if err != nil {
			return err
		}
		defer func() { _ = insert.Close() }()
		for _, r := range results {
			if err := recordSwing(ctx, tx, insert, &t, key, sha, now, r); err != nil {
				return err
			}
		}
		return nil
	})
}

const insertMeasure = `INSERT INTO measure
	(swing, name, position, value, sd, low95, high95, unit, method, verdict, target_low, target_high, source, shared, lasting)
	VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
	ON CONFLICT (swing, name, position) DO UPDATE SET value = $4, sd = $5, low95 = $6, high95 = $7, unit = $8, method = $9,
		verdict = $10, target_low = $11, target_high = $12, source = $13, shared = $14, lasting = $15`

func recordSwing(ctx context.Context, tx *sql.Tx, insert *sql.Stmt, t *terms, lesson int64, sha string, now int64, r *annotations.Result) error {
	var swing int64
	if err := tx.QueryRowContext(ctx, "SELECT key FROM swing WHERE lesson = $1 AND id = $2", lesson, r.Swing().ID).Scan(&swing); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "DELETE FROM measure WHERE swing = $1", swing); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO measured (swing, sha256, at) VALUES ($1, $2, $3)
		ON CONFLICT (swing) DO UPDATE SET sha256 = $2, at = $3`, swing, sha, now); err != nil {
		return err
	}
	for i := range r.Measures {
		m := r.Measures[i].Rounded()
		var low, high, source any
		if m.Target != nil {
			source = t.key(ctx, m.Target.Source)
			if v := m.Target.Range.Low; !math.IsInf(v, 0) {
				low = v
			}
			if v := m.Target.Range.High; !math.IsInf(v, 0) {
				high = v
			}
		}
		args := []any{swing, t.key(ctx, m.Name), t.key(ctx, string(m.Position)), m.Value, m.Sigma, m.Low95, m.High95,
			t.key(ctx, string(m.Unit)), t.key(ctx, m.Method), t.key(ctx, string(m.Verdict)), low, high, source,
			annotations.Rounded(m.Shared), annotations.Rounded(m.Lasting)}
		if t.err != nil {
			return t.err
		}
		if _, err := insert.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	return nil
}

// terms finds the keys of words, adding those that are new. Its first error
// stays.
type terms struct {
	tx    *sql.Tx
	known map[string]int64
	err   error
}

func (t *terms) key(ctx context.Context, text string) int64 {
	k, ok := t.known[text]
	if ok || t.err != nil {
		return k
	}
	t.err = t.tx.QueryRowContext(ctx, "INSERT INTO term (text) VALUES ($1) ON CONFLICT (text) DO UPDATE SET text = $1 RETURNING key", text).Scan(&k)
	t.known[text] = k
	return k
}

// Unmeasured lists the marked lessons whose measures are not known, or are not
// those of the document as it was recorded.
func (l *Library) Unmeasured(ctx context.Context) ([]Entry, error) {
	var out []Entry
	err := l.query(ctx, "the lessons can't be listed", "SELECT "+entryColumns+`WHERE lesson.deleted IS NULL AND lesson.marks > 0 AND EXISTS (
		SELECT 1 FROM swing LEFT JOIN measured ON measured.swing = swing.key
		WHERE swing.lesson = lesson.key AND swing.marks > 0 AND coalesce(measured.sha256, '') <> lesson.sha256)`, nil, func(r *sql.Rows) error {
		e, err := scanEntry(r)
		out = append(out, e)
		return err
	})
	return out, err
}

// Value is a measure of one lesson as it is known to the library: of one swing, or the
// mean over several that were swung alike.
type Value struct {
	Lesson   int64
	Path     string
	Date     string
	Title    string
	Swing    string // ID, of the first
	Swings   int    // how many it is the mean of
	Tried    string // what was tried in them; "" for the usual swing
	Club     string
	Name     string
	Position geometry.PositionName
	Unit     geometry.Unit
	Value    float64
	SD       float64
	Low95    float64
	High95   float64
	Method   string
	// Target is the range that it was judged against then, nil for none.
	Target  *geometry.Range
	Source  string // of the range
	Verdict geometry.Verdict
	// Change is since the value before, nil for the first.
	Change *geometry.Change

	key             int64 // of the swing
	group           string
	id              string // of the lesson's document
	shared, lasting float64
	visit           geometry.Visit // of the swings that it is the mean of
}

// Measure names a measure at a key position.
type Measure struct {
	Name     string
	Position geometry.PositionName
	Unit     geometry.Unit
	Lessons  int // how many lessons of the student have it
	Target   bool
}

const valueColumns = `
	lesson.key, lesson.path, lesson.date, lesson.title, lesson.id, swing.key, swing.id, swing.club, swing.club_group,
	swing.tried, m.shared, m.lasting, n.text, p.text, u.text, m.value, m.sd, m.low95, m.high95, w.text, m.target_low, m.target_high, coalesce(s.text, ''), v.text
	FROM measure m JOIN swing ON swing.key = m.swing JOIN lesson ON lesson.key = swing.lesson
	JOIN term n ON n.key = m.name JOIN term p ON p.key = m.position JOIN term u ON u.key = m.unit
	JOIN term w ON w.key = m.method JOIN term v ON v.key = m.verdict LEFT JOIN term s ON s.key = m.source `

func scanValue(r *sql.Rows) (Value, error) {
	var v Value
	var low, high *float64
	var source string
	err := r.Scan(&v.Lesson, &v.Path, &v.Date, &v.Title, &v.id, &v.key, &v.Swing, &v.Club, &v.group,
		&v.Tried, &v.shared, &v.lasting, &v.Name, &v.Position, &v.Unit, &v.Value, &v.SD, &v.Low95, &v.High95, &v.Method, &low, &high, &source, &v.Verdict)
	if low != nil || high != nil {
		t := geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
		if low != nil {
			t.Low = *low
		}
		if high != nil {
			t.High = *high
		}
		v.Target, v.Source = &t, source
	}
	v.Swings, v.visit = 1, geometry.Visit{v.occasion()}
	return v, err
}

// MeasuresOf lists what was measured of a student's lessons, in the order of the
// definitions and key positions.
func (l *Library) MeasuresOf(ctx context.Context, student int64) ([]Measure, error) {
	var out []Measure
	err := l.query(ctx, "the measures can't be listed", `
		SELECT n.text, p.text, u.text, count(DISTINCT lesson.key), count(m.target_low) + count(m.target_high) > 0
		FROM lesson JOIN swing ON swing.lesson = lesson.key JOIN measure m ON m.swing = swing.key
		JOIN term n ON n.key = m.name JOIN term p ON p.key = m.position JOIN term u ON u.key = m.unit
		WHERE lesson.student = $1 AND lesson.deleted IS NULL GROUP BY n.key, p.key, u.key`,
		[]any{student}, func(r *sql.Rows) error {
			var m Measure
			err := r.Scan(&m.Name, &m.Position, &m.Unit, &m.Lessons, &m.Target)
			out = append(out, m)
			return err
		})
	order := make(map[string]int)
	for i, d := range geometry.Definitions() {
		order[d.Name] = i
	}
	slices.SortStableFunc(out, func(a, b Measure) int {
		if c := order[a.Name] - order[b.Name]; c != 0 {
			return c
		}
		return slices.Index(geometry.KeyPositions, a.Position) - slices.Index(geometry.KeyPositions, b.Position)
	})
	return out, err
}
