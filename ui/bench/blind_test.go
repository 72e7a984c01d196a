package bench

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// blindScript are actions for FuzzActions: eight points placed at address,
// then marked again, with a nudge, a point left out, one taken back and a pass
// that is left and taken up again.
func blindScript() []byte {
	s := []byte{0, 0, 50, 1, 0}
	place := func(n int) {
		for i := range n {
			s = append(s, 3, 0, byte(20+20*i), byte(60+10*i), 5)
		}
	}
	place(8)
	s = append(s, 28)
	place(3)
	s = append(s, 12, 130, 128, 7, 10, 30, 28, 2, 3, 11, 9)
	place(8)
	return append(s, 29, 31, 0, 180, 10, 10, 11, 32, 0)
}

// markAddress places the first n useful points at address on the first stage.
func markAddress(t *testing.T, b *Bench, n int) {
	t.Helper()
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	for i := range n {
		require.Empty(t, click(b, 0, PicturePt{700 + 40*float64(i), 300 + 20*float64(i)}))
	}
}

func TestMarkingAgainBlind(t *testing.T) {
	b := newBench(t)
	markAddress(t, b, 8)
	before, err := b.Lesson().Encode()
	require.NoError(t, err)
	require.Contains(t, string(b.StartBlind()), "out of sight")
	assert.Empty(t, b.AppendMarks(nil, 0, geometry.Address), "the first marks are out of sight")
	_, ok := b.Nearest(0, b.Stages[0].Port.ToScreen(PicturePt{700, 300}, stageSize), stageSize, 12)
	assert.False(t, ok, "and can't be taken hold of")

	rng := rand.New(rand.NewPCG(1, 2))
	order := Useful(geometry.FaceOn, geometry.Address)
	for i := range 8 {
		p, ok := b.Armed()
		require.True(t, ok)
		require.Equal(t, order[i], p)
		s, _ := b.Blind()
		require.Equal(t, Blind{geometry.Address, i, 8}, s)
		_, done := b.FinishBlind()
		require.False(t, done)
		require.Empty(t, click(b, 0, PicturePt{700 + 40*float64(i) + 2*rng.NormFloat64(), 300 + 20*float64(i) + 2*rng.NormFloat64()}))
	}
	_, ok = b.Armed()
	assert.False(t, ok, "every point was asked for")
	b.Nudge(1, 0)
	assert.Len(t, b.AppendMarks(nil, 0, geometry.Address), 8)
	position, done := b.FinishBlind()
	require.True(t, done)
	assert.Equal(t, geometry.Address, position)
	r, ok := b.Lesson().Repeatability()
	require.True(t, ok)
	assert.Equal(t, 8, r.Pairs)
	// The second marks alone stray by 2 px: 2/√2 by coordinate.
	assert.InDelta(t, math.Sqrt2, r.ClickSigmaPx, 0.6)
	require.Empty(t, b.UseClick(position, r.ClickSigmaPx))
	assert.InDelta(t, r.ClickSigmaPx, b.Lesson().ClickSDPx, 1e-9)

	assert.Equal(t, "Undone: mark address again.", string(b.Undo()))
	after, err := b.Lesson().Encode()
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after), "the whole pass is one step of undo")
}

func TestABlindPassLeftHalfWayIsKeptAndTakenUpAgain(t *testing.T) {
	b := newBench(t)
	markAddress(t, b, 7)
	b.StartBlind()
	for i := range 3 {
		click(b, 0, PicturePt{700 + 40*float64(i), 303 + 20*float64(i)})
	}
	assert.Contains(t, string(b.LetGo()), "3 of 7 points marked again at address are kept")
	_, on := b.Blind()
	assert.False(t, on)
	assert.Len(t, b.AppendMarks(nil, 0, geometry.Address), 7, "the first marks are back")
	assert.Len(t, b.Swing().Repeats, 3)

	assert.Contains(t, string(b.StartBlind()), "3 of 7")
	p, _ := b.Armed()
	assert.Equal(t, Useful(geometry.FaceOn, geometry.Address)[3], p)
	assert.Contains(t, string(b.Undo()), "again", "undo takes the last point back")
	s, _ := b.Blind()
	assert.Equal(t, 2, s.Done)
	b.Hide()
	s, _ = b.Blind()
	assert.Equal(t, 3, s.Done, "a point can be left out")
}

func TestABlindPassKeepsToItsPosition(t *testing.T) {
	b := newBench(t)
	markAddress(t, b, 6)
	b.GoTo(0, 200)
	b.SetLock(Unlocked)
	b.SetPosition(geometry.Top)
	assert.Contains(t, string(b.StartBlind()), "at least 6 points at top")
	b.GoToPosition(geometry.Address)
	b.StartBlind()
	marks := len(b.Swing().Marks)
	for _, refused := range []Note{b.CopyForward(), b.ToggleUnsure(), b.Redo()} {
		assert.Contains(t, string(refused), "being marked again")
	}
	b.GoTo(0, 200)
	assert.Contains(t, string(click(b, 0, PicturePt{700, 300})), "being marked again")
	assert.Len(t, b.Swing().Marks, marks)
	b.ClearPosition(geometry.Address)
	_, on := b.Blind()
	assert.False(t, on, "without its position a pass ends")
}
