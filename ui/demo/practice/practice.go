// Package practice paints the place where the demo swings are filmed: an
// invented practice ground with a mat, a white stick along the target line,
// mown grass with target flags, a hedge and trees, sky.
//
// World coordinates are those of package geometry, metres.
package practice

import (
	"math"

	"turngauge/ui/demo/render"
)

// The stick lies on the mat along the target line, between the feet and the
// ball. Its marked ends are StickX either side of the origin, on the ground.
const (
	StickLength = 1.22
	StickX      = StickLength / 2
	StickZ      = 0.44
	stickRadius = 0.006
)

// Light returns the light of a bright morning with thin cloud, the sun high
// behind the face-on camera's left shoulder.
func Light() render.Light {
	return render.Light{
		ToSun:  render.Vec{X: -0.42, Y: 0.82, Z: 0.52}.Unit(),
		Sun:    render.Colour{R: 0.86, G: 0.82, B: 0.74},
		Sky:    render.Colour{R: 0.34, G: 0.38, B: 0.44},
		Ground: render.Colour{R: 0.13, G: 0.145, B: 0.10},
	}
}

const (
	hedgeRadius = 21.0
	treeRadius  = 62.0
	hazeScale   = 260.0
)

var haze = render.Hex(0xc9d6de)

// Paint returns what is seen from a place in a direction. The direction's
// length must be such that one unit is one unit of depth.
func Paint(from, dir render.Vec) render.Sight {
	o := [3]float64{float64(from.X), float64(from.Y), float64(from.Z)}
	d := [3]float64{float64(dir.X), float64(dir.Y), float64(dir.Z)}
	ground := math.Inf(1)
	if d[1] < -1e-9 {
		ground = -o[1] / d[1]
	}
	// The hedge stands behind the golfer as seen face-on; the range is open
	// toward the target.
	if s, ok := wall(o, d, ground, hedgeRadius, hedge); ok {
		return s
	}
	if s, ok := board(o, d, ground); ok {
		return s
	}
	if s, ok := wall(o, d, ground, treeRadius, trees); ok {
		return s
	}
	if !math.IsInf(ground, 1) {
		return grass(o[0]+ground*d[0], o[2]+ground*d[2], ground, -d[1])
	}
	return sky(d)
}

// wall returns what a ray meets on an upright round wall about the origin
// whose face is painted by face(azimuth, height), or false where it passes
// over or the face is open.
func wall(o, d [3]float64, limit, radius float64, face func(az, h float64) (render.Colour, bool)) (render.Sight, bool) {
	a := d[0]*d[0] + d[2]*d[2]
	b := o[0]*d[0] + o[2]*d[2]
	c := o[0]*o[0] + o[2]*o[2] - radius*radius
	t := (-b + math.Sqrt(b*b-a*c)) / a
	if t > limit {
		return render.Sight{}, false
	}
	x, y, z := o[0]+t*d[0], o[1]+t*d[1], o[2]+t*d[2]
	col, ok := face(math.Atan2(z, x), y)
	if !ok {
		return render.Sight{}, false
	}
	return render.Sight{Colour: fade(col, t)}, true
}

func fade(c render.Colour, t float64) render.Colour {
	return c.Lerp(haze, float32(1-math.Exp(-t/hazeScale)))
}

func hedge(az, h float64) (render.Colour, bool) {
	// Open around the target direction, az = 0.
	if math.Abs(az) < 0.62 {
		return render.Colour{}, false
	}
	s := az * hedgeRadius
	top := 1.75 + 0.16*render.Fractal(s*0.9, 0, 4, 41)
	if h > top {
		return render.Colour{}, false
	}
	n := render.Fractal(s*3.2, h*3.2, 4, 43)
	big := render.Fractal(s*0.7, h*1.1, 2, 47)
	k := 0.55 + 0.40*n + 0.22*big + 0.32*h/top
	c := render.Hex(0x3c5a2c).Lerp(render.Hex(0x6d8a3e), float32(clamp(0.5+0.8*n)))
	return c.Mul(float32(clamp(k))), true
}

// A tree of the wood around the range: its place along the wall, half width,
// height and kind, metres.
type tree struct{ at, wide, high, kind float64 }

const (
	treeSpacing = 4.6
	treesAround = 2 * 48 // more than go round
	treeRows    = 2
)

// wood holds the trees of both rows by their number, from -treesAround/2.
var wood = plant()

