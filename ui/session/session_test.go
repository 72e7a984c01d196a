package session

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/saver"
	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/ui/bench"
	"turngauge/video"
)

// bed is a window's goroutine without a window.
type bed struct {
	t      *testing.T
	env    Env
	woken  chan struct{}
	notes  []bench.Note
	alerts []string
	edited int
}

func newBed(t *testing.T) *bed {
	b := &bed{t: t, woken: make(chan struct{}, 1)}
	b.env = Env{
		Work: &Work{Alert: func(text string) { b.alerts = append(b.alerts, text) }, Faults: t.TempDir()},
		Tell: func(n bench.Note) {
			if n != "" {
				b.notes = append(b.notes, n)
			}
		},
		Budget: video.NewBudget(64 << 20),
		Terms:  func() Terms { return Terms{Targets: annotations.DefaultTargets(), Rules: annotations.DefaultRules()} },
		Edited: func(string, *annotations.Lesson) { b.edited++ },
	}
	b.env.Wake = func() {
		select {
		case b.woken <- struct{}{}:
		default:
		}
	}
	return b
}

// open opens a lesson that is saved first.
func (b *bed) open(l *annotations.Lesson) *Session {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), "lesson.json")
	require.NoError(b.t, annotations.Save(path, l))
	s, err := Open(&b.env, path, func() (*annotations.Lesson, error) {
		l, _, err := annotations.Load(path)
		return l, err
	})
	require.NoError(b.t, err)
	b.t.Cleanup(func() {
		if !s.Closed() {
			assert.NoError(b.t, s.Close())
		}
	})
	s.Send()
	return s
}

// until runs what is posted until something is so.
func (b *bed) until(what string, s *Session, so func() bool) {
	b.t.Helper()
	deadline := time.After(20 * time.Second)
	for {
		b.env.Run()
		s.Update()
		if so() {
			return
		}
		select {
		case <-b.woken:
		case <-time.After(20 * time.Millisecond):
		case <-deadline:
			b.t.Fatalf("waited in vain for %s", what)
		}
	}
}

// marked is a lesson of one marked swing, without files of its clips.
func marked(t *testing.T) *annotations.Lesson {
	t.Helper()
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	for i := range l.Swings[0].Clips {
		l.Swings[0].Clips[i].File = ""
	}
	return l
}

// The document is this window's before it is read: what another window saves
// would be overwritten without a word if it came between the two.
func TestALessonIsLockedBeforeItIsRead(t *testing.T) {
	b := newBed(t)
	path := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, annotations.Save(path, marked(t)))
	read := false
	s, err := Open(&b.env, path, func() (*annotations.Lesson, error) {
		read = true
		_, err := saver.Open(path, nil)
		var held *saver.InUseError
		assert.ErrorAs(t, err, &held, "another window can't save while it is read")
		l, _, err := annotations.Load(path)
		return l, err
	})
	require.NoError(t, err)
	require.True(t, read)

	other := false
	_, err = Open(&b.env, path, func() (*annotations.Lesson, error) {
		other = true
		return nil, os.ErrNotExist
	})
	var held *saver.InUseError
	assert.ErrorAs(t, err, &held)
	assert.False(t, other, "what can't be saved is not read")
	require.NoError(t, s.Close())

	_, err = Open(&b.env, path, func() (*annotations.Lesson, error) { return nil, os.ErrNotExist })
	require.ErrorIs(t, err, os.ErrNotExist)
	s, err = Open(&b.env, path, func() (*annotations.Lesson, error) { return marked(t), nil })
	require.NoError(t, err, "a lesson that can't be read is let go of")
	require.NoError(t, s.Close())
}

// Two swings of a lesson have one revision: a fit of the one must not be shown
// as that of the other when it is late.
func TestALateFitOfAnotherSwingIsNotShown(t *testing.T) {
	b := newBed(t)
	l := marked(t)
	second := l.Swings[0]
	second.ID, second.Marks = "second", nil
	l.Swings = append(l.Swings, second)
	s := b.open(l)
	first := s.Bench.Swing().ID
	b.until("the first fit", s, func() bool { return len(s.Result.Measures) > 0 })
	late := s.Result
	following, cancel := context.WithCancel(t.Context())
	s.follow.cancel = cancel
	s.ShowSwing("second")
	assert.Error(t, following.Err(), "marks are not followed into another swing")
	require.Equal(t, late.Revision, s.Bench.Editor().Revision())
	s.fitDone(late)
	assert.Empty(t, s.Result.Measures, "numbers of %s under %s", first, s.Bench.Swing().ID)
	b.until("its own fit", s, func() bool { return s.Result.Sheet != nil })
	assert.Equal(t, "second", s.Result.Swing)
	assert.Empty(t, s.Result.Measures)
}

