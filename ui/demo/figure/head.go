package figure

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// head is face, hair with a tail, ears and a cap with its peak.
type head struct {
	k                       float64
	l                       golfer.Lengths
	face, hair, tail, crown *tube
	ears                    [2]*tube
	peak                    *render.Mesh
}

func newHead(m *golfer.Model) *head {
	h := &head{k: m.Params.Stature / 1.72, l: m.Lengths}
	h.face = newTube(36, 26, 2.15, faceTexture())
	h.face.Gloss, h.face.Shine = 0.05, 14
	h.hair = newTube(32, 18, 2.1, hairTexture())
	h.hair.Gloss, h.hair.Shine = 0.08, 16
	h.tail = newTube(14, 14, 2, hairTexture())
	h.tail.Gloss, h.tail.Shine = 0.08, 16
	h.crown = newTube(32, 14, 2.1, capTexture())
	for i := range h.ears {
		h.ears[i] = newTube(12, 7, 2, skinTexture())
	}
	h.peak = render.NewGrid(18, 7, false, peakTexture())
	h.peak.TwoSided = true
	return h
}

// roundEnd is the half width of a ball-ended rod over -1 to 1.
func roundEnd(s float64) float64 {
	if s >= 1 || s <= -1 {
		if math.Abs(s) > 1.0001 {
			return 1
		}
		return 0
	}
	return math.Pow(1-math.Pow(math.Abs(s), 3), 1/2.4)
}

// fingerGroove is 1 in the three gaps between four fingers over -1 to 1.
func fingerGroove(s float64) float64 {
	g := math.Cos(s * 4 * math.Pi / 2)
	return math.Pow(math.Max(0, g), 6)
}

func (h *head) update(p *golfer.Pose) {
	l, f := &h.l, p.Head
	w, d, t := l.HeadBreadth, l.HeadDepth, l.HeadHeight
	// Face and skull: an egg with a narrower jaw that lies forward.
	n := h.face.Rows()
	for j := range n {
		s := float64(j)/float64(n-1)*2 - 1
		r := math.Sqrt(math.Max(0, 1-s*s))
		jaw := smooth(0.1, -0.9, s)
		g := f
		g.O = f.At(0, s*t, 0.012*h.k*jaw)
		h.face.set(j, ring{g, w * r * (1 - 0.10*jaw), d * r * (0.93 - 0.02*jaw), d * r * (1 - 0.42*jaw)})
	}
	h.nose(f)
	h.face.Normals()

	// Hair covers the sides above the ears and the back down to the neck.
	n = h.hair.Rows()
	for j := range n {
		s := -0.55 + 1.55*float64(j)/float64(n-1)
		r := math.Sqrt(math.Max(0, 1-s*s))
		g := f
		back := 0.012 + 0.022*smooth(0.5, -0.4, s)
		g.O = f.At(0, s*t+0.004, -back*h.k)
		h.hair.set(j, ring{g, (w + 0.007) * r, d * r * 0.74, (d + 0.008) * r * (1 - 0.16*smooth(0, -0.5, s))})
	}
	h.hair.Normals()
	h.cap(f)

	// The tail leaves the back of the head and hangs.
	from, over := f.At(0, 0.015, -d-0.005), f.At(0, 0.010, -d-0.070)
	to := r3.Add(f.At(0, -0.105, -d-0.030), r3.Vec{Y: -0.060})
	n = h.tail.Rows()
	for j := range n {
		s := float64(j) / float64(n-1)
		o, dir := curve3(to, over, from, s)
		r := tailRadius.value(s) * h.k
		h.tail.set(j, ring{frameAlong(o, dir, f.Lead), r, r, r})
	}
	h.tail.Normals()

	for i, e := range h.ears {
		out := 1 - 2*float64(i)
		n := e.Rows()
		for j := range n {
			s := float64(j)/float64(n-1)*2 - 1
			r := roundEnd(s)
			g := f
			g.O = f.At(out*(w-0.001), s*0.026*h.k-0.010, -0.006)
			e.set(j, ring{g, 0.008 * r * h.k, 0.013 * r * h.k, 0.013 * r * h.k})
		}
		e.Normals()
	}
}

var tailRadius = profile{{0, 0.004}, {0.15, 0.016}, {0.45, 0.024}, {0.8, 0.021}, {1, 0.015}}

// nose pushes the middle of the face out.
func (h *head) nose(f golfer.Frame) {
	cols, rows := h.face.Cols(), h.face.Rows()
	for j := range rows {
		v := float64(j) / float64(rows-1)
		up := smooth(0.34, 0.40, v) * (1 - smooth(0.42, 0.56, v))
		chin := smooth(0.08, 0.14, v) * (1 - smooth(0.16, 0.26, v))
		for i := range cols {
			u := float64(i)/float64(cols-1) - 0.5
			out := 0.019*up*math.Exp(-u*u/(2*0.022*0.022)) + 0.005*chin*math.Exp(-u*u/(2*0.06*0.06))
			if out > 1e-4 {
				at := j*cols + i
				h.face.Pos[at] = h.face.Pos[at].Add(vec(r3.Scale(out*h.k, f.Front)))
			}
		}
	}
}

// cap sits on the upper head, its peak over the brow.
func (h *head) cap(f golfer.Frame) {
	l := &h.l
	w, d, t := l.HeadBreadth+0.0095, l.HeadDepth+0.0085, l.HeadHeight+0.012
	// The cap tips down to the back.
	tip := golfer.Frame{O: f.O, Lead: f.Lead, Up: f.Dir(0, 0.985, -0.17), Front: f.Dir(0, 0.17, 0.985)}
	const low = 0.30
	n := h.crown.Rows()
	for j := range n {
		a := math.Asin(low) + (math.Pi/2-math.Asin(low))*float64(j)/float64(n-1)
		s, r := math.Sincos(a)
		g := tip
		g.O = tip.At(0, s*t, -0.003)
		h.crown.set(j, ring{g, w * r, d * r * 0.97, d * r})
	}
	h.crown.Normals()
	cols, rows := h.peak.Cols(), h.peak.Rows()
	r := math.Cos(math.Asin(low))
	for i := range cols {
		b := (float64(i)/float64(cols-1) - 0.5) * 2 * 1.12
		s, c := math.Sincos(b)
		for j := range rows {
			e := float64(j) / float64(rows-1)
			// Out from the cap's rim to a rounded edge, arched across.
			reach := 0.072 * h.k * math.Sqrt(math.Max(0, 1-math.Pow(math.Abs(b)/1.13, 2.6)))
			o := tip.At(w*r*s*(1+0.1*e), low*t+0.002-0.010*s*s*e-0.026*e*e*0.55, d*r*0.97*c-0.003+reach*e)
			h.peak.Set(i, j, vec(o))
		}
	}
	h.peak.Normals()
}

func (h *head) meshes() []*render.Mesh {
	return []*render.Mesh{h.face.Mesh, h.hair.Mesh, h.tail.Mesh, h.crown.Mesh, h.ears[0].Mesh, h.ears[1].Mesh, h.peak}
}
