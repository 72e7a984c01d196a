package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestBorrowProposesAtTheSameMoments: what is proposed in one clip is proposed in the
// other at the same time from its strike, unsure, and only where that has none.
func TestBorrowProposesAtTheSameMoments(t *testing.T) {
	b := newBench(t)
	x, y := &b.Stages[0], &b.Stages[1]
	assert.False(t, b.Borrow(1), "no strike is known")
	b.HearStrike(0, x.Film.Seconds(300), false)
	b.HearStrike(1, y.Film.Seconds(250), false)
	b.Propose(0, []Proposal{{geometry.Address, 100, false}, {geometry.Top, 230, false}})
	b.Stages[1].proposed = append(b.Stages[1].proposed, Proposal{geometry.Top, 190, false})
	require.True(t, b.Borrow(1))
	at, ok := b.TickOf(1, geometry.Address)
	require.True(t, ok)
	assert.True(t, at.Unsure)
	strike0, _ := b.Impact(0)
	strike1, _ := b.Impact(1)
	assert.InDelta(t, x.Film.Seconds(100)-strike0, y.Film.Seconds(at.Frame)-strike1, 0.01)
	top, _ := b.TickOf(1, geometry.Top)
	assert.Equal(t, 190, top.Frame, "its own stays")
	assert.False(t, b.Borrow(1), "nothing is left to borrow")
}
