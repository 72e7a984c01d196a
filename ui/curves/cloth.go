package curves

import (
	"context"
	"image"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/fault"
	"turngauge/video/patch"
)

// clothBytes is how much of the frames of a clip about the golfer's belt is kept while
// its marks are followed, so that none is decoded again.
const clothBytes = 96 << 20

// keepBelt says which part of each frame is kept: about the pelvis as it is marked at the
// key positions, from a little before address to a little after impact.
func keepBelt(s *annotations.Swing, clip int, seconds []float64) func(n int) image.Rectangle {
	c := &s.Clips[clip]
	type key struct {
		frame int
		box   image.Rectangle
	}
	var keys []key
	var first, last int
	high := 0.0 // of what is marked of the golfer, pixels
	for i := range s.Positions {
		name := s.Positions[i].Name
		ref, ok := s.FrameOf(c.ID, name)
		if !ok || ref.Index < 0 || ref.Index >= len(seconds) {
			continue
		}
		switch name {
		case geometry.Address:
			first = ref.Index
		case geometry.Impact:
			last = ref.Index
		}
		box, body := image.Rectangle{}, image.Rectangle{}
		for p := range geometry.Ball {
			m, ok := s.Mark(c.ID, name, p)
			if !ok || m.State != geometry.Placed || p == geometry.Grip || p == geometry.Clubhead {
				continue
			}
			at := image.Rect(int(m.At.X), int(m.At.Y), int(m.At.X)+1, int(m.At.Y)+1)
			body = body.Union(at)
			if slices.Contains(pelvis, p) {
				box = box.Union(at)
			}
		}
		high = math.Max(high, float64(body.Dy()))
		if !box.Empty() {
			keys = append(keys, key{ref.Index, box})
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return a.frame - b.frame })
	if last <= first || len(keys) == 0 {
		return func(int) image.Rectangle { return image.Rectangle{} }
	}
	side, up, down := int(sideOfBelt*high), int(overBelt*high), int(underBelt*high)
	const before, after = 0.05, 0.15 // seconds
	return func(n int) image.Rectangle {
		if n < 0 || n >= len(seconds) || seconds[n] < seconds[first]-before || seconds[n] > seconds[last]+after {
			return image.Rectangle{}
		}
		i := 0
		for i < len(keys)-1 && keys[i+1].frame < n {
			i++
		}
		r := keys[i].box
		if i+1 < len(keys) {
			r = r.Union(keys[i+1].box)
		}
		return image.Rect(r.Min.X-side, r.Min.Y-up, r.Max.X+side, r.Max.Y+down)
	}
}

// pelvis are the points whose marks say where the belt is.
var pelvis = []geometry.Point{geometry.LeadHip, geometry.TrailHip, geometry.Buckle, geometry.Tailbone}

// How far beyond the pelvis' marks is kept, as parts of the golfer's height in the
// picture: a hip is marked up to 0.1 of stature inside its outline.
const sideOfBelt, overBelt, underBelt = 0.12, 0.10, 0.07

// cloth is what was followed as the fit through time looks at it.
type cloth struct {
	clips []Clip
	index [][]int // of each clip, the frames of which something is kept
	size  []int   // of a patch, pixels
}

// newCloth returns nil where no frame was kept.
func newCloth(f *Followed) motion.Cloth {
	c := &cloth{clips: f.Clips}
	any := false
	for i := range f.Clips {
		var list []int
		if f.Clips[i].kept != nil {
			for n := range f.Clips[i].Seconds {
				if f.Clips[i].kept.Part(n) != nil {
					list = append(list, n)
				}
			}
		}
		any = any || len(list) > 0
		c.index = append(c.index, list)
		c.size = append(c.size, int(patch.Size*f.Clips[i].scale)/2*2+1)
	}
	if !any {
		return nil
	}
	return c
}

func (c *cloth) Frames(clip int) []float64 {
	out := make([]float64, len(c.index[clip]))
	for i, n := range c.index[clip] {
		out[i] = c.clips[clip].Seconds[n]
	}
	return out
}

// Align aligns on all cores; the patches are independent of each other.
func (c *cloth) Align(ctx context.Context, looks []motion.Look) ([][]motion.Sight, error) {
	out := make([][]motion.Sight, len(looks))
	g, ctx := errgroup.WithContext(ctx)
	const share = 16
	g.SetLimit(runtime.GOMAXPROCS(0))
	for from := 0; from < len(looks); from += share {
		g.Go(fault.Guard(func() error {
			for i := from; i < min(from+share, len(looks)); i++ {
				if err := ctx.Err(); err != nil {
					return err
				}
				out[i] = c.align(&looks[i])
			}
			return nil
		}))
	}
	return out, g.Wait()
}

func (c *cloth) align(l *motion.Look) []motion.Sight {
	out := make([]motion.Sight, len(l.Into))
	picture := func(frame int) *image.Gray { return c.clips[l.Clip].kept.Part(c.index[l.Clip][frame]) }
	t, ok := patch.New(picture(l.Frame), l.At.X, l.At.Y, c.size[l.Clip])
	if !ok {
		return out
	}
	for k := range l.Into {
		w := &l.Into[k]
		m, ok := t.Align(picture(w.Frame), patch.Warp{X: w.At.X, Y: w.At.Y, XX: w.XX, XY: w.XY, YX: w.YX, YY: w.YY, Bend: w.Bend})
		if ok {
			out[k] = motion.Sight{Found: true, DX: m.DX, DY: m.DY, XX: m.XX, XY: m.XY, YY: m.YY, Correlation: m.Correlation}
		}
	}
	return out
}
