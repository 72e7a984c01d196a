package bench

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/video/pose"
)

// TestTheGolferAmongOthers looks for marks in pictures of rendered golfers with somebody
// taller and nearer to the camera beside them. At the place where the golfer moves, or
// where the coach has pointed, the golfer is found.
func TestTheGolferAmongOthers(t *testing.T) {
	t.Parallel()
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	for _, spot := range []struct {
		demo.Spot
		view   geometry.View
		beside r3.Vec
	}{
		{demo.Spot{Clip: "fo", Shrink: 2}, geometry.FaceOn, r3.Vec{X: -1.1, Z: 0.9}},
		{demo.Spot{Clip: "fo", Shrink: 2}, geometry.FaceOn, r3.Vec{X: 1.0, Z: -0.6}},
		{demo.Spot{Clip: "dl", Shrink: 2}, geometry.DownTheLine, r3.Vec{X: -1.0, Z: -1.2}},
	} {
		list, positions := otherGolfers(uint64(spot.view) + 5)
		for i := range list {
			list[i].Bystander = spot.beside
		}
		found := 0
		require.NoError(t, spot.Stills(list, func(i int, im *image.RGBA, truth demo.TruthFrame) {
			lead, _ := truth.Pixel(geometry.LeadHip)
			trail, _ := truth.Pixel(geometry.TrailHip)
			// The middle of what moves lies between hips and hands: on the arms.
			wrist, _ := truth.Pixel(geometry.LeadWrist)
			at := geometry.ImagePt{X: (lead.X+trail.X)/4 + wrist.X/2, Y: (lead.Y+trail.Y)/4 + wrist.Y/2}
			f := Following{View: spot.view, Position: positions[i], GolferAt: at}
			for _, x := range f.Look(finder, im, nil) {
				if x.Point == geometry.LeadHip || x.Point == geometry.TrailHip {
					if to, _ := truth.Pixel(x.Point); math.Hypot(x.At.X-to.X, x.At.Y-to.Y) < 40 {
						found++
					}
					break
				}
			}
		}))
		t.Logf("%s, somebody at %v: the golfer is found in %d of %d pictures", spot.view, spot.beside, found, len(list))
		assert.GreaterOrEqual(t, found, len(list)-1)
	}
}

// TestPointingAtTheGolfer: one click says where the golfer stands, as an edit that can be
// undone, and what is looked for goes there.
func TestPointingAtTheGolfer(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	require.NotEmpty(t, b.ArmGolfer())
	size := Size{800, 450}
	at := b.Stages[0].Port.ToScreen(PicturePt{X: 300, Y: 200}, size)
	assert.NotEmpty(t, b.Press(0, at, size, 8))
	clip := b.Swing().Clip(b.Stages[0].Clip)
	assert.InDelta(t, 300, clip.GolferAt.X, 1)
	assert.InDelta(t, 200, clip.GolferAt.Y, 1)
	list, _ := b.Follow()
	require.NotEmpty(t, list)
	assert.Equal(t, clip.GolferAt, list[0].GolferAt)
	b.Undo()
	assert.Equal(t, geometry.ImagePt{}, b.Swing().Clip(b.Stages[0].Clip).GolferAt)
}
