package tflite

import (
	"encoding/binary"
	"math"
)

// elements returns how many numbers a tensor of this shape has.
func elements(shape []int) (int, error) {
	n := 1
	for _, d := range shape {
		if d < 1 || n > mostElements/d {
			return 0, malformed("a tensor of shape %v", shape)
		}
		n *= d
	}
	return n, nil
}

// floats returns a stored tensor as dense 32-bit floats.
func (t *storedTensor) floats() ([]float32, error) {
	n, err := elements(t.shape)
	if err != nil {
		return nil, err
	}
	if t.kind != float32s && t.kind != float16s {
		return nil, malformed("%q holds numbers of kind %d where floats are needed", t.name, t.kind)
	}
	raw := make([]float32, len(t.data)/t.kind.bytes())
	for i := range raw {
		if t.kind == float16s {
			raw[i] = half(binary.LittleEndian.Uint16(t.data[2*i:]))
		} else {
			raw[i] = math.Float32frombits(binary.LittleEndian.Uint32(t.data[4*i:]))
		}
	}
	if t.sparse != nil {
		return t.sparse.dense(raw, t.shape)
	}
	if len(raw) != n {
		return nil, malformed("%q has %d numbers for the shape %v", t.name, len(raw), t.shape)
	}
	return raw, nil
}

// ints returns a stored tensor of whole numbers.
func (t *storedTensor) ints() ([]int, error) {
	n, err := elements(t.shape)
	if err != nil {
		return nil, err
	}
	if t.kind != int32s || len(t.data) != 4*n {
		return nil, malformed("%q is no list of %d whole numbers", t.name, n)
	}
	out := make([]int, n)
	for i := range out {
		out[i] = int(int32(binary.LittleEndian.Uint32(t.data[4*i:])))
	}
	return out, nil
}

// half returns a binary16 number of IEEE 754-2008.
func half(h uint16) float32 {
	sign, exp, frac := uint32(h>>15)<<31, uint32(h>>10)&31, uint32(h)&1023
	switch exp {
	case 0: // zero and the numbers below the smallest normal one
		f := float32(frac) * (1.0 / (1 << 24))
		return math.Float32frombits(sign | math.Float32bits(f))
	case 31:
		return math.Float32frombits(sign | 255<<23 | frac<<13)
	default:
		return math.Float32frombits(sign | (exp+112)<<23 | frac<<13)
	}
}

// dense puts the stored numbers of a sparse tensor in their places. The
// tensor's dimensions are gone through in the stored order, each either whole
// or by a list of those indices that are there.
func (s *sparsity) dense(values []float32, shape []int) ([]float32, error) {
	n, err := elements(shape)
	if err != nil {
		return nil, err
	}
	if len(s.blocks) != 0 || len(s.order) != len(shape) || len(s.dims) != len(shape) {
		return nil, malformed("a sparse tensor stored in blocks")
	}
	strides := make([]int, len(shape))
	for i, at := len(shape)-1, 1; i >= 0; i-- {
		strides[i] = at
		at *= shape[i]
	}
	seen := make([]bool, len(shape))
	for i, d := range s.order {
		if d < 0 || d >= len(shape) || seen[d] || s.dims[i].dense && s.dims[i].size != shape[d] {
			return nil, malformed("a sparse tensor whose dimensions are in disorder")
		}
		seen[d] = true
	}
	out := make([]float32, n)
	used := 0
	// place goes through dimension level of the entry with the given number
	// among those of the levels before it.
	var place func(level, entry, offset int) error
	place = func(level, entry, offset int) error {
		if level == len(shape) {
			if entry >= len(values) {
				return malformed("a sparse tensor has fewer numbers than places")
			}
			out[offset] = values[entry]
			used++
			return nil
		}
		d, stride := &s.dims[level], strides[s.order[level]]
		if d.dense {
			for i := range d.size {
				if err := place(level+1, entry*d.size+i, offset+i*stride); err != nil {
					return err
				}
			}
			return nil
		}
		if entry+1 >= len(d.segments) {
			return malformed("a sparse tensor's list of segments ends too soon")
		}
		from, to := d.segments[entry], d.segments[entry+1]
		if from < 0 || to < from || to > len(d.indices) {
			return malformed("a sparse tensor's segment from %d to %d of %d", from, to, len(d.indices))
		}
		for i := from; i < to; i++ {
			if x := d.indices[i]; x < 0 || x >= shape[s.order[level]] {
				return malformed("a sparse tensor's index %d outside %v", x, shape)
			}
			if err := place(level+1, i, offset+d.indices[i]*stride); err != nil {
				return err
			}
		}
		return nil
	}
	if err := place(0, 0, 0); err != nil {
		return nil, err
	}
	if used != len(values) {
		return nil, malformed("a sparse tensor has %d numbers for %d places", len(values), used)
	}
	return out, nil
}
