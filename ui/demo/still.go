package demo

import (
	"fmt"
	"image"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/figure"
	"turngauge/ui/demo/render"
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
	// Bystander is where somebody taller stands, as at address, metres from where the
	// golfer does; the zero value is nobody.
	Bystander r3.Vec
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
			f.at = f.model.At
			h := f.newHand()
			if still.Bystander != (r3.Vec{}) {
				h.beside = bystander(still.Bystander)
			}
			h.draw(im, 0)
			each(i, im, h.frame(0, 0, 0))
		}
		return nil
	}
	return fmt.Errorf("demo: there is no clip %q", s.Clip)
}

// bystander are the meshes of a taller golfer at address, moved.
func bystander(by r3.Vec) []*render.Mesh {
	p := golfer.MaraFirstVisit()
	p.Stature = 1.84
	m := golfer.New(p)
	pose := m.At(m.Events()[geometry.Address])
	var out []*render.Mesh
	for _, part := range figure.NewBody(m, figure.Wear{}).Update(&pose) {
		moved := *part
		moved.Pos = make([]render.Vec, len(part.Pos))
		for i, v := range part.Pos {
			moved.Pos[i] = render.Vec{X: v.X + float32(by.X), Y: v.Y + float32(by.Y), Z: v.Z + float32(by.Z)}
		}
		out = append(out, &moved)
	}
	return out
}
