package figure

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// trunk is shirt, trousers' seat, belt with buckle and label, collar and neck.
type trunk struct {
	k                 float64 // stature over that of the tables below
	girth             float64 // depth and width over theirs
	wear              Wear
	l                 golfer.Lengths
	shirt, seat, belt *tube
	collar, neck      *tube
	buckle, label     *tube
}

// The tables below give half widths and depths in metres of a woman of 1.72 m
// over the height above mid-hip along the trunk, as a part of mid-hip to
// mid-shoulder (0.495 m).
var (
	shirtSide  = profile{{0.14, 0.146}, {0.19, 0.1425}, {0.23, 0.1465}, {0.33, 0.137}, {0.46, 0.134}, {0.60, 0.143}, {0.72, 0.151}, {0.84, 0.157}, {0.92, 0.158}, {0.98, 0.150}, {1.03, 0.124}, {1.07, 0.090}, {1.11, 0.064}, {1.15, 0.057}}
	shirtFront = profile{{0.14, 0.104}, {0.19, 0.1035}, {0.23, 0.110}, {0.33, 0.106}, {0.46, 0.102}, {0.60, 0.109}, {0.70, 0.117}, {0.79, 0.1066}, {0.88, 0.092}, {0.96, 0.072}, {1.03, 0.056}, {1.07, 0.050}, {1.11, 0.046}, {1.15, 0.048}}
	shirtRear  = profile{{0.14, 0.096}, {0.19, 0.0965}, {0.23, 0.101}, {0.33, 0.093}, {0.46, 0.091}, {0.60, 0.097}, {0.70, 0.103}, {0.79, 0.1049}, {0.90, 0.102}, {0.98, 0.090}, {1.03, 0.078}, {1.07, 0.070}, {1.11, 0.062}, {1.15, 0.058}}
	seatSide   = profile{{-0.24, 0.120}, {-0.17, 0.157}, {-0.08, 0.168}, {0.02, 0.168}, {0.10, 0.157}, {0.16, 0.1475}, {0.21, 0.1465}}
	seatFront  = profile{{-0.24, 0.050}, {-0.17, 0.080}, {-0.08, 0.094}, {0.02, 0.102}, {0.10, 0.1055}, {0.16, 0.1055}, {0.21, 0.1050}}
	seatRear   = profile{{-0.24, 0.070}, {-0.17, 0.104}, {-0.08, 0.120}, {0.02, 0.119}, {0.10, 0.108}, {0.16, 0.0995}, {0.21, 0.0975}}
)

// What hangs lower or wider than the tables above have it: a shirt over the belt, and a
// skirt's flare.
var (
	looseSide  = profile{{-0.06, 0.190}, {0.02, 0.185}, {0.10, 0.172}, {0.17, 0.160}, {0.23, 0.151}, {0.33, 0.140}, {0.46, 0.134}}
	looseFront = profile{{-0.06, 0.138}, {0.02, 0.132}, {0.10, 0.126}, {0.17, 0.120}, {0.23, 0.115}, {0.33, 0.108}, {0.46, 0.102}}
	looseRear  = profile{{-0.06, 0.142}, {0.02, 0.134}, {0.10, 0.120}, {0.17, 0.112}, {0.23, 0.106}, {0.33, 0.095}, {0.46, 0.091}}
	skirtSide  = profile{{-0.80, 0.228}, {-0.5, 0.202}, {-0.17, 0.178}, {-0.08, 0.171}, {0.02, 0.168}, {0.10, 0.157}, {0.16, 0.1475}, {0.21, 0.1465}}
	skirtFront = profile{{-0.80, 0.170}, {-0.5, 0.140}, {-0.17, 0.108}, {-0.08, 0.103}, {0.02, 0.102}, {0.10, 0.1055}, {0.16, 0.1055}, {0.21, 0.1050}}
	skirtRear  = profile{{-0.80, 0.175}, {-0.5, 0.150}, {-0.17, 0.128}, {-0.08, 0.122}, {0.02, 0.119}, {0.10, 0.108}, {0.16, 0.0995}, {0.21, 0.0975}}
)

const (
	looseBottom, skirtBottom = -0.06, -0.80
	// untuckedTurn is the part of the chest's turn against the pelvis that the hem of a shirt
	// over the belt follows (ours: nobody has measured it for us).
	untuckedTurn = 0.12
)

const (
	shirtBottom, shirtTop = 0.15, 1.15
	seatBottom, seatTop   = -0.24, 0.205
	beltHalf              = 0.036 // of the same unit: 3.6 cm wide in all
)

