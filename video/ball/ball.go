package ball

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// Place is where to look for a ball.
type Place struct {
	X, Y   float64 // pixels
	Within float64 // and how far from there it may lie, pixels
	// PixelsPerMetre is the picture's scale at the golfer. The ball may lie
	// nearer to the camera.
	PixelsPerMetre float64
}

// Ball is a ball in a picture.
type Ball struct {
	X, Y, Radius float64 // pixels
	// Contrast is how much brighter it is than what lies about it, levels of 255.
	Contrast float64
	// Round is which part of its edge lies on the circle, 0 to 1.
	Round float64
	// Clear is how much better it is than any other blob: 1 means that there
	// is no other, 0 that one is as good.
	Clear float64
}

const (
	// radiusM is half the smallest diameter that the Rules of Golf allow, 42.67 mm.
	radiusM = 0.02135
	// The ball is seen so many times as large as at the golfer: nearer to a
	// camera in front of him, about as far from one behind his hands.
	leastSize, mostSize = 0.75, 1.6
	sizes               = 6
	leastRadius         = 1.8 // pixels; a smaller one is not told from a speck
	leastContrast       = 24
	leastRound          = 0.75
	leastClear          = 0.3
	rays                = 24
	tried               = 12 // blobs whose edges are looked at
)

// Find looks for the ball. It reports false where none can be told.
func Find(im *image.RGBA, p Place) (Ball, bool) {
	r := radiusM * p.PixelsPerMetre
	if !(r*mostSize >= leastRadius) || r > 400 || !(p.Within > 0) || p.Within > 4000 || math.IsNaN(p.X+p.Y) {
		return Ball{}, false
	}
	s := newSearch(im, p, r)
	if s == nil {
		return Ball{}, false
	}
	var found []Ball
	for _, blob := range s.blobs() {
		b, ok := s.edge(blob)
		if !ok || slices.ContainsFunc(found, func(o Ball) bool { return math.Hypot(o.X-b.X, o.Y-b.Y) < o.Radius }) {
			continue
		}
		found = append(found, b)
	}
	if len(found) == 0 {
		return Ball{}, false
	}
	slices.SortStableFunc(found, func(a, b Ball) int { return cmp.Compare(b.score(), a.score()) })
	best := found[0]
	best.Clear = 1
	if len(found) > 1 {
		best.Clear = 1 - found[1].score()/best.score()
	}
	return best, best.Clear >= leastClear
}

func (b *Ball) score() float64 { return b.Contrast * b.Round * b.Round }

// search is the part of the picture that is looked at.
type search struct {
	grey   []float32
	w, h   int
	x0, y0 int     // its corner in the picture
	p      Place   // in its own pixels, the centre of the first at (0, 0)
	radius float64 // of a ball at the golfer, pixels
}

func newSearch(im *image.RGBA, p Place, radius float64) *search {
	reach := p.Within + 3*radius*mostSize
	part := image.Rect(int(p.X-reach), int(p.Y-reach), int(p.X+reach)+1, int(p.Y+reach)+1).Intersect(im.Rect)
	if part.Dx() < 8 || part.Dy() < 8 {
		return nil
	}
	s := &search{w: part.Dx(), h: part.Dy(), x0: part.Min.X, y0: part.Min.Y, radius: radius}
	p.X, p.Y = p.X-0.5-float64(s.x0), p.Y-0.5-float64(s.y0)
	s.p = p
	s.grey = make([]float32, s.w*s.h)
	for y := range s.h {
		row := im.Pix[im.PixOffset(part.Min.X, part.Min.Y+y):]
		for x := range s.w {
			q := row[4*x:]
			s.grey[y*s.w+x] = (float32(q[0]) + float32(q[1]) + float32(q[2])) / 3
		}
	}
	return s
}

// blob is a place that is brighter than what lies about it, in pixels of the search.
type blob struct{ x, y, radius, above float64 }

// offsets are the pixels of a disc and of the ring about it.
func (s *search) offsets(radius float64) (disc, ring []int, reach int) {
	reach = int(math.Ceil(1.8 * radius))
	for y := -reach; y <= reach; y++ {
		for x := -reach; x <= reach; x++ {
			switch d := math.Hypot(float64(x), float64(y)); {
			case d <= 0.85*radius:
				disc = append(disc, y*s.w+x)
			case d >= 1.2*radius && d <= 1.8*radius:
				ring = append(ring, y*s.w+x)
			}
		}
	}
	return disc, ring, reach
}

