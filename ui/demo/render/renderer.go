package render

import (
	"image"
	"math"
)

// Exposure is the figure at one instant, or in one part, of the time that the
// shutter is open.
type Exposure struct {
	// Body moves little within the exposure.
	Body []*Mesh
	// Fast holds what moves much, at each of several instants.
	Fast [][]*Mesh
}

// Foot is a place where the figure stands: the ground about it gets less sky
// light.
type Foot struct{ X, Z, Radius, Strength float32 }

// Renderer draws frames on a stage. It is not for concurrent use.
type Renderer struct {
	stage  *Stage
	raster raster
	shadow *shadowMap
	acc    []Colour // of the box, the mean over exposures
	now    []Colour // of the box, the background
	base   []Colour // of the box, one exposure before what is fast is added
	seen   []bool   // in any exposure
	stamp  []int32
	tick   int32
	bx, by int // top left of the box, pixels
	bw, bh int
}

// NewRenderer returns a renderer on s.
func NewRenderer(s *Stage) *Renderer {
	return &Renderer{stage: s, shadow: newShadowMap(s.Light.ToSun, Vec{Y: 0.9})}
}

// Draw draws frame number frame into dst, which has the camera's size. The
// exposures are averaged; there is at least one, and all have as many meshes.
func (r *Renderer) Draw(dst *image.RGBA, frame int, exposures []Exposure, feet []Foot) {
	s := r.stage
	frame %= 1 << 20
	copyIndex := frame * 5 % noisyCopies
	copy(dst.Pix, s.noisy[copyIndex].Pix)

	r.castShadows(&exposures[0])
	r.frameBox(exposures)
	r.groundShadow(dst, frame, &exposures[0], feet)
	for i := range exposures {
		r.expose(&exposures[i], 1/float32(len(exposures)))
	}
	for y := range r.bh {
		for x := range r.bw {
			at := y*r.bw + x
			if r.seen[at] {
				px, py := r.bx+x, r.by+y
				s.put(dst, px, py, frame, r.acc[at])
			}
		}
	}
}

func (r *Renderer) castShadows(e *Exposure) {
	r.shadow.reset()
	for _, m := range e.Body {
		r.shadow.cast(m)
	}
	if len(e.Fast) > 0 {
		for _, m := range e.Fast[len(e.Fast)/2] {
			r.shadow.cast(m)
		}
	}
	r.shadow.soften()
}

// frameBox finds the rectangle that all exposures need and clears it.
func (r *Renderer) frameBox(exposures []Exposure) {
	c := &r.stage.Camera
	x0, y0, x1, y1 := float32(c.Width), float32(c.Height), float32(0), float32(0)
	grow := func(m *Mesh) {
		for i := 0; i < len(m.Pos); i += 3 {
			x, y, inv := c.project(m.Pos[i])
			if inv > 0 {
				x0, x1 = min(x0, x), max(x1, x)
				y0, y1 = min(y0, y), max(y1, y)
			}
		}
	}
	for i := range exposures {
		for _, m := range exposures[i].Body {
			grow(m)
		}
		for _, f := range exposures[i].Fast {
			for _, m := range f {
				grow(m)
			}
		}
	}
	const margin = 14
	r.bx, r.by = max(int(x0)-margin, 0), max(int(y0)-margin, 0)
	r.bw = max(min(int(x1)+margin, c.Width)-r.bx, 0)
	r.bh = max(min(int(y1)+margin, c.Height)-r.by, 0)
	n := r.bw * r.bh
	if cap(r.acc) < n {
		r.acc, r.now, r.base = make([]Colour, n), make([]Colour, n), make([]Colour, n)
		r.seen, r.stamp = make([]bool, n), make([]int32, n)
	}
	r.acc, r.now, r.base = r.acc[:n], r.now[:n], r.base[:n]
	r.seen, r.stamp = r.seen[:n], r.stamp[:n]
	clear(r.acc)
	clear(r.seen)
	clear(r.stamp)
	r.tick = 0
}

// ground returns the background at a pixel with the figure's shadow.
func (r *Renderer) ground(x, y int, feet []Foot) (c Colour, changed bool) {
	s := r.stage
	at := y*s.Camera.Width + x
	c = s.scene[at]
	sun := s.sunlit[at]
	if sun == 0 {
		return c, false
	}
	g := s.groundAt[at]
	lx, ly, _ := r.shadow.cell(Vec{g[0], 0, g[1]})
	k := 1 - 0.86*sun*r.shadow.shade(lx, ly)
	for _, f := range feet {
		dx, dz := g[0]-f.X, g[1]-f.Z
		if q := (dx*dx + dz*dz) / (f.Radius * f.Radius); q < 1 {
			k *= 1 - f.Strength*(1-q)*(1-q)
		}
	}
	return c.Mul(k), k < 0.999
}

