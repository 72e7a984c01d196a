package tflite

// convolution is CONV_2D: every window of the picture times every filter, as a
// product of two matrices.
type convolution struct {
	rows, cols sliding
	channels   int
	filters    matrix // window × filters
	bias       []float32
	last       activation
}

func (b *builder) convolution(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	filter, weights, bias, err := b.filter(o)
	if err != nil {
		return nil, nil, 0, err
	}
	if filter[3] != c {
		return nil, nil, 0, malformed("filters for %d channels on %d", filter[3], c)
	}
	op := &convolution{channels: c, bias: bias}
	if err := b.slide(&o.options, h, w, filter, 4, &op.rows, &op.cols); err != nil {
		return nil, nil, 0, err
	}
	if op.last, err = b.activation(o.options.byte(3)); err != nil {
		return nil, nil, 0, err
	}
	n := filter[0]
	if len(bias) != n {
		return nil, nil, 0, malformed("%d biases for %d filters", len(bias), n)
	}
	op.filters = newMatrix(weights, n, len(weights)/n)
	if !op.plain() {
		b.scratch = max(b.scratch, op.cols.out*op.filters.depth)
	}
	shape := []int{1, op.rows.out, op.cols.out, n}
	return op, shape, 1, b.toil(shape, op.filters.depth)
}

// filter returns the shape and the numbers of an operator's filters and biases.
func (b *builder) filter(o *storedOperator) (shape []int, weights, bias []float32, err error) {
	if len(o.inputs) != 3 {
		return nil, nil, nil, malformed("%d inputs instead of three", len(o.inputs))
	}
	if weights, err = b.weights(o.inputs[1]); err != nil {
		return nil, nil, nil, err
	}
	if bias, err = b.weights(o.inputs[2]); err != nil {
		return nil, nil, nil, err
	}
	if shape = b.tensors[o.inputs[1]].shape; len(shape) != 4 {
		return nil, nil, nil, malformed("filters of the shape %v", shape)
	}
	return shape, weights, bias, nil
}

// slide reads how the windows of a convolution lie. Both kinds store it alike
// but for the field that dilation begins at.
func (b *builder) slide(t *options, h, w int, filter []int, dilation int, rows, cols *sliding) (err error) {
	if t.int32(dilation, 1) != 1 || t.int32(dilation+1, 1) != 1 {
		return malformed("filters with gaps")
	}
	if *rows, err = newSliding(h, filter[1], int(t.int32(2, 0)), t.byte(0)); err != nil {
		return err
	}
	*cols, err = newSliding(w, filter[2], int(t.int32(1, 0)), t.byte(0))
	return err
}

// plain reports whether the windows are the pixels as they lie.
func (c *convolution) plain() bool {
	return c.rows.window == 1 && c.cols.window == 1 && c.rows.stride == 1 && c.cols.stride == 1
}

func (c *convolution) run(out, scratch []float32, in ...[]float32) {
	n := c.filters.width
	if c.plain() {
		c.filters.multiply(out, in[0], c.rows.out*c.cols.out, c.bias)
		c.last.apply(out)
		return
	}
	for y := range c.rows.out {
		c.gather(scratch, in[0], y)
		row := out[y*c.cols.out*n:][:c.cols.out*n]
		c.filters.multiply(row, scratch, c.cols.out, c.bias)
		c.last.apply(row)
	}
}

// gather writes the windows of one row of the output one after the other.
func (c *convolution) gather(windows, in []float32, y int) {
	top, fromY, toY := c.rows.span(y)
	stride := c.cols.in * c.channels
	for x := range c.cols.out {
		left, fromX, toX := c.cols.span(x)
		for j := range c.rows.window {
			line := windows[:c.cols.window*c.channels]
			windows = windows[len(line):]
			if j < fromY || j >= toY {
				clear(line)
				continue
			}
			clear(line[:fromX*c.channels])
			clear(line[toX*c.channels:])
			copy(line[fromX*c.channels:toX*c.channels], in[(top+j)*stride+(left+fromX)*c.channels:])
		}
	}
}

// depthwise is DEPTHWISE_CONV_2D with one filter for each channel.
type depthwise struct {
	rows, cols sliding
	channels   int
	weights    []float32 // window rows × columns × channels
	bias       []float32
	last       activation
}

func (b *builder) depthwise(o *storedOperator) (operator, []int, int, error) {
	h, w, c, err := b.picture(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	filter, weights, bias, err := b.filter(o)
	if err != nil {
		return nil, nil, 0, err
	}
	if filter[0] != 1 || filter[3] != c || len(bias) != c {
		return nil, nil, 0, malformed("filters of the shape %v on %d channels", filter, c)
	}
	op := &depthwise{channels: c, weights: weights, bias: bias}
	if err := b.slide(&o.options, h, w, filter, 5, &op.rows, &op.cols); err != nil {
		return nil, nil, 0, err
	}
	if op.last, err = b.activation(o.options.byte(4)); err != nil {
		return nil, nil, 0, err
	}
	shape := []int{1, op.rows.out, op.cols.out, c}
	return op, shape, 1, b.toil(shape, op.rows.window*op.cols.window)
}

func (d *depthwise) run(out, _ []float32, in ...[]float32) {
	n := d.channels
	stride := d.cols.in * n
	for y := range d.rows.out {
		top, fromY, toY := d.rows.span(y)
		for x := range d.cols.out {
			left, fromX, toX := d.cols.span(x)
			sum := out[:n:n]
			out = out[n:]
			copy(sum, d.bias)
			for j := fromY; j < toY; j++ {
				pixels := in[0][(top+j)*stride+(left+fromX)*n:][:(toX-fromX)*n]
				weights := d.weights[(j*d.cols.window+fromX)*n:][:(toX-fromX)*n]
				addProducts(sum, pixels, weights)
			}
			d.last.apply(sum)
		}
	}
}

// addProducts adds to each channel's sum the products of its pixels and
// weights, as many as there are, several at a time.
func addProducts(sum, pixels, weights []float32) {
	n := len(sum)
	for len(pixels) >= 3*n {
		p0, p1, p2 := pixels[:n], pixels[n:][:n], pixels[2*n:][:n]
		w0, w1, w2 := weights[:n], weights[n:][:n], weights[2*n:][:n]
		for c := range sum {
			sum[c] += p0[c]*w0[c] + p1[c]*w1[c] + p2[c]*w2[c]
		}
		pixels, weights = pixels[3*n:], weights[3*n:]
	}
	for len(pixels) > 0 {
		p, w := pixels[:n], weights[:n]
		for c := range sum {
			sum[c] += p[c] * w[c]
		}
		pixels, weights = pixels[n:], weights[n:]
	}
}
