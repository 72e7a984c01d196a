package tflite

import "math"

// pad is PAD: nothing about a picture.
type pad struct {
	top, left           int
	rows, cols, outCols int
	channels            int
}

func (b *builder) pad(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	p, err := b.list(o, 1, 4, 2)
	if err != nil {
		return nil, nil, 0, err
	}
	for i, v := range p {
		if v < 0 || v > 4096 || v > 0 && (i < 2 || i > 5) {
			return nil, nil, 0, malformed("padding %v", p)
		}
	}
	op := pad{p[2], p[4], h, w, p[4] + w + p[5], c}
	return op, []int{1, p[2] + h + p[3], op.outCols, c}, 1, nil
}

func (p pad) run(out, _ []float32, in ...[]float32) {
	clear(out)
	n := p.cols * p.channels
	for y := range p.rows {
		copy(out[((p.top+y)*p.outCols+p.left)*p.channels:], in[0][y*n:][:n])
	}
}

// maxPool is MAX_POOL_2D.
type maxPool struct {
	rows, cols sliding
	channels   int
	last       activation
}

func (b *builder) maxPool(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	t := o.options
	op := &maxPool{channels: c}
	if op.rows, err = newSliding(h, int(t.int32(4, 0)), int(t.int32(2, 0)), t.byte(0)); err != nil {
		return nil, nil, 0, err
	}
	if op.cols, err = newSliding(w, int(t.int32(3, 0)), int(t.int32(1, 0)), t.byte(0)); err != nil {
		return nil, nil, 0, err
	}
	if op.last, err = b.activation(t.byte(5)); err != nil {
		return nil, nil, 0, err
	}
	shape := []int{1, op.rows.out, op.cols.out, c}
	return op, shape, 1, b.toil(shape, op.rows.window*op.cols.window)
}

func (m *maxPool) run(out, _ []float32, in ...[]float32) {
	n := m.channels
	all := out
	for y := range m.rows.out {
		top, fromY, toY := m.rows.span(y)
		for x := range m.cols.out {
			left, fromX, toX := m.cols.span(x)
			most := out[:n:n]
			out = out[n:]
			for c := range most {
				most[c] = float32(math.Inf(-1))
			}
			for j := fromY; j < toY; j++ {
				for i := fromX; i < toX; i++ {
					for c, v := range in[0][((top+j)*m.cols.in+left+i)*n:][:n] {
						most[c] = max(most[c], v)
					}
				}
			}
		}
	}
	m.last.apply(all)
}

// resize is RESIZE_BILINEAR.
type resize struct {
	inCols, channels int
	rows, cols       []between
}

// between says what a row or column of the output is made of.
type between struct {
	a, b int // rows or columns of the input
	part float32
}

func (b *builder) resize(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	size, err := b.list(o, 1, 2)
	if err != nil {
		return nil, nil, 0, err
	}
	corners, centres := o.options.byte(2) != 0, o.options.byte(3) != 0
	for _, n := range size {
		if n < 1 || n > 4096 {
			return nil, nil, 0, malformed("the size %v", size)
		}
	}
	if corners && centres {
		return nil, nil, 0, malformed("pixels aligned in two ways")
	}
	op := &resize{w, c, sample(h, size[0], corners, centres), sample(w, size[1], corners, centres)}
	return op, []int{1, size[0], size[1], c}, 1, nil
}

// sample says where n pixels are taken from among in. Pixels lie at their
// corners, spread from the first to the last one, or at their centres.
func sample(in, n int, corners, centres bool) []between {
	scale := float32(in) / float32(n)
	if corners && n > 1 {
		scale = float32(in-1) / float32(n-1)
	}
	out := make([]between, n)
	for i := range out {
		at := float32(i) * scale
		if centres {
			at = (float32(i)+0.5)*scale - 0.5
		}
		floor := float32(math.Floor(float64(at)))
		a := int(floor)
		out[i] = between{min(max(a, 0), in-1), min(max(a+1, 0), in-1), at - floor}
	}
	return out
}

func (r *resize) run(out, _ []float32, in ...[]float32) {
	n := r.channels
	for _, y := range r.rows {
		above, below := in[0][y.a*r.inCols*n:][:r.inCols*n], in[0][y.b*r.inCols*n:][:r.inCols*n]
		for _, x := range r.cols {
			a, b := above[x.a*n:][:n], above[x.b*n:][:n]
			c, d := below[x.a*n:][:n], below[x.b*n:][:n]
			for k := range out[:n] {
				t := a[k] + (b[k]-a[k])*x.part
				u := c[k] + (d[k]-c[k])*x.part
				out[k] = t + (u-t)*y.part
			}
			out = out[n:]
		}
	}
}

// depthToSpace is DEPTH_TO_SPACE: the channels of a pixel become a square of
// pixels.
type depthToSpace struct{ block, cols, channels int }

func (b *builder) depthToSpace(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	k := int(o.options.int32(0, 0))
	if k < 1 || k > 64 || c%(k*k) != 0 {
		return nil, nil, 0, malformed("%d channels in squares of %d", c, k)
	}
	return depthToSpace{k, w, c}, []int{1, h * k, w * k, c / (k * k)}, 1, nil
}

func (d depthToSpace) run(out, _ []float32, in ...[]float32) {
	n := d.channels / d.block // one row of the square
	for at := 0; len(out) > 0; at += d.cols * d.channels {
		for j := range d.block {
			for x := range d.cols {
				copy(out[:n], in[0][at+x*d.channels+j*n:])
				out = out[n:]
			}
		}
	}
}