func plant() (w [treeRows][treesAround]tree) {
	for row := range w {
		for i := range w[row] {
			w[row][i] = newTree(i-treesAround/2, uint32(row))
		}
	}
	return w
}

// newTree makes up tree number i of a row.
func newTree(i int, row uint32) tree {
	r := func(k uint32) float64 { return 0.5 + 0.5*render.Noise(float64(i)*7.31+0.5, float64(k)*3.7+0.5, 53+row) }
	wide := 2.3 + 1.5*r(1)
	return tree{at: (float64(i) + 0.8*(r(2)-0.5)) * treeSpacing, wide: wide, high: 5.2 + 3.2*r(3) + 1.4*float64(row), kind: r(4)}
}

// trees paints two rows of trees, the nearer one first.
func trees(az, h float64) (render.Colour, bool) {
	s := az * treeRadius
	for row := range uint32(treeRows) {
		best, found := render.Colour{}, false
		nearest := math.Inf(1)
		first := int(math.Floor(s/treeSpacing)) - 1 + treesAround/2
		for i := first; i <= first+3; i++ {
			t := &wood[row][i]
			// A crown of leaves, ragged at the rim, over a dark foot.
			mid := t.high * 0.56
			x, y := (s-t.at)/t.wide, (h-mid)/(t.high-mid)
			if y < 0 {
				y *= 0.75
			}
			rag := 0.30*render.Fractal(s*0.75, h*0.75, 3, 61+row*5) + 0.10*render.Noise(s*4, h*4, 67)
			d := x*x + y*y + rag
			if d > 1 {
				continue
			}
			// The tree that stands in front is the one whose middle is nearer.
			if order := math.Abs(x) + 0.3*t.kind; order < nearest {
				nearest = order
				best, found = leaves(t, s, h, x, y, row), true
			}
		}
		if found {
			return best, true
		}
		// Undergrowth closes the gaps low down.
		if low := 1.5 + 0.8*render.Fractal(s*0.5, 0, 3, 71+row); h < low {
			n := render.Fractal(s*1.6, h*1.6, 3, 73)
			return render.Hex(0x31492a).Mul(float32(clamp(0.50 + 0.35*n + 0.15*h))), true
		}
	}
	return render.Colour{}, false
}

func leaves(t *tree, s, h, x, y float64, row uint32) render.Colour {
	clump := render.Fractal(s*0.9, h*0.9, 2, 79)
	leaf := render.Fractal(s*3.3, h*3.3, 3, 83)
	c := render.Hex(0x2f5128).Lerp(render.Hex(0x71883c), float32(clamp(0.15+0.75*t.kind+0.25*leaf)))
	// The sun stands high on the left of the face-on camera.
	k := 0.62 + 0.30*y + 0.34*clump + 0.30*leaf - 0.10*x
	if row > 0 {
		c = c.Lerp(haze, 0.18)
	}
	return c.Mul(float32(math.Max(0.10, math.Min(1.15, k))))
}

// board returns a target flag or a distance board out on the range.
func board(o, d [3]float64, limit float64) (render.Sight, bool) {
	for _, q := range [...]struct {
		x, z, w, low, high float64
		c                  uint32
	}{
		{46, -3.2, 0.035, 0, 2.3, 0xe8e8e0}, {46, -2.80, 0.38, 1.75, 2.3, 0xd0452e},
		{55, 8.5, 0.035, 0, 2.3, 0xe8e8e0}, {55, 8.9, 0.38, 1.75, 2.3, 0xf0c83c},
		{36, 13.5, 1.0, 0.5, 1.5, 0xeeeee8}, {36, 12.8, 0.06, 0, 0.5, 0x6b5a44}, {36, 14.2, 0.06, 0, 0.5, 0x6b5a44},
		{52, -13, 1.1, 0.5, 1.6, 0xeeeee8}, {52, -13.8, 0.06, 0, 0.5, 0x6b5a44}, {52, -12.2, 0.06, 0, 0.5, 0x6b5a44},
	} {
		if d[0] <= 0 {
			continue
		}
		t := (q.x - o[0]) / d[0]
		if t > limit {
			continue
		}
		y, z := o[1]+t*d[1], o[2]+t*d[2]
		if math.Abs(z-q.z) > q.w || y < q.low || y > q.high {
			continue
		}
		// Lit from behind the camera's left.
		return render.Sight{Colour: fade(render.Hex(q.c).Mul(0.8), t)}, true
	}
	return render.Sight{}, false
}

