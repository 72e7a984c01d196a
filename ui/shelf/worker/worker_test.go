package worker

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/ui/fault"
)

// told collects what a worker tells.
type told struct {
	mu      sync.Mutex
	trouble []string
	faults  []*fault.Error
}

func (s *told) events(t *testing.T) Events {
	return Events{
		Opened: func(_ *library.Library, err error) { assert.NoError(t, err) },
		Trouble: func(text string, err error) {
			s.mu.Lock()
			defer s.mu.Unlock()
			s.trouble = append(s.trouble, text)
			if f, ok := err.(*fault.Error); ok {
				s.faults = append(s.faults, f)
			}
		},
		Changed: func() {},
	}
}

func (s *told) all() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.trouble...)
}

type measuring = func(context.Context, *annotations.Lesson, annotations.Options) ([]*annotations.Result, error)

// start starts a worker that measures in a way of the test's own.
func start(t *testing.T, folder string, s *told, m measuring) *Worker {
	ctx, stop := context.WithCancel(context.Background())
	w := newWorker(folder, s.events(t), stop)
	w.measure = m
	go w.run(ctx)
	t.Cleanup(w.Close)
	return w
}

// lesson writes a lesson with a mark, so that there is something to measure.
func lesson(t *testing.T, title string) (path string, l *annotations.Lesson) {
	t.Helper()
	l, _, err := annotations.Load("../../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l.ID, l.Title = title, title
	path = filepath.Join(t.TempDir(), title+".json")
	require.NoError(t, annotations.Save(path, l))
	return path, l
}

// answered asks for something and waits until it was done.
func answered(t *testing.T, w *Worker, job Job) {
	t.Helper()
	done := make(chan struct{})
	w.Ask(func(ctx context.Context, l *library.Library) {
		defer close(done)
		job(ctx, l)
	})
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("the worker did not answer")
	}
}

func lessons(t *testing.T, w *Worker) (n int) {
	answered(t, w, func(ctx context.Context, l *library.Library) {
		all, err := l.Lessons(ctx, library.Query{})
		assert.NoError(t, err)
		n = len(all)
	})
	return n
}

func TestPanicOfTheSolverEndsOneMeasuring(t *testing.T) {
	var s told
	var mu sync.Mutex
	tries := make(map[string]int)
	w := start(t, t.TempDir(), &s, func(_ context.Context, l *annotations.Lesson, _ annotations.Options) ([]*annotations.Result, error) {
		mu.Lock()
		defer mu.Unlock()
		tries[l.Title]++
		if l.Title == "bad" {
			panic("a matrix that is none")
		}
		return nil, nil
	})
	for _, title := range []string{"bad", "good"} {
		path, l := lesson(t, title)
		w.Touch(path, l, true, true)
	}
	require.Eventually(t, func() bool {
		mu.Lock()
		defer mu.Unlock()
		return tries["bad"] > 0 && tries["good"] > 0
	}, 20*time.Second, time.Millisecond)
	assert.Equal(t, 2, lessons(t, w), "questions are answered as before")
	assert.Equal(t, 2, lessons(t, w))
	require.Len(t, s.all(), 1, "it is told once, not at every question")
	assert.Equal(t, "The library could not measure the lesson Mara Lindqvist, 2026-05-02, bad, and goes on without", s.all()[0])
	require.Len(t, s.faults, 1, "with what a report needs")
	mu.Lock()
	defer mu.Unlock()
	assert.Equal(t, 1, tries["bad"])
}

func TestPanicOfAQuestionEndsNoMoreThanThat(t *testing.T) {
	var s told
	w := start(t, t.TempDir(), &s, annotations.EvaluateAll)
	w.Ask(func(context.Context, *library.Library) { panic("a slip") })
	assert.Equal(t, 0, lessons(t, w))
	assert.Len(t, s.all(), 1)
}

