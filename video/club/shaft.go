package club

import (
	"image"
	"math"

	"turngauge/video/background"
)

// Hands is where to look for a shaft.
type Hands struct {
	X, Y float64 // between both hands, pixels
	// PixelsPerMetre is the picture's scale at the golfer.
	PixelsPerMetre float64
}

// Shaft is a shaft in a picture.
type Shaft struct {
	// FromX, FromY is where the shaft passes the hands: the nearest place to
	// them on its line. ToX, ToY is as far as it can be followed.
	FromX, FromY, ToX, ToY float64
	// Length is between them, pixels.
	Length float64
	// Clear is how much farther it can be followed than any other stripe: 1
	// means that there is no other, 0 that one is as good.
	Clear float64
	// Whole is which part of its length shows a stripe, 0 to 1.
	Whole float64
}

// Lengths in metres, at the golfer. The width is that of a steel shaft's middle
// (common practice, no source).
const (
	shaftWidthM = 0.011
	beginM      = 0.13 // what is nearer to the hands is grip and fingers
	reachM      = 1.05 // no shaft is longer from the hands on (driver, common practice)
	besideM     = 0.07 // how far beside the middle of the hands a shaft may pass
	leastM      = 0.22 // what is shorter is not told from other stripes
)

const (
	coarseStep = 0.75 * math.Pi / 180
	apartAngle = 7 * math.Pi / 180 // stripes nearer to each other are one
	leastClear = 0.35
	leastWhole = 0.77
	// leastWholeMoved is leastWhole before a known background, whose rails, beams and
	// horizons have no vote: real shafts were refused at 0.68 to 0.73.
	leastWholeMoved = 0.66
	// contrast is the response, levels of 255, that counts as half a stripe.
	contrast = 9
)

// ray is a stripe that is tried.
type ray struct {
	angle, beside float64 // of its line: direction, and distance from the hands
	width         float64 // between the stripe's middle and what lies beside it
}

// Find looks for the shaft. It reports false where none can be told. standing is the
// background of the clip, nil where it isn't known: a stripe that it shows as well is
// none. It is left out where the camera moved.
func Find(im, standing *image.RGBA, h Hands) (Shaft, bool) {
	s, ok := newSearch(im, standing, h)
	if !ok {
		return Shaft{}, false
	}
	best := s.votes()
	top := mostVotes(best)
	rival := 0.0
	for a := range best {
		if d := math.Abs(math.Remainder(float64(a-top)*coarseStep, 2*math.Pi)); d > apartAngle {
			rival = math.Max(rival, best[a].score)
		}
	}
	out := s.shaft(s.refine(best[top], s.narrow), rival)
	whole := leastWhole
	if s.standing != nil {
		whole = leastWholeMoved
	}
	ok = out.Length >= (beginM+leastM)*h.PixelsPerMetre && out.Clear >= leastClear && out.Whole >= whole
	return out, ok
}

// newSearch prepares looking about the hands; it reports false where they are not in the
// picture.
func newSearch(im, standing *image.RGBA, h Hands) (*search, bool) {
	if !(h.PixelsPerMetre >= 40) || h.PixelsPerMetre > 1e4 || !image.Pt(int(h.X), int(h.Y)).In(im.Rect) {
		return nil, false
	}
	s := &search{im: im, h: h}
	if background.Still(im, standing) {
		s.standing = standing
	}
	s.step = math.Max(h.PixelsPerMetre*0.006, 1)
	s.first = int(beginM * h.PixelsPerMetre / s.step)
	s.last = int(reachM * h.PixelsPerMetre / s.step)
	s.narrow = math.Max(shaftWidthM*h.PixelsPerMetre, 2)
	return s, true
}

// votes returns the best ray in each direction.
func (s *search) votes() []vote {
	besides := int(math.Ceil(besideM * s.h.PixelsPerMetre / (s.narrow * 0.6)))
	best := make([]vote, int(math.Round(2*math.Pi/coarseStep)))
	for a := range best {
		for k := -besides; k <= besides; k++ {
			for _, times := range [...]float64{1, 2, 4} {
				r := ray{float64(a) * coarseStep, float64(k) * s.narrow * 0.6, s.narrow * times}
				if v := s.follow(r); v.score > best[a].score {
					best[a] = v
				}
			}
		}
	}
	return best
}

// mostVotes returns the direction of the best of all rays.
func mostVotes(best []vote) int {
	top := 0
	for a := range best {
		if best[a].score > best[top].score {
			top = a
		}
	}
	return top
}

