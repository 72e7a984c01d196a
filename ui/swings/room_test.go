package swings

import (
	"os"
	"slices"
	"strings"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/series/seriestest"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/session"
)

// opened is a window with the card open on a visit of four swings, all measured.
func opened(t *testing.T) (w *kittest.Window, r *Room, shown *[]string) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	l, _ = seriestest.Visit(l, 5, seriestest.Kind{Swings: 3, Turn: 38}, seriestest.Kind{Swings: 1, Tried: "lead foot turned in", Turn: 55})
	shown = new([]string)
	w = kittest.New(t, l, func(w *kittest.Window) kit.Room {
		r = New(w, Doors{
			Terms: func() session.Terms { return session.Terms{Targets: annotations.DefaultTargets()} },
			Show: func(swing, measure string, at geometry.PositionName) {
				*shown = append(*shown, swing+" "+measure+" "+string(at))
			},
		})
		return r
	})
	w.Key(key.NameF2, 0)
	w.Until("all swings", func() bool { return len(r.visit.results) == 4 && r.visit.waiting == 0 })
	return w, r, shown
}

func TestLookingAtTheSwingsOfAVisit(t *testing.T) {
	w, r, shown := opened(t)
	require.True(t, r.IsOpen())
	require.Len(t, r.visit.kinds, 2)
	for r.at != geometry.Top {
		w.Key(key.NamePageDown, 0)
	}
	for r.visit.rows[r.row].name != "pelvis turn" {
		before := r.row
		w.Key(key.NameRightArrow, 0)
		require.NotEqual(t, before, r.row, "there is a pelvis turn at the top")
	}
	m := &r.visit.rows[r.row]
	require.NotNil(t, m.means[0])
	assert.Nil(t, m.means[1], "one swing has no mean")
	assert.Contains(t, r.stripWords(m), "usual, mean of 3")

	w.Key("2", 0)
	w.Key("S", 0)
	order := r.order()
	for i := 1; i < len(order); i++ {
		assert.LessOrEqual(t, m.values[order[i-1]].Value, m.values[order[i]].Value)
	}
	w.Key("S", 0)
	assert.Equal(t, order[len(order)-1], r.order()[0])

	w.Key("M", 0) // the swing that turned most was that in which something was tried
	require.Len(t, *shown, 1)
	assert.Equal(t, "s4 pelvis turn top", (*shown)[0])
	assert.False(t, r.IsOpen())
	w.Key(key.NameF2, 0)
	w.Key("3", 0)
	w.Key(key.NameEnd, 0)
	w.Key(key.NameSpace, 0)
	w.Key(key.NameHome, 0)
	assert.Equal(t, [2]int{0, 3}, [2]int{r.cursor, r.second})
	at := r.at
	w.Key(key.NameRightArrow, 0)
	assert.NotEqual(t, at, r.at)
}

func TestSayingWhatWasTried(t *testing.T) {
	w, r, _ := opened(t)
	w.Key("4", 0)
	require.Len(t, r.visit.tries, 1)
	c, ok := r.visit.tries[0].Of("pelvis turn", geometry.Top, geometry.Degrees)
	require.True(t, ok)
	assert.Equal(t, "three swings, then one", words.SwingsOf(&c))
	for _, k := range []key.Name{key.NameHome, key.NameSpace, key.NameDownArrow, key.NameSpace} {
		w.Key(k, 0)
	}
	r.what.SetText("grip stronger")
	w.Frame()
	w.Click("Say so")
	l := w.Open.Bench.Lesson()
	assert.Equal(t, []string{"grip stronger", "grip stronger", "", "lead foot turned in"}, []string{l.Swings[0].Tried, l.Swings[1].Tried, l.Swings[2].Tried, l.Swings[3].Tried})
	w.Until("two kinds compared", func() bool { return len(r.visit.tries) == 2 })
	w.Key("Z", key.ModCtrl)
	assert.Contains(t, w.Ran, "undo")
}

// TestTeachingFromTheCard: hips of one swing were moved by hand, those of another are only
// proposed. The card offers to teach it, does so by key and by button, and takes it back.
func TestTeachingFromTheCard(t *testing.T) {
	w, r, _ := opened(t)
	assert.Empty(t, r.teaching.offer.Marks)
	s := r.host.Session()
	e := s.Bench.Editor()
	proposed := func(id string) annotations.Mark {
		m, ok := e.Lesson().Swing(id).Mark("fo", geometry.Top, geometry.TrailHip)
		require.True(t, ok)
		return m
	}
	for _, id := range []string{"s1", "s2"} {
		for p := range geometry.Buckle {
			if m, ok := e.Lesson().Swing(id).Mark("fo", geometry.Top, p); ok && m.State != geometry.Hidden {
				m.State, m.SDPx, m.SharedBiasPx = geometry.Proposed, 9, 6
				require.NoError(t, e.Apply(annotations.SetMark{Swing: id, Mark: m}))
			}
		}
	}
	moved := proposed("s1")
	moved.At.X += 12
	moved.State, moved.SDPx = geometry.Placed, 0
	require.NoError(t, e.Apply(annotations.SetMark{Swing: "s1", Mark: moved}))
	before := proposed("s2")
	w.Frame()
	require.Len(t, r.teaching.offer.Marks, 1)
	require.True(t, w.Shows("1 mark moved by hand (hip) can teach 1 other swing: 1 proposed mark."))
	w.Key(key.NameF2, key.ModCtrl)
	assert.Greater(t, proposed("s2").At.X, before.At.X+3)
	assert.Empty(t, r.teaching.offer.Marks)
	_, ok := e.Undo()
	require.True(t, ok)
	w.Frame()
	w.Click("Teach the other swings what you corrected by hand")
	assert.Greater(t, proposed("s2").At.X, before.At.X+3)

	// A point of the clothes is looked for in the pictures first, which are not there.
	for _, id := range []string{"s1", "s2"} {
		c := *e.Lesson().Swing(id).Clip("fo")
		c.File = "gone.mp4"
		require.NoError(t, e.Apply(annotations.SetClip{Swing: id, Clip: c}))
	}
	require.NoError(t, e.Apply(annotations.DeleteMark{Swing: "s2", Clip: "fo", Position: geometry.Address, Point: geometry.Buckle}))
	w.Frame()
	require.True(t, w.Shows("What you marked on belt and shirt can be looked for in 1 other swing."))
	w.Key(key.NameF2, key.ModCtrl)
	w.Until("the pictures are looked through", func() bool {
		return slices.ContainsFunc(w.Notes, func(n bench.Note) bool {
			return strings.Contains(string(n), "What you marked on belt and shirt is not seen clearly enough")
		})
	})
	w.Frame()
	assert.True(t, r.teaching.offer.Empty(), "it was looked for in vain, and is not offered again")
}

func TestAnAxisHasTwoNumbersAtLeast(t *testing.T) {
	assert.Equal(t, []float64{30, 35}, ticksWithin(28, 38.3, 2))
	assert.Equal(t, []float64{0, 10, 20}, ticksWithin(-4, 21, 4))
	assert.Empty(t, ticksWithin(3, 3, 2))
}
