package panel

import (
	"context"
	"testing"

	"gioui.org/io/key"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

func newRoom(t *testing.T) (*Room, *kittest.Window, *string) {
	t.Helper()
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Label: "7-iron"}}
	copied := new(string)
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room {
		return New(w, func(text string) { *copied = text })
	})
	return w.Room.(*Room), w, copied
}

func TestCurvesThatCantBeMadeSayWhy(t *testing.T) {
	r, w, copied := newRoom(t)
	assert.False(t, r.Shown())
	c, _ := w.Open.Bench.Curves()
	assert.Nil(t, c, "nothing is followed before it is asked for")
	w.Key("I", 0)
	w.Frame()
	require.True(t, r.Shown())
	assert.True(t, w.Shows("Try again"))
	c, current := w.Open.Bench.Curves()
	require.NotNil(t, c)
	assert.True(t, current)
	assert.Nil(t, c.Fit)
	assert.NotEmpty(t, c.Reasons)
	assert.True(t, r.Plot().Empty())
	w.Key("I", key.ModCtrl)
	w.Key("I", key.ModShift)
	assert.Empty(t, *copied, "there is nothing to copy")
	w.Key("I", 0)
	assert.False(t, r.Shown())
}

// What is worked on for a swing ends with it.
func TestWorkEndsWithItsSwing(t *testing.T) {
	r, w, _ := newRoom(t)
	w.Key("I", 0)
	ctx, cancel := context.WithCancel(t.Context())
	r.cancel = cancel
	w.Open.Bench = bench.New(w.Open.Bench.Editor(), "s1")
	w.Frame()
	assert.Error(t, ctx.Err())
	assert.Nil(t, r.cancel)
}
