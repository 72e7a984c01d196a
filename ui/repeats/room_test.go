package repeats

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/repeatability"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

func newRoom(t *testing.T) (*Room, *kittest.Window) {
	t.Helper()
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l.Swings[0].Repeats = nil
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room { return New(w) })
	return w.Room.(*Room), w
}

func TestWithNothingMarkedTwiceThereIsNoCard(t *testing.T) {
	r, w := newRoom(t)
	w.Key("M", key.ModShift)
	assert.False(t, r.IsOpen())
	require.NotEmpty(t, w.Notes)
	assert.Contains(t, string(w.Notes[len(w.Notes)-1]), "No key position of this swing is marked twice yet")
}

func TestTheClickErrorIsUsedAndGivenBack(t *testing.T) {
	r, w := newRoom(t)
	show := func() {
		r.Present(geometry.Address, &repeatability.Report{
			Position: geometry.Address, Here: 8, Enough: true, Click: geometry.Repeatability{Pairs: 8, ClickSigmaPx: 1.6}})
		w.Frame()
	}
	show()
	w.Click("Use 1.6 px from now on")
	assert.False(t, r.IsOpen())
	assert.InDelta(t, 1.6, w.Lesson().ClickSDPx, 1e-9)
	assert.InDelta(t, 1.6, w.Dirs.Settings().ClickSDPx, 1e-9, "for new lessons too")
	show()
	w.Click("Back to 2.5 px")
	assert.Zero(t, w.Lesson().ClickSDPx)
	assert.Zero(t, w.Dirs.Settings().ClickSDPx)
}

func TestTooFewPointsSaySo(t *testing.T) {
	r, w := newRoom(t)
	r.Present(geometry.Address, &repeatability.Report{Click: geometry.Repeatability{Pairs: 3}})
	w.Frame()
	assert.True(t, w.Shows("Points marked twice in this lesson: 3. From 6 on it can be told how well they repeat. Mark this position again to go on."))
	w.Key(key.NameEscape, 0)
	assert.False(t, r.IsOpen())
}
