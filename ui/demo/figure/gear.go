package figure

import (
	"math"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// shoes stand on the ground and end at heel and toe.
type shoes struct {
	l     golfer.Lengths
	shoes [2]*tube
}

// Over the length from heel to toe: half width, height of the upper and of
// the lower edge over the ground, metres for a shoe of 0.261 m.
var (
	shoeSide = profile{{0, 0.004}, {0.02, 0.021}, {0.06, 0.030}, {0.14, 0.0345}, {0.26, 0.034}, {0.42, 0.035}, {0.58, 0.042}, {0.72, 0.047}, {0.84, 0.043}, {0.93, 0.032}, {0.98, 0.018}, {1, 0.003}}
	shoeTop  = profile{{0, 0.030}, {0.02, 0.052}, {0.06, 0.074}, {0.14, 0.086}, {0.26, 0.090}, {0.36, 0.088}, {0.48, 0.074}, {0.62, 0.058}, {0.76, 0.047}, {0.88, 0.040}, {0.95, 0.034}, {0.99, 0.027}, {1, 0.023}}
	shoeLow  = profile{{0, 0.013}, {0.02, 0.004}, {0.06, 0.000}, {0.5, 0.000}, {0.85, 0.000}, {0.95, 0.003}, {0.99, 0.011}, {1, 0.017}}
)

func newShoes(m *golfer.Model) *shoes {
	s := &shoes{l: m.Lengths}
	for i := range s.shoes {
		s.shoes[i] = newTube(28, 30, 2.7, shoeTexture())
		s.shoes[i].Gloss, s.shoes[i].Shine = 0.06, 20
	}
	return s
}

func (s *shoes) update(p *golfer.Pose) {
	for i, f := range [2]golfer.Frame{p.LeadFoot, p.TrailFoot} {
		t := s.shoes[i]
		n := t.Rows()
		length := s.l.AnkleToHeel + s.l.AnkleToToe
		k := length / 0.2614
		for j := range n {
			// Rows crowd at the ends, where the shape is round.
			a := 0.5 - 0.5*math.Cos(math.Pi*float64(j)/float64(n-1))
			top, low := shoeTop.value(a)*k, shoeLow.value(a)*k
			// Up along the tube is along the foot; its front is up.
			g := golfer.Frame{
				O:    f.At(0, (top+low)/2-s.l.AnkleHeight, a*length-s.l.AnkleToHeel),
				Lead: f.Dir(-1, 0, 0), Up: f.Front, Front: f.Up,
			}
			half := (top - low) / 2
			t.set(j, ring{g, shoeSide.value(a) * k, half, half})
		}
		t.Normals()
	}
}

func (s *shoes) meshes() []*render.Mesh {
	return []*render.Mesh{s.shoes[0].Mesh, s.shoes[1].Mesh}
}

// club is grip, shaft and head.
type club struct {
	c           golfer.Club
	grip, shaft *tube
	hosel, head *tube
}

// headSections shape the iron's head from heel to toe: distance along the
// sole from the shaft's axis, heights of the sole and the top line, metres.
var headSections = [...]struct{ out, low, high, thick float64 }{
	{-0.011, 0.010, 0.020, 0.004}, {-0.008, 0.004, 0.029, 0.013}, {0.004, 0.001, 0.033, 0.019},
	{0.020, 0.000, 0.039, 0.021}, {0.040, 0.000, 0.047, 0.021}, {0.058, 0.002, 0.052, 0.019},
	{0.067, 0.008, 0.051, 0.014}, {0.071, 0.018, 0.044, 0.005},
}

const loftDegrees = 31

func newClub(m *golfer.Model) *club {
	c := &club{c: m.Params.Club}
	c.grip = newTube(10, 6, 2, gripTexture())
	c.shaft = newTube(10, 12, 2, shaftTexture())
	c.shaft.Gloss, c.shaft.Shine = 0.8, 30
	c.hosel = newTube(10, 4, 2, shaftTexture())
	c.hosel.Gloss, c.hosel.Shine = 0.6, 24
	c.head = newTube(20, len(headSections)+2, 3.2, ironTexture())
	c.head.Gloss, c.head.Shine = 0.7, 22
	return c
}

func (c *club) update(p *golfer.Pose) {
	f := p.Club
	rod := func(t *tube, from, to, r0, r1 float64, closed bool) {
		n := t.Rows()
		for j := range n {
			s := float64(j) / float64(n-1)
			g := golfer.Frame{O: f.At(0, 0, from+(to-from)*s), Lead: f.Lead, Up: f.Front, Front: f.Dir(0, -1, 0)}
			r := r0 + (r1-r0)*s
			t.set(j, ring{g, r, r, r})
		}
		if closed {
			t.point(0, f.At(0, 0, from))
			t.point(n-1, f.At(0, 0, to))
		}
		t.Normals()
	}
	rod(c.grip, 0, 0.265, 0.0142, 0.0100, false)
	c.grip.point(0, f.O)
	rod(c.shaft, 0.26, c.c.Length-0.05, 0.0072, 0.0050, false)
	rod(c.hosel, c.c.Length-0.075, c.c.Length-0.008, 0.0066, 0.0072, false)

	// Sections run along the sole; the face leans back by the loft.
	s := p.Sole(&c.c)
	sl, cl := math.Sincos(loftDegrees * math.Pi / 180)
	n := len(headSections)
	for j, q := range headSections {
		high := (q.high - q.low) / 2
		mid := (q.high + q.low) / 2
		up := s.Dir(-sl, cl, 0)
		g := golfer.Frame{
			O:  s.At(-(mid-c.c.HeadUp)*sl/cl, mid, q.out),
			Up: s.Front, Front: up, Lead: s.Dir(-cl, -sl, 0),
		}
		c.head.set(j+1, ring{g, q.thick / 2, high / cl, high / cl})
	}
	c.head.point(0, s.At(0, 0.015, -0.012))
	c.head.point(n+1, s.At(0, 0.031, 0.0715))
	c.head.Normals()
}

func (c *club) meshes() []*render.Mesh {
	return []*render.Mesh{c.grip.Mesh, c.shaft.Mesh, c.hosel.Mesh, c.head.Mesh}
}

// ball is a white sphere.
type ball struct{ *tube }

func newBall() *ball {
	b := &ball{newTube(20, 13, 2, render.Plain(render.Hex(0xf4f4f0)))}
	b.Gloss, b.Shine = 0.15, 24
	return b
}

func (b *ball) update(p *golfer.Pose) {
	n := b.Rows()
	for j := range n {
		s, c := math.Sincos((float64(j)/float64(n-1) - 0.5) * math.Pi)
		f := golfer.Frame{Lead: p.Pelvis.Lead, Up: p.Pelvis.Up, Front: p.Pelvis.Front}
		f.O = p.Points[geometry.Ball]
		f.O = f.At(0, golfer.BallRadius*s, 0)
		r := golfer.BallRadius * c
		b.set(j, ring{f, r, r, r})
	}
	b.Normals()
}
