package progress

import (
	"strings"
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

func TestProgressSaysWhatHasChanged(t *testing.T) {
	source, _, err := annotations.Load("../../../testdata/lessons/marked.json")
	require.NoError(t, err)
	later := source.Clone()
	later.ID, later.Title, later.Date = "01LATER", "Later", "2026-05-30"
	var r *Room
	var c *worker.Client
	closed := 0
	w := kittest.New(t, later, func(w *kittest.Window) kit.Room {
		c = shelftest.Client(w)
		r = New(w, c, func(string) {}, func() { closed++ })
		return r
	})
	w.Open.Path = shelftest.Open(t, w, c, source, later)[1]
	w.Key("P", key.ModCtrl)
	w.Until("the plots", func() bool {
		return len(r.shown) == mostPlots && len(r.series[r.shown[0]]) == 2
	})
	v := r.series[r.shown[0]][1]
	require.NotNil(t, v.Change)
	assert.InDelta(t, 0, v.Change.Value, 1e-6, "the same marks give the same number")
	assert.False(t, v.Change.Real)
	w.Frame()
	told := false
	for _, n := range w.Nodes() {
		told = told || strings.HasPrefix(n.Desc.Label, "Progress of "+kit.Joined(r.shown[0].name, string(r.shown[0].position))) && strings.HasSuffix(n.Desc.Label, "can't tell")
	}
	assert.True(t, told)

	// With the keyboard: one measure alone, then another with it, then the card away.
	w.Frame()
	w.Key(key.NameDownArrow, 0)
	w.Key(key.NameReturn, 0)
	require.Len(t, r.shown, 1)
	assert.Equal(t, r.measures[1].Name, r.shown[0].name)
	w.Key(key.NameDownArrow, 0)
	w.Key(key.NameSpace, 0)
	assert.Len(t, r.shown, 2)
	w.Key(key.NameSpace, 0)
	assert.Len(t, r.shown, 1)
	w.Key(key.NameEscape, 0)
	assert.False(t, r.IsOpen())
	assert.Equal(t, 1, closed)
}

func TestMostTellingComeFirst(t *testing.T) {
	m := []library.Measure{{Name: "a"}, {Name: "b", Target: true}, {Name: "c"}, {Name: "d", Target: true}, {Name: "e", Target: true}}
	change := func(z float64) []library.Value {
		return []library.Value{{}, {Change: &geometry.Change{Value: z, Sigma: 1}}}
	}
	got := mostTelling(m, map[measureAt][]library.Value{{name: "c"}: change(-4), {name: "e"}: change(3), {name: "b"}: change(0.1)})
	assert.Equal(t, []measureAt{{name: "b"}, {name: "c"}, {name: "d"}, {name: "e"}}, got)
}
