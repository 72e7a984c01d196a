package ranges

import (
	"context"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/library"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/shelf/shelftest"
	"turngauge/ui/shelf/worker"
)

func TestRangesOfTheCoachAndForTheStudent(t *testing.T) {
	var r *Room
	var c *worker.Client
	kept := 0
	w := kittest.New(t, shelftest.Visit("Mara Lindqvist", "First visit", "2026-05-02"), func(w *kittest.Window) kit.Room {
		c = shelftest.Client(w)
		r = New(w, c, w.Dirs, annotations.DefaultTargets, func() { kept++ })
		return r
	})
	w.Key("T", key.ModCtrl)
	assert.False(t, r.IsOpen(), "there is no library yet")
	paths := shelftest.Open(t, w, c, w.Lesson())
	w.Open.Path = paths[0]
	rangeOf := func(name string) geometry.Range {
		all := shelftest.Ask(t, w, c, func(ctx context.Context, l *library.Library) (annotations.Targets, error) {
			student, err := l.StudentNamed(ctx, name)
			require.NoError(t, err)
			return l.Targets(ctx, annotations.DefaultTargets(), student)
		})
		x, ok := all.Find("pelvis turn", geometry.Top, annotations.MidIron, geometry.SexUnset)
		require.True(t, ok)
		return x.Range
	}
	set := func(low, high string) {
		w.Until("the ranges", func() bool { return r.known && len(r.rows) > 0 })
		w.Frame()
		for i := range r.rows {
			if r.rows[i].measure == "pelvis turn" && r.rows[i].position == geometry.Top {
				r.rows[i].low.SetText(low)
				r.rows[i].high.SetText(high)
			}
		}
	}
	w.Key("T", key.ModCtrl)
	set("60", "40")
	w.Click("Done")
	require.True(t, r.IsOpen(), "the lower end first")
	assert.Contains(t, r.problem, "the lower first")
	set("35", "55,5")
	w.Frame()
	w.Click("Done")
	require.False(t, r.IsOpen())
	w.Until("the coach's own", func() bool { return kept == 1 })
	assert.Equal(t, geometry.Range{Low: 35, High: 55.5}, rangeOf("Mara Lindqvist"))

	w.Key("T", key.ModCtrl)
	w.Until("the ranges", func() bool { return r.known && r.student != 0 })
	w.Frame()
	w.Click("for Mara Lindqvist")
	w.Frame()
	require.Equal(t, 1, r.of)
	set("30", "")
	w.Click("Done")
	w.Until("the student's", func() bool { return kept == 3 }) // the coach's own were kept once more before
	assert.EqualValues(t, 30, rangeOf("Mara Lindqvist").Low)
	assert.Equal(t, geometry.Range{Low: 35, High: 55.5}, rangeOf("Bjørn Håland"))
}