// blobs returns the brightest blobs, each once.
func (s *search) blobs() []blob {
	var all []blob
	for k := range sizes {
		radius := math.Max(s.radius*leastSize*math.Pow(mostSize/leastSize, float64(k)/(sizes-1)), leastRadius)
		disc, ring, reach := s.offsets(radius)
		step := max(int(radius/3), 1) // the edge finds the rest
		for y := reach; y < s.h-reach; y += step {
			for x := reach; x < s.w-reach; x += step {
				if math.Hypot(float64(x)-s.p.X, float64(y)-s.p.Y) > s.p.Within {
					continue
				}
				above := s.mean(y*s.w+x, disc) - s.mean(y*s.w+x, ring)
				if above >= leastContrast/2 {
					all = append(all, blob{float64(x), float64(y), radius, above})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b blob) int { return cmp.Compare(b.above, a.above) })
	var out []blob
	for _, a := range all {
		if len(out) == tried {
			break
		}
		if !slices.ContainsFunc(out, func(o blob) bool { return math.Hypot(o.x-a.x, o.y-a.y) < o.radius }) {
			out = append(out, a)
		}
	}
	return out
}

func (s *search) mean(at int, offsets []int) float64 {
	var sum float32
	for _, o := range offsets {
		sum += s.grey[at+o]
	}
	return float64(sum) / float64(len(offsets))
}

// at is the picture between four pixels.
func (s *search) at(x, y float64) (float64, bool) {
	fx, fy := math.Floor(x), math.Floor(y)
	if fx < 0 || fy < 0 || int(fx)+1 >= s.w || int(fy)+1 >= s.h {
		return 0, false
	}
	i := int(fy)*s.w + int(fx)
	ax, ay := x-fx, y-fy
	top := float64(s.grey[i]) + ax*float64(s.grey[i+1]-s.grey[i])
	low := float64(s.grey[i+s.w]) + ax*float64(s.grey[i+s.w+1]-s.grey[i+s.w])
	return top + ay*(low-top), true
}

// edge lays a circle through the edge of a blob, three times, each from the
// middle that the one before found.
func (s *search) edge(a blob) (Ball, bool) {
	b := Ball{X: a.x, Y: a.y, Radius: a.radius}
	for range 3 {
		var xs, ys, steps []float64
		for k := range rays {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / rays)
			d, step, ok := s.crossing(b.X, b.Y, cos, sin, b.Radius)
			if ok {
				xs, ys, steps = append(xs, b.X+d*cos), append(ys, b.Y+d*sin), append(steps, step)
			}
		}
		if len(xs) < rays/2 {
			return b, false
		}
		x, y, r, ok := circle(xs, ys)
		if !ok {
			return b, false
		}
		// Once more with what lies on it, so that a clubhead beside it or a
		// shadow does not draw it away.
		slack := math.Max(0.15*r, 0.6)
		var cx, cy []float64
		for i := range xs {
			if math.Abs(math.Hypot(xs[i]-x, ys[i]-y)-r) <= slack {
				cx, cy = append(cx, xs[i]), append(cy, ys[i])
			}
		}
		if len(cx) < rays/2 {
			return b, false
		}
		if x, y, r, ok = circle(cx, cy); !ok {
			return b, false
		}
		slices.Sort(steps)
		b = Ball{X: x, Y: y, Radius: r, Contrast: steps[len(steps)/2], Round: float64(len(cx)) / rays}
	}
	ok := b.Round >= leastRound && b.Contrast >= leastContrast && b.Radius >= leastRadius*0.8 &&
		b.Radius >= leastSize*s.radius && b.Radius <= mostSize*s.radius && math.Hypot(b.X-s.p.X, b.Y-s.p.Y) <= s.p.Within
	b.X, b.Y = b.X+0.5+float64(s.x0), b.Y+0.5+float64(s.y0)
	return b, ok
}

// crossing is how far from a place, along a ray, the picture falls through half
// of what it falls by between the middle of the blob and outside it.
func (s *search) crossing(x, y, dx, dy, radius float64) (distance, step float64, ok bool) {
	inside, okIn := s.at(x+0.4*radius*dx, y+0.4*radius*dy)
	near, okNear := s.at(x+1.5*radius*dx, y+1.5*radius*dy)
	far, okFar := s.at(x+1.8*radius*dx, y+1.8*radius*dy)
	if !okIn || !okNear || !okFar {
		return 0, 0, false
	}
	outside := (near + far) / 2
	if step = inside - outside; step < leastContrast/2 {
		return 0, 0, false
	}
	half, before := (inside+outside)/2, inside
	const part = 0.05
	for d := 0.4 + part; d <= 1.8; d += part {
		v, ok := s.at(x+d*radius*dx, y+d*radius*dy)
		if !ok {
			return 0, 0, false
		}
		if v <= half {
			return (d - part*(half-v)/math.Max(before-v, 1e-9)) * radius, step, true
		}
		before = v
	}
	return 0, 0, false
}

// circle is the circle nearest to points: x² + y² = 2ax + 2by + c in least
// squares, about their mean.
func circle(xs, ys []float64) (x, y, r float64, ok bool) {
	n := float64(len(xs))
	var mx, my float64
	for i := range xs {
		mx += xs[i] / n
		my += ys[i] / n
	}
	var uu, uv, vv, uq, vq, q float64
	for i := range xs {
		u, v := xs[i]-mx, ys[i]-my
		d := u*u + v*v
		uu, uv, vv, q = uu+u*u, uv+u*v, vv+v*v, q+d
		uq, vq = uq+u*d, vq+v*d
	}
	det := uu*vv - uv*uv
	if !(det > 1e-9*uu*vv) {
		return 0, 0, 0, false
	}
	a, b := (uq*vv-vq*uv)/(2*det), (vq*uu-uq*uv)/(2*det)
	return mx + a, my + b, math.Sqrt(q/n + a*a + b*b), true
}