// groundShadow darkens the ground in dst and keeps the background of the box.
func (r *Renderer) groundShadow(dst *image.RGBA, frame int, e *Exposure, feet []Foot) {
	s := r.stage
	for y := range r.bh {
		from := (r.by+y)*s.Camera.Width + r.bx
		copy(r.now[y*r.bw:(y+1)*r.bw], s.scene[from:from+r.bw])
	}
	x0, y0, x1, y1 := r.shadowBox(e, feet)
	for y := y0; y < y1; y++ {
		inBox := y >= r.by && y < r.by+r.bh
		for x := x0; x < x1; x++ {
			col, changed := r.ground(x, y, feet)
			if !changed {
				continue
			}
			s.put(dst, x, y, frame, col)
			if inBox && x >= r.bx && x < r.bx+r.bw {
				r.now[(y-r.by)*r.bw+x-r.bx] = col
			}
		}
	}
}

// shadowBox returns the rectangle of pixels that the figure's shadow and the
// dimmed ground about its feet can reach.
func (r *Renderer) shadowBox(e *Exposure, feet []Foot) (x0, y0, x1, y1 int) {
	c := &r.stage.Camera
	fx0, fy0, fx1, fy1 := float32(c.Width), float32(c.Height), float32(0), float32(0)
	grow := func(p Vec) {
		if x, y, inv := c.project(p); inv > 0 {
			fx0, fx1 = min(fx0, x), max(fx1, x)
			fy0, fy1 = min(fy0, y), max(fy1, y)
		}
	}
	sun := r.stage.Light.ToSun
	cast := func(meshes []*Mesh) {
		for _, m := range meshes {
			for i := 0; i < len(m.Pos); i += 7 {
				p := m.Pos[i]
				q := p.Add(sun.Mul(-p.Y / sun.Y))
				if q.X*q.X+q.Z*q.Z < shadowReach*shadowReach {
					grow(q)
				}
			}
		}
	}
	cast(e.Body)
	for _, f := range e.Fast {
		cast(f)
	}
	for _, f := range feet {
		grow(Vec{f.X - f.Radius, 0, f.Z - f.Radius})
		grow(Vec{f.X - f.Radius, 0, f.Z + f.Radius})
		grow(Vec{f.X + f.Radius, 0, f.Z - f.Radius})
		grow(Vec{f.X + f.Radius, 0, f.Z + f.Radius})
	}
	const margin = 22 // pixels, for the softened edge
	return max(int(fx0)-margin, 0), max(int(fy0)-margin, 0),
		min(int(fx1)+margin, c.Width), min(int(fy1)+margin, c.Height)
}

// expose adds one exposure with a weight to the box.
func (r *Renderer) expose(e *Exposure, weight float32) {
	c := &r.stage.Camera
	t := &r.raster
	t.logging = false
	t.reset(r.bx, r.by, r.bx+r.bw, r.by+r.bh)
	for k, m := range e.Body {
		t.add(k, m, c)
		t.fill(k)
	}
	base := r.base
	for y := range r.bh {
		for x := range r.bw {
			at := y*r.bw + x
			col := r.now[at]
			if seen := r.resolve(x, y, &col); seen {
				r.seen[at] = true
			}
			base[at] = col
			r.acc[at] = r.acc[at].Add(col.Mul(weight))
		}
	}
	t.logging = true
	for _, fast := range e.Fast {
		t.undo = t.undo[:0]
		for k, m := range fast {
			t.add(len(e.Body)+k, m, c)
			t.fill(len(e.Body) + k)
		}
		r.tick++
		part := weight / float32(len(e.Fast))
		for _, u := range t.undo {
			x, y := int(u.at)%t.w/samples, int(u.at)/t.w/samples
			at := y*r.bw + x
			if r.stamp[at] == r.tick {
				continue
			}
			r.stamp[at] = r.tick
			r.seen[at] = true
			col := r.now[at]
			r.resolve(x, y, &col)
			r.acc[at] = r.acc[at].Add(col.Add(base[at].Mul(-1)).Mul(part))
		}
		for i := len(t.undo) - 1; i >= 0; i-- {
			u := t.undo[i]
			t.id[u.at], t.inv[u.at] = u.id, u.inv
		}
	}
}

