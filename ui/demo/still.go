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
	// Frame is that of the film whose noise the picture has.
	Frame int
	// Slip is by how much belt and trousers have turned on the pelvis, radians; Plain
	// ones show no weave, seams or stitches.
	Slip  float64
	Plain bool
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
		f := *ground
		var h *hand
		for i, still := range list {
			// Cloth takes long to paint: it is worn for as long as it is the same.
			if i == 0 || still.Golfer != list[i-1].Golfer || still.Plain != list[i-1].Plain {
				f.model = golfer.New(still.Golfer)
				f.at = f.model.At
				h = f.newHand()
			}
			f.phone.start = still.Seconds - float64(still.Frame)/rate
			h.beside = nil
			if still.Bystander != (r3.Vec{}) {
				h.beside = bystander(still.Bystander)
			}
			for _, b := range h.bodies {
				b.Slip = still.Slip
				if still.Plain {
					b.Plain()
				}
			}
			h.draw(im, still.Frame)
			each(i, im, h.frame(still.Frame, 0, 0))
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
	for _, part := range figure.NewBody(m).Update(&pose) {
		moved := *part
		moved.Pos = make([]render.Vec, len(part.Pos))
		for i, v := range part.Pos {
			moved.Pos[i] = render.Vec{X: v.X + float32(by.X), Y: v.Y + float32(by.Y), Z: v.Z + float32(by.Z)}
		}
		out = append(out, &moved)
	}
	return out
}
