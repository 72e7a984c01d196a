package demo

import (
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry/golfer"
)

// Spot is where either phone of the demo stands, moved by some metres, with
// pictures of 1/Shrink the size; for tests of what looks at pictures.
type Spot struct {
	Clip   string // "fo" or "dl"
	Moved  r3.Vec
	Shrink int
}

// Still is a picture of any golfer at any moment of the swing's clock.
type Still struct {
	Golfer  golfer.Params
	Seconds float64
}

// Stills draws pictures from one spot, and tells of each what it shows.
func (s Spot) Stills(list []Still, each func(i int, im *image.RGBA, t TruthFrame)) error {
	for _, p := range phones() {
		if p.id != s.Clip {
			continue
		}
		p.camera.Position = r3.Add(p.camera.Position, s.Moved)
		ground := newFilm(golfer.Mara(), p, Options{Shrink: s.Shrink})
		im := image.NewRGBA(image.Rect(0, 0, ground.camera.Width, ground.camera.Height))
		for i, still := range list {
			f := *ground
			f.model, f.phone.start = golfer.New(still.Golfer), still.Seconds
			h := f.newHand()
			h.draw(im, 0)
			each(i, im, h.frame(0, 0, 0))
		}
		return nil
	}
	return fmt.Errorf("demo: there is no clip %q", s.Clip)
}