// resolve mixes the surfaces seen in a pixel of the box over the background
// in col.
func (r *Renderer) resolve(x, y int, col *Colour) bool {
	t := &r.raster
	var ids [samples * samples]uint32
	n := 0
	for j := range samples {
		row := (y*samples+j)*t.w + x*samples
		for i := range samples {
			id := t.id[row+i]
			ids[j*samples+i] = id
			if id != none {
				n++
			}
		}
	}
	if n == 0 {
		return false
	}
	const all = samples * samples
	dim := r.stage.falloff(r.bx+x, r.by+y) / all
	if n == all && oneMesh(&ids) {
		*col = r.colour(ids[0], float32(x*samples+t.x0)+samples/2, float32(y*samples+t.y0)+samples/2).Mul(all * dim)
		return true
	}
	sum := col.Mul(float32(all-n) / all)
	for i, id := range ids {
		if id == none {
			continue
		}
		// One colour for each mesh in the pixel, weighted by its samples.
		count := 0
		first := true
		for j, other := range ids {
			if other != none && other>>meshBits == id>>meshBits {
				count++
				if j < i {
					first = false
				}
			}
		}
		if !first {
			continue
		}
		px, py := float32(x*samples+t.x0)+samples/2, float32(y*samples+t.y0)+samples/2
		if count < all {
			px = float32(x*samples+t.x0+i%samples) + 0.5
			py = float32(y*samples+t.y0+i/samples) + 0.5
		}
		sum = sum.Add(r.colour(id, px, py).Mul(float32(count) * dim))
	}
	*col = sum
	return true
}

// oneMesh reports whether all samples show the same mesh.
func oneMesh(ids *[samples * samples]uint32) bool {
	for _, id := range ids[1:] {
		if id>>meshBits != ids[0]>>meshBits {
			return false
		}
	}
	return true
}

// colour shades a triangle at a place in samples.
func (r *Renderer) colour(id uint32, px, py float32) Colour {
	d := &r.raster.list[id>>meshBits]
	m := d.mesh
	tri := m.Tri[id&(1<<meshBits-1)]
	a, b, c := d.screen[tri[0]], d.screen[tri[1]], d.screen[tri[2]]
	k := 1 / ((b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y))
	w1 := ((px-a.x)*(c.y-a.y) - (c.x-a.x)*(py-a.y)) * k
	w2 := ((b.x-a.x)*(py-a.y) - (px-a.x)*(b.y-a.y)) * k
	w1, w2 = min(max(w1, 0), 1), min(max(w2, 0), 1)
	w0 := 1 - w1 - w2

	pos := m.Pos[tri[0]].Mul(w0).Add(m.Pos[tri[1]].Mul(w1)).Add(m.Pos[tri[2]].Mul(w2))
	n := m.Normal[tri[0]].Mul(w0).Add(m.Normal[tri[1]].Mul(w1)).Add(m.Normal[tri[2]].Mul(w2)).Unit()
	u0, u1, u2 := m.UV[tri[0]], m.UV[tri[1]], m.UV[tri[2]]
	base := m.Tex.at(u0[0]*w0+u1[0]*w1+u2[0]*w2, u0[1]*w0+u1[1]*w1+u2[1]*w2)

	l := &r.stage.Light
	view := r.stage.Camera.Position.Sub(pos).Unit()
	if m.TwoSided && n.Dot(view) < 0 {
		n = n.Mul(-1)
	}
	ndl := n.Dot(l.ToSun)
	lit := float32(0)
	if ndl > 0 {
		lit = r.shadow.lit(pos, n)
	}
	// Cloth and skin let a little light around the edge.
	direct := max(ndl*0.93+0.07, 0) * lit
	up := n.Y*0.5 + 0.5
	// The lower body sees less of the sky.
	light := l.Sun.Mul(direct).Add(l.Ground.Lerp(l.Sky, up))
	out := base.Times(light)
	if m.Gloss > 0 && ndl > 0 {
		h := l.ToSun.Add(view).Unit()
		if s := n.Dot(h); s > 0 {
			g := m.Gloss * lit * float32(math.Pow(float64(s), float64(m.Shine)))
			out = out.Add(l.Sun.Mul(g))
		}
	}
	return out
}

// Depth returns how far in front of the camera, along its axis, the body drawn
// last is at a place of the picture, metres, or false where none of it is.
func (r *Renderer) Depth(x, y float32) (depth float32, ok bool) {
	t := &r.raster
	i, j := int(x*samples)-t.x0, int(y*samples)-t.y0
	if i < 0 || j < 0 || i >= t.w || j >= t.h || t.id[j*t.w+i] == none {
		return 0, false
	}
	return 1 / t.inv[j*t.w+i], true
}
