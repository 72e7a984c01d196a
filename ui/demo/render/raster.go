package render

// samples is the number of samples across a pixel, in each direction.
const samples = 2

// none marks a sample that no surface covers.
const none = ^uint32(0)

// meshBits is how an identifier is split: the mesh above, the triangle below.
const meshBits = 20

// screenVertex is a projected vertex in samples, with inverse depth.
type screenVertex struct{ x, y, inv float32 }

// drawn is a mesh with its projection.
type drawn struct {
	mesh   *Mesh
	screen []screenVertex
}

// raster is a depth buffer over a rectangle of samples.
type raster struct {
	x0, y0, w, h int // in samples; a multiple of samples per pixel
	inv          []float32
	id           []uint32
	list         []drawn
	undo         []undone
	logging      bool
}

type undone struct {
	at  int32
	id  uint32
	inv float32
}

// reset prepares the buffer for a rectangle of pixels.
func (r *raster) reset(x0, y0, x1, y1 int) {
	r.x0, r.y0 = x0*samples, y0*samples
	r.w, r.h = (x1-x0)*samples, (y1-y0)*samples
	n := r.w * r.h
	if cap(r.inv) < n {
		r.inv, r.id = make([]float32, n), make([]uint32, n)
	}
	r.inv, r.id = r.inv[:n], r.id[:n]
	clear(r.inv)
	for i := range r.id {
		r.id[i] = none
	}
}

// add projects a mesh into slot k of the list.
func (r *raster) add(k int, m *Mesh, c *Camera) *drawn {
	for len(r.list) <= k {
		r.list = append(r.list, drawn{})
	}
	d := &r.list[k]
	d.mesh = m
	if cap(d.screen) < len(m.Pos) {
		d.screen = make([]screenVertex, len(m.Pos))
	}
	d.screen = d.screen[:len(m.Pos)]
	for i, p := range m.Pos {
		x, y, inv := c.project(p)
		d.screen[i] = screenVertex{x * samples, y * samples, inv}
	}
	return d
}

// fill rasterises slot k.
func (r *raster) fill(k int) {
	d := &r.list[k]
	both := d.mesh.TwoSided
	base := uint32(k) << meshBits
	for i, t := range d.mesh.Tri {
		a, b, c := d.screen[t[0]], d.screen[t[1]], d.screen[t[2]]
		if a.inv == 0 || b.inv == 0 || c.inv == 0 {
			continue
		}
		// Image y points down, so a triangle that is counter-clockwise from
		// outside has negative area when it faces the camera.
		area := (b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y)
		if area >= 0 {
			if !both || area == 0 {
				continue
			}
		} else {
			b, c = c, b
			area = -area
		}
		r.triangle(a, b, c, area, base|uint32(i))
	}
}

// triangle fills samples whose centres lie inside a, b, c, which run
// clockwise in the picture.
func (r *raster) triangle(a, b, c screenVertex, area float32, id uint32) {
	x0 := max(int(min(a.x, b.x, c.x)-0.5), r.x0)
	x1 := min(int(max(a.x, b.x, c.x)+0.5), r.x0+r.w-1)
	y0 := max(int(min(a.y, b.y, c.y)-0.5), r.y0)
	y1 := min(int(max(a.y, b.y, c.y)+0.5), r.y0+r.h-1)
	if x0 > x1 || y0 > y1 {
		return
	}
	px, py := float32(x0)+0.5, float32(y0)+0.5
	// w0 weighs a, w1 weighs b, w2 weighs c.
	w0r := (c.x-b.x)*(py-b.y) - (c.y-b.y)*(px-b.x)
	w1r := (a.x-c.x)*(py-c.y) - (a.y-c.y)*(px-c.x)
	w2r := (b.x-a.x)*(py-a.y) - (b.y-a.y)*(px-a.x)
	d0x, d0y := -(c.y - b.y), c.x-b.x
	d1x, d1y := -(a.y - c.y), a.x-c.x
	d2x, d2y := -(b.y - a.y), b.x-a.x
	k := 1 / area
	for y := y0; y <= y1; y++ {
		row := (y-r.y0)*r.w - r.x0
		w0, w1, w2 := w0r, w1r, w2r
		for x := x0; x <= x1; x++ {
			if w0 >= 0 && w1 >= 0 && w2 >= 0 {
				inv := (w0*a.inv + w1*b.inv + w2*c.inv) * k
				if at := row + x; inv > r.inv[at] {
					if r.logging {
						r.undo = append(r.undo, undone{int32(at), r.id[at], r.inv[at]})
					}
					r.inv[at], r.id[at] = inv, id
				}
			}
			w0 += d0x
			w1 += d1x
			w2 += d2x
		}
		w0r += d0y
		w1r += d1y
		w2r += d2y
	}
}
