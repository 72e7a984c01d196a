package demo

import (
	"fmt"
	"image"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// Between tells of frames of a first visit's clip what the truth tells of its
// key positions, for tests of what happens between them. The frames are drawn
// small to see what hides what. PTS and Seconds are left out.
func Between(clip string, frames []int) ([]TruthFrame, error) {
	const shrink = 3
	for _, p := range phones() {
		if p.id != clip {
			continue
		}
		f := newFilm(golfer.New(golfer.MaraFirstVisit()), p, Options{Shrink: shrink})
		h := f.newHand()
		im := image.NewRGBA(image.Rect(0, 0, f.camera.Width, f.camera.Height))
		var out []TruthFrame
		for _, n := range frames {
			if n < 0 || n >= f.frames {
				return nil, fmt.Errorf("demo: the clip %q has no frame %d", clip, n)
			}
			h.draw(im, n)
			t := h.frame(n, 0, 0)
			for name, m := range t.Points {
				q, err := p.camera.Project(geometry.WorldPt{X: m[0], Y: m[1], Z: m[2]})
				if err != nil {
					return nil, fmt.Errorf("demo: frame %d of %q: %s: %w", n, clip, name, err)
				}
				t.Pixels[name] = [2]float64{q.X, q.Y}
			}
			out = append(out, t)
		}
		return out, nil
	}
	return nil, fmt.Errorf("demo: there is no clip %q", clip)
}
