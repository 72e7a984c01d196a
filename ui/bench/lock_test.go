package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// setAt makes a frame of one stage a key position.
func setAt(b *Bench, stage int, name geometry.PositionName, frame int) {
	b.Activate(stage)
	b.GoTo(stage, frame)
	b.SetPosition(name)
}

// twoSwings has address, top and impact 1.0, 0.25 s apart on the first stage
// and 0.5, 0.5 s apart on the second.
func twoSwings(t *testing.T) *Bench {
	b := newBench(t)
	b.SetLock(Unlocked)
	for _, p := range []struct {
		name          geometry.PositionName
		first, second int
	}{{geometry.Address, 48, 36}, {geometry.Top, 288, 96}, {geometry.Impact, 348, 156}} {
		setAt(b, 0, p.name, p.first)
		setAt(b, 1, p.name, p.second)
	}
	return b
}

func TestLockByPositionsKeepsUnequallyFastSwingsTogether(t *testing.T) {
	b := twoSwings(t)
	require.Contains(t, string(b.SetLock(LockByPositions)), "Two swings")
	b.Activate(0)
	for _, c := range []struct{ first, second int }{
		{48, 36},        // address
		{168, 66},       // half way to the top on both
		{288, 96},       // top
		{318, 126},      // half way down
		{348, 156},      // impact
		{372, 168},      // a tenth of a second after it, at true speed
		{48 - 24, 24},   // a tenth of a second before address
		{479, 156 + 65}, // 131 frames of 1/240 s after impact, in 120ths
	} {
		b.GoTo(0, c.first)
		assert.InDelta(t, c.second, b.Stages[1].Frame, 1, "first clip at %d", c.first)
	}
	b.Activate(1)
	b.GoTo(1, 66)
	assert.InDelta(t, 168, b.Stages[0].Frame, 2, "the other way round")
	// Setting a position by key is for the clip in hand only: the other clip
	// is of another swing.
	b.GoTo(1, 70)
	b.SetPosition(geometry.LeadArmLevel)
	_, ok := b.Swing().FrameOf("fo", geometry.LeadArmLevel)
	assert.False(t, ok)
}

func TestLockLeavesOutPositionsInAnotherOrder(t *testing.T) {
	b := twoSwings(t)
	setAt(b, 0, geometry.Delivery, 300)
	setAt(b, 1, geometry.Delivery, 50) // before its top: a slip
	b.SetLock(LockByPositions)
	l, ok := b.Lock()
	require.True(t, ok)
	for i := 1; i < len(l.Knots); i++ {
		assert.Less(t, l.Knots[i-1][0], l.Knots[i][0])
		assert.Less(t, l.Knots[i-1][1], l.Knots[i][1])
	}
}

func TestMapGoesThereAndBack(t *testing.T) {
	l := Lock{Knots: [][NumStages]float64{{0.2, 0.3}, {1.2, 0.8}, {1.45, 1.3}}}
	for s := -0.5; s < 3; s += 0.05 {
		assert.InDelta(t, s, l.Map(1, l.Map(0, s)), 1e-12)
	}
}

func TestUnsureStrikeIsShownButNothingIsBuiltOnIt(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, true)
	_, ok := b.Lock()
	assert.False(t, ok)
	ticks := b.Ticks(1)
	require.Len(t, ticks, 1)
	assert.Equal(t, Tick{geometry.Impact, 120, true, true}, ticks[0])
	b.AcceptPositions()
	l, ok := b.Lock()
	require.True(t, ok, "the coach has confirmed both strikes")
	assert.Equal(t, "impact", l.By)
	assert.Zero(t, b.Proposals())
	b.Undo()
	assert.Equal(t, 1, b.Proposals(), "one step took both; undone they are proposals again")
}

