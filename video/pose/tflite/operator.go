package tflite

import "slices"

// operator prepares one operator: its shapes are checked and what is constant
// is worked out. It returns nil where the whole operator is constant.
func (b *builder) operator(o *storedOperator) (*built, error) {
	out, err := b.tensor(o.outputs[0])
	if err != nil {
		return nil, err
	}
	if b.shapes[o.outputs[0]] != nil || b.constants[o.outputs[0]] != nil || b.dense[o.outputs[0]] != nil {
		return nil, malformed("%q is made twice", out.name)
	}
	if o.code == opDequantize || o.code == opDensify {
		return nil, b.fold(o)
	}
	if out.kind != float32s {
		return nil, malformed("%q is not of floats", out.name)
	}
	prepare, ok := map[code]func(*storedOperator) (operator, []int, int, error){
		opAdd: b.add, opConcatenation: b.concatenation, opConv: b.convolution, opDepthwiseConv: b.depthwise,
		opDepthToSpace: b.depthToSpace, opLogistic: b.logistic, opMaxPool: b.maxPool,
		opReshape: b.reshape, opResizeBilinear: b.resize, opPad: b.pad,
	}[o.code]
	if !ok {
		return nil, malformed("%s is none of its operators", o.code)
	}
	op, shape, computed, err := prepare(o)
	if err != nil {
		return nil, err
	}
	if _, err := elements(shape); err != nil {
		return nil, err
	}
	if !slices.Equal(shape, out.shape) {
		return nil, malformed("%q has the shape %v instead of %v", out.name, out.shape, shape)
	}
	b.shapes[o.outputs[0]] = shape
	return &built{op, o.inputs[:computed], o.outputs[0]}, nil
}

// fold makes a stored tensor dense floats. What DENSIFY makes of half floats is
// made floats at once, so that DEQUANTIZE has nothing left to do after it.
func (b *builder) fold(o *storedOperator) error {
	if len(o.inputs) != 1 {
		return malformed("%d inputs", len(o.inputs))
	}
	in, err := b.tensor(o.inputs[0])
	if err != nil {
		return err
	}
	if !slices.Equal(in.shape, b.tensors[o.outputs[0]].shape) {
		return malformed("the shape changes")
	}
	v, err := b.weights(o.inputs[0])
	if err != nil {
		return err
	}
	b.dense[o.outputs[0]] = v
	return nil
}

// weights returns a constant tensor of floats.
func (b *builder) weights(i int) ([]float32, error) {
	if v, ok := b.dense[i]; ok {
		return v, nil
	}
	t, ok := b.constants[i]
	if !ok {
		return nil, malformed("tensor %d is not constant", i)
	}
	n, err := elements(t.shape)
	if err != nil {
		return nil, err
	}
	if b.weighs += n; b.weighs > mostWeights {
		return nil, malformed("it has more than %d million weights", mostWeights>>20)
	}
	v, err := t.floats()
	if err != nil {
		return nil, err
	}
	b.dense[i] = v
	return v, nil
}

// computed returns the shape of a tensor that an operator has made before.
func (b *builder) computed(o *storedOperator, input int) ([]int, error) {
	if input >= len(o.inputs) {
		return nil, malformed("input %d is missing", input)
	}
	s := b.shapes[o.inputs[input]]
	if s == nil {
		return nil, malformed("input %d is not computed before it", input)
	}
	return s, nil
}

// picture is computed for a tensor of one picture.
func (b *builder) picture(o *storedOperator, input int) (rows, cols, channels int, err error) {
	s, err := b.computed(o, input)
	if err != nil {
		return 0, 0, 0, err
	}
	if len(s) != 4 || s[0] != 1 {
		return 0, 0, 0, malformed("the shape %v is not that of one picture", s)
	}
	return s[1], s[2], s[3], nil
}

// list returns a constant list of whole numbers with the given shape.
func (b *builder) list(o *storedOperator, input int, shape ...int) ([]int, error) {
	if input >= len(o.inputs) {
		return nil, malformed("input %d is missing", input)
	}
	t, ok := b.constants[o.inputs[input]]
	if !ok || !slices.Equal(t.shape, shape) {
		return nil, malformed("input %d is no constant of the shape %v", input, shape)
	}
	return t.ints()
}

// activation is what is done to each number last, numbered as in the format.
type activation byte

const (
	linear activation = 0
	relu   activation = 1
	relu6  activation = 3
)

func (b *builder) activation(v byte) (activation, error) {
	switch a := activation(v); a {
	case linear, relu, relu6:
		return a, nil
	default:
		return 0, malformed("activation %d", v)
	}
}

func (a activation) apply(v []float32) {
	switch a {
	case relu:
		for i, x := range v {
			v[i] = max(x, 0)
		}
	case relu6:
		for i, x := range v {
			v[i] = min(max(x, 0), 6)
		}
	}
}

// toil counts the products of an operator.
func (b *builder) toil(shape []int, each int) error {
	n, err := elements(shape)
	if err != nil {
		return err
	}
	if b.products += n * each; b.products > mostProducts {
		return malformed("one run takes more than %d thousand million products", mostProducts>>30)
	}
	return nil
}

// sliding is how a window goes over one side of a picture.
type sliding struct {
	window, stride int
	before         int // rows or columns of nothing before the picture
	in, out        int
}

const same, valid = 0, 1 // padding, numbered as in the format

func newSliding(in, window, stride int, padding byte) (sliding, error) {
	s := sliding{window: window, stride: stride, in: in}
	if window < 1 || stride < 1 || window > 64 || stride > 64 {
		return s, malformed("a window of %d in steps of %d", window, stride)
	}
	switch padding {
	case same:
		s.out = (in + stride - 1) / stride
		s.before = max((s.out-1)*stride+window-in, 0) / 2
	case valid:
		s.out = (in-window)/stride + 1
		if in < window {
			return s, malformed("a window of %d over %d", window, in)
		}
	default:
		return s, malformed("padding %d", padding)
	}
	return s, nil
}

// span returns where window i begins, and which part of it lies in the picture.
func (s *sliding) span(i int) (start, from, to int) {
	start = i*s.stride - s.before
	return start, max(-start, 0), min(s.in-start, s.window)
}