func newTrunk(m *golfer.Model, w Wear) *trunk {
	t := &trunk{k: m.Params.Stature / 1.72, girth: girthOf(m), l: m.Lengths, wear: w}
	cloth, leathery := trouserTexture(false, false), beltTexture()
	if w.Plain {
		cloth, leathery = render.Plain(trouserColour), render.Plain(leather)
	}
	t.shirt = newTube(56, 52, 2.25, shirtTexture()).fold(0.0080, 2.6, 7, 11, func(v float64) float64 {
		return 1 - 0.65*smooth(0.3, 0.6, v)
	})
	t.seat = newTube(48, 16, 2.2, cloth).fold(0.003, 2.4, 3, 23, func(v float64) float64 { return 1 - smooth(0.6, 0.9, v) })
	t.belt = newTube(48, 4, 2.25, leathery)
	t.belt.Gloss, t.belt.Shine = 0.05, 20
	t.collar = newTube(28, 5, 2, collarTexture())
	t.collar.TwoSided = true
	t.neck = newTube(20, 6, 2, skinTexture())
	t.buckle = newPlate(buckleTexture())
	t.buckle.Gloss, t.buckle.Shine = 0.5, 26
	t.label = newPlate(labelTexture())
	return t
}

// girthOf is by how much deeper than slim a golfer is.
func girthOf(m *golfer.Model) float64 { return cmp.Or(m.Params.Girth, 1) }

// newPlate returns a tube for a small rounded box.
func newPlate(tex *render.Texture) *tube { return newTube(20, 6, 6, tex) }

// setPlate shapes a small box about f's origin: half its width along Lead,
// half its height along Up and its thickness, with its outer face on the
// plane through the origin square to Front.
func setPlate(t *tube, f golfer.Frame, width, height, thick float64) {
	f.O = f.At(0, 0, -thick/2)
	rows := [...]struct{ up, k float64 }{{-1, 0}, {-1, 0.94}, {-0.9, 1}, {0.9, 1}, {1, 0.94}, {1, 0}}
	for j, r := range rows {
		g := f
		g.O = f.At(0, r.up*height, 0)
		t.set(j, ring{g, width * r.k, thick / 2 * r.k, thick / 2 * r.k})
	}
	t.Normals()
}

// spine returns the trunk's frame at a part s of the way from mid-hip to
// mid-shoulder: the pelvis' below the belt, the chest's from the breastbone
// up, a smooth bend between.
func spine(p *golfer.Pose, length, s float64) golfer.Frame {
	const lo, hi = 0.24, 0.74
	if s <= lo {
		f := p.Pelvis
		f.O = f.At(0, s*length, 0)
		return f
	}
	if s >= hi {
		f := p.Chest
		f.O = f.At(0, (s-1)*length, 0)
		return f
	}
	a, b := p.Pelvis.At(0, lo*length, 0), p.Chest.At(0, (hi-1)*length, 0)
	span := (hi - lo) * length
	t := (s - lo) / (hi - lo)
	u := 1 - t
	// Cubic Hermite through both ends along both axes.
	o := r3.Add(r3.Add(r3.Scale(u*u*(1+2*t), a), r3.Scale(t*t*(3-2*t), b)),
		r3.Add(r3.Scale(t*u*u*span, p.Pelvis.Up), r3.Scale(-t*t*u*span, p.Chest.Up)))
	up := r3.Add(r3.Scale(6*t*u, r3.Sub(b, a)),
		r3.Add(r3.Scale(u*(1-3*t)*span, p.Pelvis.Up), r3.Scale(t*(3*t-2)*span, p.Chest.Up)))
	w := smooth(0, 1, t)
	return frameAlong(o, up, mix(p.Pelvis.Front, p.Chest.Front, w))
}

// hem turns a frame of a shirt that hangs over the belt as far as it goes with the chest.
func hem(p *golfer.Pose, f golfer.Frame, s float64) golfer.Frame {
	const tight = 0.30 // from where on it is held by the trunk, of mid-hip to mid-shoulder
	part := untuckedTurn * (1 - smooth(0.1, tight, s))
	front := mix(f.Front, p.Chest.Front, part)
	return frameAlong(f.O, f.Up, front)
}