func TestProposalsOfTwoClipsOfOneSwingBecomeOneMoment(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.Propose(0, []Proposal{{Name: geometry.Top, Frame: 300}, {Name: geometry.Address, Frame: 100}}) // 0.25 s before
	b.Propose(1, []Proposal{{Name: geometry.Top, Frame: 92}, {Name: geometry.Address, Frame: 20}})   // 0.2333 s before
	top := func(stage int) Tick { tick, _ := b.TickOf(stage, geometry.Top); return tick }
	assert.Equal(t, 302, top(0).Frame)
	assert.Equal(t, 91, top(1).Frame)
	assert.False(t, top(0).Unsure)
	address, _ := b.TickOf(0, geometry.Address)
	assert.Equal(t, 100, address.Frame, "a quarter of a second apart: not two readings of one moment")
	assert.True(t, address.Unsure)
}

func TestEnterTakesTheProposedPositionShown(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	require.Contains(t, string(b.GoToPosition(geometry.Impact)), "proposed")
	assert.Equal(t, [2]int{360, 120}, [2]int{b.Stages[0].Frame, b.Stages[1].Frame})
	_, set := b.PositionAt(0)
	assert.False(t, set, "a proposed key position is not set, so nothing can be marked on it")
	b.Accept()
	name, set := b.PositionAt(0)
	assert.True(t, set)
	assert.Equal(t, geometry.Impact, name)
}

func TestDraggingATickSetsThatClipOnly(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.DragTick(0, geometry.Impact, 350)
	b.DragTick(0, geometry.Impact, 352)
	assert.Equal(t, 352, b.Stages[0].Frame, "the hand sees the frame it is about to choose")
	assert.Empty(t, b.Swing().Positions)
	b.DropTick()
	f, _ := b.Swing().FrameOf("fo", geometry.Impact)
	assert.Equal(t, 352, f.Index)
	_, ok := b.Swing().FrameOf("dl", geometry.Impact)
	assert.False(t, ok)
	b.DragTick(0, geometry.Impact, 10)
	b.CancelTick()
	f, _ = b.Swing().FrameOf("fo", geometry.Impact)
	assert.Equal(t, 352, f.Index)
}

func TestRepeatGoesRound(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.GoTo(0, 100)
	b.NextRepeat()
	b.GoTo(0, 90)
	b.NextRepeat()
	from, to, ok := b.Repeat(0)
	require.True(t, ok)
	assert.Equal(t, [2]int{90, 100}, [2]int{from, to})
	b.GoTo(0, 300)
	b.Play()
	assert.Equal(t, 90, b.Stages[0].Frame, "playing begins inside the part")
	seen := map[int]bool{}
	for range 40 {
		require.True(t, b.Tick(1./240), "it goes on for ever")
		f := b.Stages[0].Frame
		require.True(t, f >= 90 && f <= 100)
		seen[f] = true
	}
	assert.Len(t, seen, 11, "every frame of the part is shown")
	b.Pause()
	b.NextRepeat()
	_, _, ok = b.Repeat(0)
	assert.False(t, ok)
}

func TestRepeatHoldsOnTheOtherStageThroughTheLock(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.GoTo(0, 300)
	b.NextRepeat()
	b.GoTo(0, 360)
	b.NextRepeat()
	b.Activate(1)
	b.Play()
	for range 100 {
		b.Tick(1. / 120)
		require.True(t, b.Stages[1].Frame >= 90 && b.Stages[1].Frame <= 120, "frame %d", b.Stages[1].Frame)
	}
}

// TestMapIsPiecewiseLinear holds the lock to numpy.interp (numpy 1.24.2) between its knots,
// both ways; before and after them both clips run at their own speed.
func TestMapIsPiecewiseLinear(t *testing.T) {
	l := Lock{Knots: [][NumStages]float64{{0.2, 0.3}, {1.2, 0.8}, {1.45, 1.3}}}
	for _, c := range [][2]float64{{0.2, 0.3}, {0.45, 0.425}, {0.7, 0.55}, {1.1999, 0.79995}, {1.25, 0.9}, {1.325, 1.05}, {1.45, 1.3}, {0.1, 0.2}, {-1, -0.9}, {1.5, 1.35}, {9, 8.85}} {
		assert.InDelta(t, c[1], l.Map(0, c[0]), 1e-12, "%v", c)
		assert.InDelta(t, c[0], l.Map(1, c[1]), 1e-12, "%v", c)
	}
}
