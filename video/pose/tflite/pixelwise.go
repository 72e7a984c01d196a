package tflite

import (
	"math"
	"slices"
)

// add is ADD of two tensors of one shape.
type add struct{ last activation }

func (b *builder) add(o *storedOperator) (operator, []int, int, error) {
	x, err := b.computed(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	y, err := b.computed(o, 1)
	if err != nil {
		return nil, nil, 0, err
	}
	if !slices.Equal(x, y) {
		return nil, nil, 0, malformed("shapes %v and %v", x, y)
	}
	last, err := b.activation(o.options.byte(0))
	return add{last}, x, 2, err
}

func (a add) run(out, _ []float32, in ...[]float32) {
	x, y := in[0][:len(out)], in[1][:len(out)]
	for i := range out {
		out[i] = x[i] + y[i]
	}
	a.last.apply(out)
}

// logistic is LOGISTIC.
type logistic struct{}

func (b *builder) logistic(o *storedOperator) (operator, []int, int, error) {
	s, err := b.computed(o, 0)
	return logistic{}, s, 1, err
}

func (logistic) run(out, _ []float32, in ...[]float32) {
	for i, x := range in[0] {
		out[i] = float32(1 / (1 + math.Exp(-float64(x))))
	}
}

// reshape is RESHAPE: the same numbers in the same order.
type reshape struct{}

func (b *builder) reshape(o *storedOperator) (operator, []int, int, error) {
	s, err := b.computed(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	// The shape is given as a constant or as an option; either agrees with
	// that of the output, which is what counts here.
	shape := b.tensors[o.outputs[0]].shape
	n, err := elements(s)
	if err != nil {
		return nil, nil, 0, err
	}
	if m, err := elements(shape); err != nil || m != n {
		return nil, nil, 0, malformed("the shape %v made %v", s, shape)
	}
	return reshape{}, shape, 1, nil
}

func (reshape) run(out, _ []float32, in ...[]float32) { copy(out, in[0]) }

// concatenation is CONCATENATION: from each input in turn, so many numbers at
// a time as lie together.
type concatenation struct{ together []int }

func (b *builder) concatenation(o *storedOperator) (operator, []int, int, error) {
	first, err := b.computed(o, 0)
	if err != nil {
		return nil, nil, 0, err
	}
	axis := int(o.options.int32(0, 0))
	if axis < 0 {
		axis += len(first)
	}
	if axis < 0 || axis >= len(first) || o.options.byte(1) != 0 {
		return nil, nil, 0, malformed("joined along dimension %d of %v", axis, first)
	}
	shape := slices.Clone(first)
	shape[axis] = 0
	var op concatenation
	for i := range o.inputs {
		s, err := b.computed(o, i)
		if err != nil {
			return nil, nil, 0, err
		}
		if len(s) != len(first) || !slices.Equal(s[:axis], first[:axis]) || !slices.Equal(s[axis+1:], first[axis+1:]) {
			return nil, nil, 0, malformed("%v joined to %v", s, first)
		}
		shape[axis] += s[axis]
		n, err := elements(s[axis:])
		if err != nil {
			return nil, nil, 0, err
		}
		op.together = append(op.together, n)
	}
	return op, shape, len(o.inputs), nil
}

func (c concatenation) run(out, _ []float32, in ...[]float32) {
	for at := 0; len(out) > 0; at++ {
		for i, n := range c.together {
			copy(out[:n], in[i][at*n:])
			out = out[n:]
		}
	}
}
