package crop

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/ui/explain"
)

func TestABallBelowTheFeetIsNotCutThrough(t *testing.T) {
	f := &explain.Frame{}
	put := func(p geometry.Point, x, y float64) {
		f.Spots[p] = explain.Spot{At: geometry.ImagePt{X: x, Y: y}, Known: true}
	}
	put(geometry.Head, 1000, 200)
	put(geometry.LeadAnkle, 1050, 800)
	put(geometry.TrailAnkle, 950, 800)
	put(geometry.Ball, 1040, 900)
	put(geometry.Clubhead, 1600, 300)
	e := None
	e.Golfer(f)
	part := e.Part(image.Rect(0, 0, 1920, 1080), 0.8)
	assert.Greater(t, part.Max.Y, 900+15, "a ball of some pixels, whole")
	assert.Less(t, part.Max.Y, 1000, "the golfer still fills the picture")
	assert.Less(t, part.Max.X, 1500, "the club may reach out of it")
}
