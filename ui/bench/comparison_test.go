package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

func TestComparisonKeepsKeyPositionsBesideEachOther(t *testing.T) {
	this, other := twoSwings(t), twoSwings(t)
	setAt(other, 0, geometry.Address, 20)
	setAt(other, 0, geometry.Finish, 470)
	swing := func(b *Bench) func() *annotations.Swing { return b.Swing }
	c := NewComparison(swing(this), swing(other), geometry.FaceOn, geometry.Top)
	c.OpenFilm(0, steady{480, 240})
	c.OpenFilm(1, steady{480, 240})
	assert.Equal(t, 288, c.Stages[0].Frame)
	assert.Equal(t, 288, c.Stages[1].Frame)
	require.Empty(t, c.GoToPosition(geometry.Address))
	assert.Equal(t, [2]int{48, 20}, [2]int{c.Stages[0].Frame, c.Stages[1].Frame})
	c.GoTo(0, (48+288)/2)
	assert.Equal(t, (20+288)/2, c.Stages[1].Frame, "half way up in both")
	assert.Contains(t, string(c.GoToPosition(geometry.Finish)), "one of the two")
	assert.Contains(t, string(c.GoToPosition(geometry.Delivery)), "neither")
	c.GoTo(0, 300)
	name, _ := c.Neighbour(1)
	assert.Equal(t, geometry.Impact, name)
	assert.Equal(t, 3, len(this.Swing().Positions), "comparing changes nothing")
}

func TestComparisonFromAViewThatOneSwingLacks(t *testing.T) {
	this, other := twoSwings(t), newBench(t)
	require.NoError(t, other.Editor().Apply(annotations.RemoveClip{Swing: "s1", Clip: "dl"}))
	c := NewComparison(this.Swing, other.Swing, geometry.DownTheLine, geometry.Top)
	c.OpenFilm(0, steady{300, 120})
	assert.Equal(t, 96, c.Stages[0].Frame)
	assert.Empty(t, c.Stages[1].Clip)
	assert.False(t, c.Shows(1, geometry.DownTheLine))
	c.Step(5)
	assert.Equal(t, 101, c.Stages[0].Frame)
	c.SetView(geometry.FaceOn)
	assert.NotEmpty(t, c.Stages[1].Clip)
}
