package points

import (
	"testing"

	"gioui.org/f32"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

func newRoom(t *testing.T) (*Room, *kittest.Window) {
	t.Helper()
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room { return New(w) })
	w.Key("P", 0)
	w.Frame()
	return w.Room.(*Room), w
}

func TestAPointIsChosenOnTheDrawing(t *testing.T) {
	r, w := newRoom(t)
	require.True(t, r.Shown())
	require.True(t, r.drawn)
	card, ok := w.Find("Point chooser")
	require.True(t, ok)
	// The chart begins inside the card's padding, under its heading.
	origin := f32.Pt(float32(card.Bounds.Min.X+10), float32(card.Bounds.Min.Y+10+24))
	w.ClickAt(origin.Add(r.at[geometry.Tailbone]))
	p, ok := w.Open.Bench.Armed()
	require.True(t, ok)
	assert.Equal(t, geometry.Tailbone, p)
	assert.False(t, r.Shown())
}

func TestAPointIsChosenByItsName(t *testing.T) {
	r, w := newRoom(t)
	w.Click("clubhead")
	w.Frame()
	p, ok := w.Open.Bench.Armed()
	require.True(t, ok)
	assert.Equal(t, geometry.Clubhead, p)
	assert.False(t, r.Shown())
}
