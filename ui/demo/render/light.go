package render

import "image"

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
	drawn            image.Rectangle // cells outside are unlit in near
	soft             image.Rectangle // cells outside are 0 in cover and swap
}

const unlit = float32(-1e9)

func newShadowMap(toSun, centre Vec) *shadowMap {
	right := Vec{Y: 1}.Cross(toSun).Unit()
	return &shadowMap{
		right: right, up: toSun.Cross(right), toSun: toSun, centre: centre,
		near:  make([]float32, shadowSize*shadowSize),
		cover: make([]float32, shadowSize*shadowSize),
		swap:  make([]float32, shadowSize*shadowSize),
		drawn: image.Rect(0, 0, shadowSize, shadowSize),
	}
}

// cell returns the place of p in the map, in cells, and its height.
func (s *shadowMap) cell(p Vec) (x, y, h float32) {
	d := p.Sub(s.centre)
	const k = shadowSize / shadowSpan
	return d.Dot(s.right)*k + shadowSize/2, d.Dot(s.up)*k + shadowSize/2, d.Dot(s.toSun)
}

func (s *shadowMap) reset() {
	for y := s.drawn.Min.Y; y < s.drawn.Max.Y; y++ {
		row := s.near[y*shadowSize+s.drawn.Min.X : y*shadowSize+s.drawn.Max.X]
		for i := range row {
			row[i] = unlit
		}
	}
	s.drawn = image.Rectangle{}
}

// cast draws a mesh into the map.
func (s *shadowMap) cast(m *Mesh) {
	if cap(s.screen) < len(m.Pos) {
		s.screen = make([]Vec, len(m.Pos))
	}
	s.screen = s.screen[:len(m.Pos)]
	x0, y0, x1, y1 := float32(shadowSize), float32(shadowSize), float32(0), float32(0)
	for i, p := range m.Pos {
		x, y, h := s.cell(p)
		s.screen[i] = Vec{x, y, h}
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	reached := image.Rect(max(int(x0)-1, 0), max(int(y0)-1, 0), min(int(x1)+2, shadowSize), min(int(y1)+2, shadowSize))
	s.drawn = s.drawn.Union(reached)
	for _, t := range m.Tri {
		a, b, c := s.screen[t[0]], s.screen[t[1]], s.screen[t[2]]
		area := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
		if area <= 0 {
			if area == 0 || !m.TwoSided {
				continue
			}
			b, c, area = c, b, -area
		}
		s.triangle(a, b, c, area)
	}
}

// triangle draws a, b, c, of twice that area, which run counter-clockwise as the sun
// sees them: cells whose centres lie inside.
func (s *shadowMap) triangle(a, b, c Vec, area float32) {
	x0 := max(int(min(a.X, b.X, c.X)-0.5), 0)
	x1 := min(int(max(a.X, b.X, c.X)+0.5), shadowSize-1)
	y0 := max(int(min(a.Y, b.Y, c.Y)-0.5), 0)
	y1 := min(int(max(a.Y, b.Y, c.Y)+0.5), shadowSize-1)
	k := 1 / area
	for y := y0; y <= y1; y++ {
		px, py := float32(x0)+0.5, float32(y)+0.5
		w0 := (c.X-b.X)*(py-b.Y) - (c.Y-b.Y)*(px-b.X)
		w1 := (a.X-c.X)*(py-c.Y) - (a.Y-c.Y)*(px-c.X)
		w2 := (b.X-a.X)*(py-a.Y) - (b.Y-a.Y)*(px-a.X)
		for x := x0; x <= x1; x++ {
			if w0 >= 0 && w1 >= 0 && w2 >= 0 {
				h := (w0*a.Z + w1*b.Z + w2*c.Z) * k
				if at := y*shadowSize + x; h > s.near[at] {
					s.near[at] = h
				}
			}
			w0 += b.Y - c.Y
			w1 += c.Y - a.Y
			w2 += a.Y - b.Y
		}
	}
}

// soften makes the cover map for the ground: the covered part of each cell's
// surroundings, by two box averages.
func (s *shadowMap) soften() {
	clearCells(s.cover, s.soft)
	clearCells(s.swap, s.soft)
	const r = 2
	s.soft = s.drawn.Inset(-2 * r).Intersect(image.Rect(0, 0, shadowSize, shadowSize))
	for y := s.drawn.Min.Y; y < s.drawn.Max.Y; y++ {
		for at := y*shadowSize + s.drawn.Min.X; at < y*shadowSize+s.drawn.Max.X; at++ {
			if s.near[at] > unlit {
				s.cover[at] = 1
			}
		}
	}
	for range 2 {
		boxRows(s.swap, s.cover, s.soft, r)
		boxColumns(s.cover, s.swap, s.soft, r)
	}
}

func clearCells(cells []float32, area image.Rectangle) {
	for y := area.Min.Y; y < area.Max.Y; y++ {
		clear(cells[y*shadowSize+area.Min.X : y*shadowSize+area.Max.X])
	}
}

// boxRows averages 2r+1 cells along each row of an area outside which src is 0.
func boxRows(dst, src []float32, area image.Rectangle, r int) {
	for y := area.Min.Y; y < area.Max.Y; y++ {
		from := src[y*shadowSize+area.Min.X : y*shadowSize+area.Max.X]
		to := dst[y*shadowSize+area.Min.X : y*shadowSize+area.Max.X]
		sum := float32(0)
		for i := range from[:min(r, len(from))] {
			sum += from[i]
		}
		for i := range to {
			if i+r < len(from) {
				sum += from[i+r]
			}
			to[i] = sum / float32(2*r+1)
			if i >= r {
				sum -= from[i-r]
			}
		}
	}
}

// boxColumns averages 2r+1 cells along each column of an area outside which src is 0.
func boxColumns(dst, src []float32, area image.Rectangle, r int) {
	for y := area.Min.Y; y < area.Max.Y; y++ {
		to := dst[y*shadowSize+area.Min.X : y*shadowSize+area.Max.X]
		clear(to)
		for j := max(y-r, area.Min.Y); j < min(y+r+1, area.Max.Y); j++ {
			for i, v := range src[j*shadowSize+area.Min.X : j*shadowSize+area.Max.X] {
				to[i] += v
			}
		}
		for i := range to {
			to[i] /= float32(2*r + 1)
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