// shaft is that of a vote, of which the best other one has the score rival.
func (s *search) shaft(v vote, rival float64) Shaft {
	sin, cos := math.Sincos(v.angle)
	out := Shaft{
		FromX: s.h.X - v.beside*sin, FromY: s.h.Y + v.beside*cos,
		Length: float64(v.end) * s.step,
		Clear:  1 - rival/math.Max(v.score, 1e-9), Whole: v.whole,
	}
	out.ToX, out.ToY = out.FromX+out.Length*cos, out.FromY+out.Length*sin
	return out
}

// vote is how far a ray can be followed.
type vote struct {
	ray
	score float64
	end   int // steps from the hands
	whole float64
}

type search struct {
	im          *image.RGBA
	standing    *image.RGBA // nil where it isn't known; of the size of im
	h           Hands
	step        float64
	first, last int
	narrow      float64 // half the distance of what lies beside a shaft at rest, pixels
}

// follow goes along a ray as far as it shows a stripe more than not.
func (s *search) follow(r ray) vote {
	sin, cos := math.Sincos(r.angle)
	x := s.h.X - r.beside*sin - 0.5
	y := s.h.Y + r.beside*cos - 0.5
	out := vote{ray: r}
	sum, seen := 0.0, 0.0
	for i := s.first; i <= s.last; i++ {
		d := float64(i) * s.step
		v, ok := s.ridge(x+d*cos, y+d*sin, -sin*r.width, cos*r.width)
		if !ok {
			break
		}
		part := v / (v + contrast)
		seen += part
		if sum += part - 0.5; sum > out.score {
			out.score, out.end, out.whole = sum, i, seen/float64(i-s.first+1)
		}
		if sum < out.score-6 { // it has ended
			break
		}
	}
	return out
}

// ridge is how much brighter or darker a place is than both places beside it, and at
// most how much it differs from the background.
func (s *search) ridge(x, y, dx, dy float64) (float64, bool) {
	m, ok := sample(s.im, x, y)
	if !ok {
		return 0, false
	}
	a, ok := sample(s.im, x+dx, y+dy)
	if !ok {
		return 0, false
	}
	b, ok := sample(s.im, x-dx, y-dy)
	if !ok {
		return 0, false
	}
	sum := 0.0
	for k := range m {
		if p, q := m[k]-a[k], m[k]-b[k]; p*q > 0 {
			sum += math.Copysign(math.Min(math.Abs(p), math.Abs(q)), p)
		}
	}
	v := math.Abs(sum) / 3
	if s.standing != nil && v > 0 {
		was, _ := sample(s.standing, x, y)
		moved := 0.0
		for k := range m {
			moved += math.Abs(m[k]-was[k]) / 3
		}
		v = math.Min(v, moved)
	}
	return v, true
}

// sample is the picture between four pixels.
func sample(im *image.RGBA, x, y float64) (v [3]float64, ok bool) {
	fx, fy := math.Floor(x), math.Floor(y)
	x0, y0 := int(fx), int(fy)
	r := im.Rect
	if x0 < r.Min.X || y0 < r.Min.Y || x0+1 >= r.Max.X || y0+1 >= r.Max.Y {
		return v, false
	}
	ax, ay := x-fx, y-fy
	p := im.Pix[im.PixOffset(x0, y0):]
	q := p[im.Stride:]
	for k := range v {
		top := float64(p[k]) + ax*(float64(p[4+k])-float64(p[k]))
		low := float64(q[k]) + ax*(float64(q[4+k])-float64(q[k]))
		v[k] = top + ay*(low-top)
	}
	return v, true
}

// refine tries smaller and smaller changes of a ray.
func (s *search) refine(v vote, narrow float64) vote {
	for by := 1.0; by > 0.1; by /= 2 {
		for improved := true; improved; {
			improved = false
			for _, c := range [...]ray{
				{by * coarseStep, 0, 1}, {-by * coarseStep, 0, 1}, {0, by * narrow * 0.4, 1}, {0, -by * narrow * 0.4, 1},
				{by * coarseStep, -by * narrow * 0.4, 1}, {-by * coarseStep, by * narrow * 0.4, 1},
			} {
				if w := s.follow(ray{v.angle + c.angle, v.beside + c.beside, v.width}); w.score > v.score+1e-9 {
					v, improved = w, true
				}
			}
		}
	}
	return v
}