// A fit that ends between taking its swing out of the lesson and the next frame is let go.
func TestALateFitOfASwingThatIsGone(t *testing.T) {
	b := newBed(t)
	l := marked(t)
	second := l.Swings[0]
	second.ID, second.Clips, second.Marks, second.Positions = "second", nil, nil, nil
	l.Swings = append(l.Swings, second)
	s := b.open(l)
	b.until("the first fit", s, func() bool { return len(s.Result.Measures) > 0 })
	late := s.Result
	late.Measures = nil
	require.NoError(t, s.Bench.Editor().Apply(annotations.RemoveSwing{Swing: late.Swing}))
	require.Nil(t, s.Bench.Swing())
	s.fitDone(late)
	assert.NotEmpty(t, s.Result.Measures, "what was shown stays")
}

func TestAMistakeInTheFitLeavesTheNextOneToBeMade(t *testing.T) {
	b := newBed(t)
	s := b.open(marked(t))
	b.until("the first fit", s, func() bool { return s.Result.Sheet != nil })
	s.fitter.request(request{lesson: s.Bench.Lesson(), swing: s.Bench.Swing().ID, revision: 1 << 40, Terms: Terms{
		Targets: annotations.Targets{{}}, Rules: annotations.Rules{{}}}, visit: []*annotations.Result{{}}})
	s.fitter.request(request{lesson: annotations.NewLesson(), swing: s.Bench.Swing().ID, revision: 1 << 40})
	b.until("the coach to be told", s, func() bool { return len(b.alerts) > 0 })
	assert.Contains(t, b.alerts[0], "Measuring failed")
	assert.Contains(t, s.Result.Problem, "Undo the last change")

	b.env.Run()
	s.SolveAnew()
	b.until("another fit", s, func() bool { return s.Result.Problem == "" })
	assert.NotEmpty(t, s.Result.Measures)
}

func TestAdviceGivesWayToANewerFit(t *testing.T) {
	l := marked(t)
	_, more := solve(context.Background(), fit.NewSolver(), &request{lesson: l, swing: l.Swings[0].ID})
	require.NotNil(t, more)
	_, ok := more.advise(func() bool { return true })
	assert.False(t, ok)
	_, ok = more.advise(func() bool { return false })
	assert.True(t, ok)
}

// Closing the lesson must not wait for advice that nobody will read.
func TestAdviceGivesWayToTheEnd(t *testing.T) {
	f := newFitter(&Mailbox{Wake: func() {}}, func(Result) {}, func(advised) {}, nil)
	ctx, cancel := context.WithCancel(t.Context())
	assert.False(t, f.overtaken(ctx))
	cancel()
	assert.True(t, f.overtaken(ctx))
	f.close()
}

func TestEveryEditIsSavedAndTold(t *testing.T) {
	b := newBed(t)
	s := b.open(marked(t))
	require.Zero(t, b.edited)
	require.NoError(t, s.Edit(annotations.SetHeading{Heading: annotations.Title, Text: "Said anew"}))
	s.Update()
	s.Update()
	assert.Equal(t, 1, b.edited)
	require.NoError(t, s.Close())
	l, _, err := annotations.Load(s.Path)
	require.NoError(t, err)
	assert.Equal(t, "Said anew", l.Title)
}

// What comes back after the lesson was closed is dropped.
func TestNothingComesBackToAClosedLesson(t *testing.T) {
	b := newBed(t)
	s := b.open(marked(t))
	s.CompareWith(s.Path, marked(t), s.Bench.Swing().ID)
	require.NoError(t, s.Close())
	time.Sleep(50 * time.Millisecond)
	b.env.Run()
	assert.Nil(t, s.Result.Sheet)
	assert.False(t, s.Other.Measured)
}

func TestTheOtherSwingIsMeasuredAndPutAway(t *testing.T) {
	b := newBed(t)
	s := b.open(marked(t))
	s.CompareWith("elsewhere.json", marked(t), s.Bench.Swing().ID)
	b.until("the other swing", s, func() bool { return s.Other.Measured && s.Result.Sheet != nil && s.Result.Sheet.Compared })
	assert.NotEmpty(t, s.Other.Result.Values())
	assert.NotNil(t, s.Other.PointsAt(geometry.Address))
	s.StartComparing()
	assert.Equal(t, &s.Comparing.Show, s.Show())
	assert.NotEmpty(t, s.Trouble(1), "it has no file")
	s.CompareWithNone()
	assert.Nil(t, s.Comparing)
	b.until("the sheet without it", s, func() bool { return !s.Result.Sheet.Compared })
}