// grass paints the ground at a place: the mat with its rim and lines, mown
// grass with stripes around. steep is the downward part of the ray, t its
// depth: fine detail fades where it would be smaller than a pixel.
func grass(x, z, t, steep float64) render.Sight {
	const fine = 1.0 / 1400
	size := t * fine / math.Max(steep, 0.02) // of a pixel on the ground
	detail := func(period float64) float64 { return clamp(period/(2.5*size) - 0.2) }

	if c, ok := mat(x, z, detail); ok {
		return render.Sight{Colour: c, Sun: sunPart}
	}
	stripe := 0.0
	if x > 7 || math.Abs(z) > 6 {
		stripe = 0.5 * math.Tanh(6*math.Sin(x*0.55+0.3*math.Sin(z*0.1)))
	}
	n := 0.50*render.Fractal(x*0.6, z*0.6, 3, 73) +
		0.60*detail(0.12)*render.Fractal(x*9, z*9, 3, 79) +
		0.75*detail(0.04)*render.Fractal(x*28, z*28, 2, 81) +
		1.00*detail(0.015)*render.Fractal(x*75, z*75, 2, 83)
	c := render.Hex(0x5d7f37).Lerp(render.Hex(0x86a04e), float32(clamp(0.5+0.55*n)))
	k := 1 + 0.10*stripe + 0.22*n
	c = c.Mul(float32(0.86 * k))
	return render.Sight{Colour: fade(c, t), Sun: sunPart}
}

// sunPart is how much of the ground's light is the sun's.
const sunPart = 0.62

// mat paints the hitting mat with the stick on it.
func mat(x, z float64, detail func(float64) float64) (render.Colour, bool) {
	const x0, x1, z0, z1 = -0.86, 0.94, -0.52, 1.26
	in := math.Min(math.Min(x-x0, x1-x), math.Min(z-z0, z1-z))
	if in < 0 {
		// A dark edge where it stands over the grass.
		if in > -0.025 {
			return render.Hex(0x2a3324), true
		}
		return render.Colour{}, false
	}
	if in < 0.03 {
		return render.Hex(0x23272a).Mul(0.9), true
	}
	n := 0.6*render.Fractal(x*5, z*5, 3, 89) +
		0.8*detail(0.02)*render.Fractal(x*90, z*90, 2, 97)
	c := render.Hex(0x3f7a4a).Lerp(render.Hex(0x5b9860), float32(clamp(0.5+0.5*n)))
	// Worn and sanded about the ball.
	worn := math.Exp(-(math.Pow((x-0.02)/0.20, 2) + math.Pow((z-0.84)/0.10, 2)))
	c = c.Lerp(render.Hex(0x8d9a78), float32(0.45*worn*clamp(0.7+0.5*n)))
	c = c.Mul(float32(0.84 * (1 + 0.14*n)))
	return stick(x, z, c), true
}

// stick paints the stick and its own shadow over c.
func stick(x, z float64, c render.Colour) render.Colour {
	along := math.Abs(x) - StickX
	across := z - StickZ
	// The shadow lies away from the sun, on the golfer's side.
	if along < 0.003 && math.Abs(across+0.0075) < 0.006 {
		c = c.Mul(0.45)
	}
	if along <= 0 && math.Abs(across) < stickRadius {
		// A round stick: bright on top and toward the sun.
		q := across / stickRadius
		k := 0.62 + 0.33*math.Sqrt(1-q*q) + 0.12*q
		paint := render.Hex(0xf6f5ef)
		if along > -0.05 {
			paint = render.Hex(0xd9502f)
		}
		return paint.Mul(float32(k))
	}
	return c
}

func sky(d [3]float64) render.Sight {
	l := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
	up := d[1] / l
	az := math.Atan2(d[2], d[0])
	c := render.Hex(0xd5e2ea).Lerp(render.Hex(0x7fa9d2), float32(clamp(math.Pow(math.Max(up, 0), 0.6)*1.5)))
	// Clouds on a flat layer.
	cloud := render.Fractal(az*3.1, math.Log(0.12+math.Max(up, 0))*2.6, 5, 101)
	c = c.Lerp(render.Hex(0xf2f4f5), float32(clamp(0.15+1.3*cloud)))
	return render.Sight{Colour: c.Mul(0.95)}
}

func clamp(v float64) float64 { return math.Max(0, math.Min(1, v)) }