// TestNothingIsMeasuredWhileAQuestionWaits does the worker's steps by hand: a
// question comes after it was looked for one, and before the measuring begins.
func TestNothingIsMeasuredWhileAQuestionWaits(t *testing.T) {
	ctx := t.Context()
	var s told
	w := newWorker(t.TempDir(), s.events(t), func() {})
	var err error
	w.lib, err = library.Open(ctx, w.folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, w.lib.Close()) }()
	path, l := lesson(t, "marked")
	_, err = w.lib.Record(ctx, path, l, true)
	require.NoError(t, err)
	measured, asked := 0, 0
	w.measure = func(ctx context.Context, _ *annotations.Lesson, _ annotations.Options) ([]*annotations.Result, error) {
		measured++
		w.Ask(func(context.Context, *library.Library) { asked++ })
		require.Error(t, ctx.Err(), "a question breaks it off")
		return nil, ctx.Err()
	}
	job, path, _, _ := w.next()
	require.Nil(t, job)
	require.Empty(t, path)
	w.Ask(func(context.Context, *library.Library) { asked++ })
	require.True(t, w.measureNext(ctx))
	assert.Zero(t, measured, "the question comes first")

	require.True(t, w.step(ctx))
	assert.Equal(t, 1, asked)
	require.True(t, w.step(ctx))
	assert.Equal(t, 1, measured, "its turn comes after")
	require.True(t, w.step(ctx))
	assert.Equal(t, 2, asked, "one that comes meanwhile breaks it off")
	require.True(t, w.step(ctx))
	assert.Equal(t, 2, measured, "and then it begins anew")
}

// What the coach takes for decided is what lessons are judged by from then on.
func TestVerdictsCountFromWhatTheCoachSaid(t *testing.T) {
	var s told
	by := make(chan float64, 3)
	w := start(t, t.TempDir(), &s, func(_ context.Context, _ *annotations.Lesson, o annotations.Options) ([]*annotations.Result, error) {
		by <- o.Decided
		return nil, nil
	})
	for _, decided := range []float64{0.66, 0.95} {
		w.DecideFrom(decided)
		path, l := lesson(t, fmt.Sprint("judged from ", decided))
		w.Touch(path, l, true, true)
		select {
		case got := <-by:
			assert.InDelta(t, decided, got, 0)
		case <-time.After(20 * time.Second):
			t.Fatal("the lesson was not measured")
		}
	}
}

func TestMoveWaitsForWhatIsDoneBeside(t *testing.T) {
	var s told
	w := start(t, filepath.Join(t.TempDir(), "old"), &s, annotations.EvaluateAll)
	to := filepath.Join(t.TempDir(), "new")
	began, goOn, beside := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	path, l := lesson(t, "imported")
	go func() {
		beside <- w.Beside(context.Background(), func(ctx context.Context, lib *library.Library) error {
			close(began)
			<-goOn
			_, err := lib.Record(ctx, path, l, false)
			return err
		})
	}()
	<-began
	moved := make(chan error, 1)
	w.Move(to, func(err error) { moved <- err })
	for range 20 {
		assert.Equal(t, 0, lessons(t, w), "questions are answered meanwhile")
		time.Sleep(time.Millisecond)
	}
	select {
	case <-moved:
		t.Fatal("the library was moved from under an import")
	default:
	}
	close(goOn)
	require.NoError(t, <-beside)
	require.NoError(t, <-moved)
	assert.Equal(t, to, w.Folder())
	assert.Equal(t, 1, lessons(t, w), "what was imported is where the library is now")
	require.NoError(t, w.Beside(context.Background(), func(_ context.Context, lib *library.Library) error {
		assert.Equal(t, to, lib.Folder())
		return nil
	}))
	assert.Error(t, waitMove(w, filepath.Join(to, "inside")))
	assert.Equal(t, to, w.Folder(), "of a move that fails nothing changes")
	assert.Equal(t, 1, lessons(t, w))
}

func waitMove(w *Worker, to string) error {
	moved := make(chan error, 1)
	w.Move(to, func(err error) { moved <- err })
	return <-moved
}

func TestCloseRecordsWhatWaits(t *testing.T) {
	var s told
	folder := t.TempDir()
	w := start(t, folder, &s, annotations.EvaluateAll)
	path, l := lesson(t, "worked on")
	w.Touch(path, l, false, false)
	w.Close()
	lib, err := library.Open(t.Context(), folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, lib.Close()) }()
	n, err := lib.Count(t.Context())
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	assert.Empty(t, s.all())
	assert.Error(t, waitMove(w, filepath.Join(folder, "late")), "nothing moves after that")
}