// hung is the frame of a skirt so far under the hip line, metres: it lies on the thighs.
func hung(p *golfer.Pose, f golfer.Frame, down float64) golfer.Frame {
	knees := mix(p.Points[geometry.LeadKnee], p.Points[geometry.TrailKnee], 0.5)
	along := r3.Unit(r3.Sub(p.Pelvis.O, knees))
	return frameAlong(r3.Sub(p.Pelvis.O, r3.Scale(down, along)), mix(f.Up, along, smooth(0, 0.08, down)), f.Front)
}

// update moves the trunk to a pose; belt and seat, which may slip, turn about the pelvis'
// own axis by slip radians.
func (t *trunk) update(p *golfer.Pose, slip float64) {
	l, k := t.l.Trunk, t.k*t.girth
	worn := *p
	sin, cos := math.Sincos(slip)
	worn.Pelvis.Lead = p.Pelvis.Dir(cos, 0, sin)
	worn.Pelvis.Front = p.Pelvis.Dir(-sin, 0, cos)
	shape := func(p *golfer.Pose, m *tube, from, to float64, side, front, rear profile) {
		n := m.Rows()
		for j := range n {
			s := from + (to-from)*float64(j)/float64(n-1)
			f := spine(p, l, s)
			switch {
			case m == t.shirt && t.wear.Untucked:
				f = hem(p, f, s)
			case m == t.seat && s < 0 && t.wear.Legs == Skirt:
				f = hung(p, f, -s*l)
			}
			m.set(j, ring{f, side.value(s) * k, front.value(s) * k, rear.value(s) * k})
		}
		m.Normals()
	}
	if t.wear.Untucked {
		over := func(low, high profile) profile { return append(low[:len(low):len(low)], high[5:]...) }
		shape(p, t.shirt, looseBottom, shirtTop, over(looseSide, shirtSide), over(looseFront, shirtFront), over(looseRear, shirtRear))
	} else {
		shape(p, t.shirt, shirtBottom, shirtTop, shirtSide, shirtFront, shirtRear)
	}
	if t.wear.Legs == Skirt {
		shape(&worn, t.seat, skirtBottom, seatTop, skirtSide, skirtFront, skirtRear)
	} else {
		shape(&worn, t.seat, seatBottom, seatTop, seatSide, seatFront, seatRear)
	}

	// The belt passes through buckle and tailbone.
	at := t.l.BeltUp / l
	front, rear := t.l.BeltFront-0.003, t.l.BeltRear-0.002
	for j, r := range [...]struct{ up, grow float64 }{{-1, -0.003}, {-0.92, 0}, {0.92, 0}, {1, -0.003}} {
		f := spine(&worn, l, at+r.up*beltHalf)
		t.belt.set(j, ring{f, 0.1495*k + r.grow, front + r.grow, rear + r.grow})
	}
	t.belt.Normals()
	f := worn.Pelvis
	f.O = worn.Pelvis.At(0, t.l.BeltUp, t.l.BeltFront)
	setPlate(t.buckle, f, 0.024, 0.021, 0.010)
	f = golfer.Frame{O: worn.Pelvis.At(0, t.l.BeltUp, -t.l.BeltRear), Lead: r3.Scale(-1, f.Lead), Up: f.Up, Front: r3.Scale(-1, f.Front)}
	setPlate(t.label, f, 0.021, 0.016, 0.008)

	k = t.k
	for j, r := range [...]struct{ s, side, front, rear float64 }{
		{1.035, 0.082, 0.064, 0.074}, {1.07, 0.070, 0.062, 0.066}, {1.12, 0.064, 0.061, 0.062}, {1.135, 0.066, 0.066, 0.066}, {1.10, 0.073, 0.074, 0.076},
	} {
		t.collar.set(j, ring{spine(p, l, r.s), r.side * k, r.front * k, r.rear * k})
	}
	t.collar.Normals()
	a, b := p.Chest.At(0, 0.0*k, -0.005), p.Head.At(0, -0.05*k, -0.022*k)
	c := p.Chest.At(0, 0.075*k, -0.005)
	n := t.neck.Rows()
	for j := range n {
		o, d := curve3(a, c, b, float64(j)/float64(n-1))
		t.neck.set(j, ring{frameAlong(o, d, mix(p.Chest.Front, p.Head.Front, float64(j)/float64(n-1))), 0.052 * k, 0.053 * k, 0.055 * k})
	}
	t.neck.Normals()
}

func (t *trunk) meshes() []*render.Mesh {
	return []*render.Mesh{t.seat.Mesh, t.shirt.Mesh, t.belt.Mesh, t.buckle.Mesh, t.label.Mesh, t.neck.Mesh, t.collar.Mesh}
}
