package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A golfer who is turned as a whole about the vertical by 40 degrees has turned pelvis and torso
// by as much; without an address there is nothing that he has turned from.
func TestMeasuresOfKnownPoints(t *testing.T) {
	var address, turned [NumPoints]WorldPt
	sin, cos := math.Sincos(40 * math.Pi / 180)
	for p := range NumPoints { // any body will do that has no two points in one place
		f := float64(p)
		address[p] = WorldPt{X: 0.1 * math.Sin(3*f+1), Y: 0.2 + 0.05*f, Z: 0.1 * math.Cos(2*f)}
	}
	for side, x := range map[[2]Point]float64{{LeadHip, TrailHip}: 0.09, {LeadShoulder, TrailShoulder}: 0.18} {
		address[side[0]].X, address[side[1]].X = x, -x
		address[side[1]].Y, address[side[1]].Z = address[side[0]].Y, address[side[0]].Z
	}
	for p, at := range address {
		turned[p] = WorldPt{X: cos*at.X + sin*at.Z, Y: at.Y, Z: -sin*at.X + cos*at.Z}
	}
	find := func(list []Measure, name string, at PositionName) *Measure {
		for i := range list {
			if list[i].Name == name && list[i].Position == at {
				return &list[i]
			}
		}
		return nil
	}
	both := MeasuresOf(Golfer{}, []Position{{Name: Address}, {Name: Top}}, [][NumPoints]WorldPt{address, turned})
	for _, name := range []string{"pelvis turn", "torso turn"} {
		m := find(both, name, Top)
		require.NotNil(t, m, name)
		assert.InDelta(t, 40, math.Abs(m.Value), 1e-9, name)
		assert.Zero(t, m.Sigma)
		assert.Nil(t, find(both, name, Address), "a turn is since address")
	}
	alone := MeasuresOf(Golfer{}, []Position{{Name: Top}}, [][NumPoints]WorldPt{turned})
	assert.Nil(t, find(alone, "pelvis turn", Top))
	assert.NotNil(t, find(alone, "torso side bend", Top), "what needs no other position")
}
