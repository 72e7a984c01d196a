package annotations

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// followedLesson keeps, for each measure of the top, a value shifted by part of its
// standard deviation and as sure as factor says.
func followedLesson(t *testing.T, shift, factor float64) (l *Lesson, alone *Result) {
	t.Helper()
	l = filmed(geometry.RightHanded)
	alone, err := Evaluate(context.Background(), l, 0, Options{})
	require.NoError(t, err)
	var list []geometry.Measure
	for _, m := range alone.Values() {
		if m.Position == geometry.Top {
			m.Value += shift * m.Sigma
			m.Sigma *= factor
			list = append(list, m)
		}
	}
	e := NewEditor(l)
	require.NoError(t, e.Learn(l.Swings[0].ID, NewFollowed(&alone.Problem, list, motion.Seen{Came: motion.ClothUsed, Frames: 40, Followed: 31})))
	return e.Lesson(), alone
}

func TestTheSurerNumberCounts(t *testing.T) {
	for _, c := range []struct {
		name          string
		shift, factor float64
		counts        bool
	}{
		{"surer", 0.5, 0.7, true},
		{"less sure, as after gaps", 0.5, 1.1, false},
		{"strayed", 2.2, 0.7, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, alone := followedLesson(t, c.shift, c.factor)
			data, err := l.Encode()
			require.NoError(t, err)
			l, warnings, err := Decode(data)
			require.NoError(t, err)
			assert.Empty(t, warnings)
			r, err := Evaluate(context.Background(), l, 0, Options{Targets: DefaultTargets()})
			require.NoError(t, err)
			n := 0
			for i := range r.Measures {
				m, was := &r.Measures[i], &alone.Measures[i]
				if m.Position != geometry.Top || !c.counts {
					assert.Equal(t, OnMarks, m.Basis)
					assert.Equal(t, was.Measure, m.Measure)
					continue
				}
				n++
				assert.Equal(t, OnFollowed, m.Basis, m.Name)
				assert.InDelta(t, was.Value+c.shift*was.Sigma, m.Value, 1e-4)
				assert.InDelta(t, c.factor*was.Sigma, m.Sigma, 1e-4)
				assert.Equal(t, was.Measure, *m.Alone)
				if m.Target != nil { // judged by the one number
					assert.Equal(t, geometry.Judge(m.Value, m.Sigma, m.Target.Range, 0), m.Judgement)
				}
			}
			assert.Equal(t, c.counts, n > 20)
			turn := r.Find("pelvis turn", geometry.Top)
			if c.counts {
				assert.Equal(t, &motion.Seen{Came: motion.ClothUsed, Frames: 40, Followed: 31}, turn.Cloth)
			} else {
				assert.Nil(t, turn.Cloth, "it rests on the marks")
			}
			assert.Nil(t, r.Find("torso turn", geometry.Top).Cloth)
			for _, m := range r.Report().Measures {
				assert.Equal(t, c.counts && m.Name == "pelvis turn" && m.Position == geometry.Top, strings.Contains(m.Clothes, "31 of 40"), m.Name)
			}
			again, err := Evaluate(context.Background(), l, 0, Options{MarksAlone: true})
			require.NoError(t, err)
			assert.Equal(t, alone.Values(), again.Values())
		})
	}
}

// TestTurnsStandOnOneBasis: a separation is the difference of the turns beside it.
func TestTurnsStandOnOneBasis(t *testing.T) {
	l, alone := followedLesson(t, 0.5, 0.7)
	f := *l.Swings[0].Followed
	f.Measures = append([]FollowedMeasure(nil), f.Measures...)
	for i := range f.Measures {
		if f.Measures[i].Name == "torso turn" {
			f.Measures[i].SD = 99
		}
	}
	e := NewEditor(l)
	require.NoError(t, e.Learn(l.Swings[0].ID, &f))
	r, err := Evaluate(context.Background(), e.Lesson(), 0, Options{})
	require.NoError(t, err)
	for _, name := range turns {
		assert.Equal(t, alone.Find(name, geometry.Top).Measure, r.Find(name, geometry.Top).Measure)
	}
	assert.Equal(t, OnFollowed, r.Find("forward bend", geometry.Top).Basis)
}

func TestWhatWasFollowedIsOfItsMarks(t *testing.T) {
	l, _ := followedLesson(t, 0.5, 0.7)
	e := NewEditor(l)
	basis := func() Basis {
		r, err := Evaluate(context.Background(), e.Lesson(), 0, Options{})
		require.NoError(t, err)
		return r.Find("pelvis turn", geometry.Top).Basis
	}
	require.Equal(t, OnFollowed, basis())
	require.NoError(t, e.Apply(SetHeading{Heading: Notes, Text: "a windy day"}))
	assert.Equal(t, OnFollowed, basis(), "a note moves no mark")
	m := l.Swings[0].Marks[0]
	m.At.X++
	require.NoError(t, e.Apply(SetMark{Swing: l.Swings[0].ID, Mark: m}))
	assert.Equal(t, OnMarks, basis(), "followed from another mark")
	_, ok := e.Undo()
	require.True(t, ok)
	assert.Equal(t, OnFollowed, basis())
}

// TestUndoKeepsWhatWasLearned: undo takes back what the coach did alone.
func TestUndoKeepsWhatWasLearned(t *testing.T) {
	l := filmed(geometry.RightHanded)
	e := NewEditor(l)
	require.NoError(t, e.Apply(SetHeading{Heading: Notes, Text: "a windy day"}))
	f := &Followed{Of: "1", Measures: []FollowedMeasure{{Name: "sway", Position: geometry.Top, Value: 1, SD: 1}}}
	require.NoError(t, e.Learn(l.Swings[0].ID, f))
	label, ok := e.Undo()
	require.True(t, ok)
	assert.Equal(t, "change notes", label)
	assert.Empty(t, e.Lesson().Notes)
	assert.Same(t, f, e.Lesson().Swings[0].Followed)
	_, ok = e.Redo()
	require.True(t, ok)
	assert.Same(t, f, e.Lesson().Swings[0].Followed)
	bad := &Followed{Of: "1", Measures: []FollowedMeasure{{Name: "sway", Position: geometry.Top, Value: 1, SD: math.NaN()}}}
	assert.ErrorContains(t, e.Learn(l.Swings[0].ID, bad), "swings[0].followed.measures[0].sd")
	assert.Same(t, f, e.Lesson().Swings[0].Followed)
}
