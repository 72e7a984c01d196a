package library

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// benchLessons is how many lessons the benchmarks' library holds: those of a
// busy coach in some years.
const benchLessons = 5000

var big struct {
	sync.Once
	folder string
}

// bigLibrary makes a library of 5,000 lessons of 500 students, with 170 measures
// each, once for all benchmarks. The rows are written without copies and with
// one transaction for a hundred lessons, to be done in time.
func bigLibrary(b *testing.B) string {
	b.Helper()
	big.Do(func() {
		ctx := context.Background()
		dir, err := os.MkdirTemp("", "turngauge-bench-")
		require.NoError(b, err)
		l, err := Open(ctx, dir)
		require.NoError(b, err)
		names := []string{"Mara", "Bjørn", "Zoë", "Łukasz", "Ines", "Tomás", "Åsa", "Émile", "Nora", "Ilse"}
		r := rand.New(rand.NewPCG(1, 2))
		results := benchResult()
		for from := 0; from < benchLessons; from += 100 {
			tx, err := l.store.DB().BeginTx(ctx, nil)
			require.NoError(b, err)
			t := terms{tx: tx, known: map[string]int64{}}
			insert, err := tx.PrepareContext(ctx, insertMeasure)
			require.NoError(b, err)
			for i := from; i < from+100; i++ {
				lesson := generated(i)
				lesson.Student.Name = fmt.Sprintf("%s Nummer%d", names[i%10], i%500)
				lesson.Date = day.AddDate(0, 0, -r.IntN(2000)).Format(dayFormat)
				lesson.Notes = "Worked on the turn; the wrist is better. Next time the driver from the mat."
				lesson.Swings[0].Marks = make([]annotations.Mark, 200)
				lesson.Swings[0].Findings = []annotations.Finding{{ID: "f", Text: "Your belt turns 31° to the top; we look for 40 to 60°."}}
				lesson.Prescription = annotations.Prescription{SetUp: []string{"Flare the lead foot by half a shoe."}, Feel: "belt to the target", Drill: "Chair"}
				key, err := index(ctx, tx, fmt.Sprintf("uid%d", i), fmt.Sprintf("/lessons/%d.json", i), lesson, "sha", day.Add(time.Duration(-i)*time.Hour), day)
				require.NoError(b, err)
				require.NoError(b, recordSwing(ctx, tx, insert, &t, key, "sha", 1, results[0]))
			}
			require.NoError(b, tx.Commit())
		}
		require.NoError(b, l.Close())
		big.folder = dir
	})
	require.NotEmpty(b, big.folder)
	return big.folder
}

func benchResult() []*annotations.Result {
	r := &annotations.Result{Lesson: &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}}}
	n := 0
	for _, p := range geometry.KeyPositions {
		for _, d := range geometry.Definitions() {
			if n++; n > 170 {
				break
			}
			m := annotations.Measured{Measure: geometry.Measure{Name: d.Name, Position: p, Unit: d.Unit, Value: float64(n), Sigma: 2,
				Low95: float64(n) - 4, High95: float64(n) + 4, Method: "joint fit, 2 views"}}
			if n%10 == 0 {
				m.JudgeBy(annotations.Target{Range: geometry.Range{Low: 40, High: 60}, Source: "a source of some length, as they are"}, 0)
			}
			r.Measures = append(r.Measures, m)
		}
	}
	return []*annotations.Result{r}
}

func BenchmarkLibrary(b *testing.B) {
	folder := bigLibrary(b)
	b.Cleanup(func() { _ = os.RemoveAll(folder) })
	ctx := context.Background()
	b.Run("open and list the last", func(b *testing.B) { // aim: below 300 ms
		for b.Loop() {
			l, err := Open(ctx, folder)
			require.NoError(b, err)
			list, err := l.Lessons(ctx, Query{Order: ByOpened, Limit: 50})
			require.NoError(b, err)
			require.Len(b, list, 50)
			require.NoError(b, l.Close())
		}
	})
	l, err := Open(ctx, folder)
	require.NoError(b, err)
	defer func() { _ = l.Close() }()
	for _, text := range []string{"l", "bjorn", "wrist driver", "nummer123"} { // aim: below 50 ms
		b.Run("search "+text, func(b *testing.B) {
			for b.Loop() {
				list, err := l.Lessons(ctx, Query{Text: text, Limit: 200})
				require.NoError(b, err)
				require.NotEmpty(b, list)
			}
		})
		b.Run("search students "+text, func(b *testing.B) {
			for b.Loop() {
				list, err := l.Students(ctx, Query{Text: text})
				require.NoError(b, err)
				require.NotEmpty(b, list)
			}
		})
	}
	students, err := l.Students(ctx, Query{})
	require.NoError(b, err)
	b.Run("progress of a student", func(b *testing.B) {
		for b.Loop() {
			v, err := l.Progress(ctx, students[0].Key, "pelvis turn", geometry.Address, annotations.AnyClub)
			require.NoError(b, err)
			_ = v
		}
	})
	b.Run("who improved, 500 students", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, l.Improvement(ctx, students))
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			replaced, err := l.Check(ctx)
			require.NoError(b, err)
			require.False(b, replaced)
		}
	})
	lesson := generated(1)
	n := 0
	b.Run("record a lesson", func(b *testing.B) {
		for b.Loop() {
			n++
			lesson.Notes = fmt.Sprint(n)
			_, err := l.Record(ctx, "/lessons/new.json", lesson, true)
			require.NoError(b, err)
		}
	})
}
