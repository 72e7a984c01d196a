package render

// Light is the sun and what the surroundings give back.
type Light struct {
	ToSun  Vec // unit
	Sun    Colour
	Sky    Colour // on surfaces that look up
	Ground Colour // on surfaces that look down
}

// The shadow map covers a square of the world as the sun sees it.
const (
	shadowSize = 448
	shadowSpan = 3.4 // metres
	shadowBias = 0.014
)

// shadowMap holds, for each cell seen from the sun, how near to it the first
// surface is, and how much of the cell's surroundings is covered.
type shadowMap struct {
	right, up, toSun Vec
	centre           Vec
	near             []float32 // along toSun; larger is nearer to the sun
	cover, swap      []float32
	screen           []Vec
}

const unlit = float32(-1e9)

func newShadowMap(toSun, centre Vec) *shadowMap {
	right := Vec{Y: 1}.Cross(toSun).Unit()
	return &shadowMap{
		right: right, up: toSun.Cross(right), toSun: toSun, centre: centre,
		near:  make([]float32, shadowSize*shadowSize),
		cover: make([]float32, shadowSize*shadowSize),
		swap:  make([]float32, shadowSize*shadowSize),
	}
}

// cell returns the place of p in the map, in cells, and its height.
func (s *shadowMap) cell(p Vec) (x, y, h float32) {
	d := p.Sub(s.centre)
	const k = shadowSize / shadowSpan
	return d.Dot(s.right)*k + shadowSize/2, d.Dot(s.up)*k + shadowSize/2, d.Dot(s.toSun)
}

func (s *shadowMap) reset() {
	for i := range s.near {
		s.near[i] = unlit
	}
}

// cast draws a mesh into the map.
func (s *shadowMap) cast(m *Mesh) {
	if cap(s.screen) < len(m.Pos) {
		s.screen = make([]Vec, len(m.Pos))
	}
	s.screen = s.screen[:len(m.Pos)]
	for i, p := range m.Pos {
		x, y, h := s.cell(p)
		s.screen[i] = Vec{x, y, h}
	}
	for _, t := range m.Tri {
		a, b, c := s.screen[t[0]], s.screen[t[1]], s.screen[t[2]]
		area := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
		if area <= 0 {
			if area == 0 || !m.TwoSided {
				continue
			}
			b, c, area = c, b, -area
		}
		x0 := max(int(min(a.X, b.X, c.X)-0.5), 0)
		x1 := min(int(max(a.X, b.X, c.X)+0.5), shadowSize-1)
		y0 := max(int(min(a.Y, b.Y, c.Y)-0.5), 0)
		y1 := min(int(max(a.Y, b.Y, c.Y)+0.5), shadowSize-1)
		k := 1 / area
		for y := y0; y <= y1; y++ {
			py := float32(y) + 0.5
			for x := x0; x <= x1; x++ {
				px := float32(x) + 0.5
				w0 := (c.X-b.X)*(py-b.Y) - (c.Y-b.Y)*(px-b.X)
				w1 := (a.X-c.X)*(py-c.Y) - (a.Y-c.Y)*(px-c.X)
				w2 := (b.X-a.X)*(py-a.Y) - (b.Y-a.Y)*(px-a.X)
				if w0 < 0 || w1 < 0 || w2 < 0 {
					continue
				}
				h := (w0*a.Z + w1*b.Z + w2*c.Z) * k
				if at := y*shadowSize + x; h > s.near[at] {
					s.near[at] = h
				}
			}
		}
	}
}

// soften makes the cover map for the ground: the covered part of each cell's
// surroundings, by two box averages.
func (s *shadowMap) soften() {
	for i, h := range s.near {
		s.cover[i] = 0
		if h > unlit {
			s.cover[i] = 1
		}
	}
	const r = 2
	for range 2 {
		box(s.swap, s.cover, 1, shadowSize, r)
		box(s.cover, s.swap, shadowSize, 1, r)
	}
}

// box averages 2r+1 cells along one direction.
func box(dst, src []float32, step, line, r int) {
	const n = shadowSize
	for j := range n {
		sum := float32(0)
		at := func(i int) float32 {
			if i < 0 || i >= n {
				return 0
			}
			return src[j*line+i*step]
		}
		for i := -r; i < r; i++ {
			sum += at(i)
		}
		for i := range n {
			sum += at(i + r)
			dst[j*line+i*step] = sum / float32(2*r+1)
			sum -= at(i - r)
		}
	}
}

// lit returns how much of the sun reaches a surface point, 0 to 1.
func (s *shadowMap) lit(p, normal Vec) float32 {
	x, y, h := s.cell(p.Add(normal.Mul(0.008)))
	h += shadowBias
	const spread = 0.7 // cells: the sun is no point
	return 0.25 * (s.open(x-spread, y-0.3*spread, h) + s.open(x+0.3*spread, y-spread, h) +
		s.open(x+spread, y+0.3*spread, h) + s.open(x-0.3*spread, y+spread, h))
}

// open returns which part of the four cells about a place is free above h.
func (s *shadowMap) open(x, y, h float32) float32 {
	x, y = x-0.5, y-0.5
	xi, yi := int(x), int(y)
	if x < 0 || y < 0 || xi >= shadowSize-1 || yi >= shadowSize-1 {
		return 1
	}
	fx, fy := x-float32(xi), y-float32(yi)
	at := yi*shadowSize + xi
	v := float32(0)
	if s.near[at] < h {
		v += (1 - fx) * (1 - fy)
	}
	if s.near[at+1] < h {
		v += fx * (1 - fy)
	}
	if s.near[at+shadowSize] < h {
		v += (1 - fx) * fy
	}
	if s.near[at+shadowSize+1] < h {
		v += fx * fy
	}
	return v
}

// shade returns how much of the sun the figure takes from a ground point
// given in cells.
func (s *shadowMap) shade(x, y float32) float32 {
	x, y = x-0.5, y-0.5
	xi, yi := int(x), int(y)
	if x < 0 || y < 0 || xi >= shadowSize-1 || yi >= shadowSize-1 {
		return 0
	}
	fx, fy := x-float32(xi), y-float32(yi)
	at := yi*shadowSize + xi
	return (s.cover[at]*(1-fx)+s.cover[at+1]*fx)*(1-fy) +
		(s.cover[at+shadowSize]*(1-fx)+s.cover[at+shadowSize+1]*fx)*fy
}
