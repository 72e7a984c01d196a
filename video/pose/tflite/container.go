package tflite

import (
	"encoding/binary"
	"errors"
	"fmt"

	flatbuffers "github.com/google/flatbuffers/go"
)

// ErrModel is what every error of Load wraps: the bytes are no model, or one
// that this package can't run.
var ErrModel = errors.New("this is no network that Turngauge can run")

func malformed(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrModel, fmt.Sprintf(format, args...))
}

// Bounds on what a model may ask for. The networks this is for stay below a
// tenth of each.
const (
	mostTensors   = 8192
	mostOperators = 8192
	mostElements  = 4 << 20  // of one tensor
	mostWeights   = 16 << 20 // floats of all stored tensors
	mostArena     = 16 << 20 // floats alive at once
	mostProducts  = 4 << 30  // of one run
	mostEntries   = 16 << 20 // of all lists
	mostDims      = 6
)

// container is a model file taken apart, nothing checked but its framing.
type container struct {
	tensors   []storedTensor
	inputs    []int
	outputs   []int
	operators []storedOperator
}

type storedTensor struct {
	name   string
	shape  []int
	kind   kind
	data   []byte // nil where it is computed
	sparse *sparsity
}

type storedOperator struct {
	code            code
	inputs, outputs []int
	options         options
}

// kind is how numbers are stored, numbered as in the format.
type kind byte

const (
	float32s kind = 0
	float16s kind = 1
	int32s   kind = 2
)

func (k kind) bytes() int {
	switch k {
	case float32s, int32s:
		return 4
	case float16s:
		return 2
	default:
		return 0
	}
}

// code names an operator, numbered as in the format.
type code int32

const (
	opAdd            code = 0
	opConcatenation  code = 2
	opConv           code = 3
	opDepthwiseConv  code = 4
	opDepthToSpace   code = 5
	opDequantize     code = 6
	opLogistic       code = 14
	opMaxPool        code = 17
	opReshape        code = 22
	opResizeBilinear code = 23
	opPad            code = 34
	opDensify        code = 124
)

var codeNames = map[code]string{
	opAdd: "ADD", opConcatenation: "CONCATENATION", opConv: "CONV_2D", opDepthwiseConv: "DEPTHWISE_CONV_2D",
	opDepthToSpace: "DEPTH_TO_SPACE", opDequantize: "DEQUANTIZE", opLogistic: "LOGISTIC", opMaxPool: "MAX_POOL_2D",
	opReshape: "RESHAPE", opResizeBilinear: "RESIZE_BILINEAR", opPad: "PAD", opDensify: "DENSIFY",
}

func (c code) String() string {
	if s, ok := codeNames[c]; ok {
		return s
	}
	return fmt.Sprintf("operator %d", int32(c))
}

// table is a FlatBuffers table read by the numbers of its fields. A table that
// is not there gives each field's default.
type table struct {
	flatbuffers.Table
	there bool
	// left is how many entries of lists may still be read: many lists can lie
	// in one place of the file.
	left *int
}

func (t table) at(pos flatbuffers.UOffsetT) table {
	t.Pos, t.there = pos, true
	return t
}

func (t table) slot(field int) flatbuffers.UOffsetT {
	if !t.there {
		return 0
	}
	return flatbuffers.UOffsetT(t.Offset(flatbuffers.VOffsetT(4 + 2*field)))
}

func (t table) int32(field int, otherwise int32) int32 {
	if o := t.slot(field); o != 0 {
		return t.GetInt32(o + t.Pos)
	}
	return otherwise
}

func (t table) byte(field int) byte {
	if o := t.slot(field); o != 0 {
		return t.GetByte(o + t.Pos)
	}
	return 0
}

func (t table) child(field int) table {
	o := t.slot(field)
	if o == 0 {
		return table{}
	}
	return t.at(t.Indirect(o + t.Pos))
}

// union returns the table of a field whose kind stands in the field before it.
func (t table) union(field int) (table, byte) {
	return t.child(field), t.byte(field - 1)
}

func (t table) string(field int) string {
	if o := t.slot(field); o != 0 {
		b := t.ByteVector(o + t.Pos)
		t.take(len(b))
		return string(b)
	}
	return ""
}

func (t table) raw(field int) []byte {
	if o := t.slot(field); o != 0 {
		return t.ByteVector(o + t.Pos)
	}
	return nil
}

// ints returns a vector of 32-bit numbers.
func (t table) ints(field, most int) []int {
	o := t.slot(field)
	if o == 0 {
		return nil
	}
	n := t.length(o, most)
	start := t.Vector(o)
	out := make([]int, n)
	for i := range out {
		out[i] = int(t.GetInt32(start + flatbuffers.UOffsetT(4*i)))
	}
	return out
}

func (t table) tables(field, most int) []table {
	o := t.slot(field)
	if o == 0 {
		return nil
	}
	n := t.length(o, most)
	start := t.Vector(o)
	out := make([]table, n)
	for i := range out {
		out[i] = t.at(t.Indirect(start + flatbuffers.UOffsetT(4*i)))
	}
	return out
}

// options are the fields of an operator's options, as they lie in the file. One
// that is not there has its default.
type options [8]struct {
	there bool
	bits  uint32
}

func readOptions(t table) (o options) {
	for f := range o {
		if at := t.slot(f); at != 0 {
			var b [4]byte // a byte may be the file's last
			copy(b[:], t.Bytes[at+t.Pos:])
			o[f].there, o[f].bits = true, binary.LittleEndian.Uint32(b[:])
		}
	}
	return o
}

func (o *options) byte(field int) byte { return byte(o[field].bits) }

func (o *options) int32(field int, otherwise int32) int32 {
	if !o[field].there {
		return otherwise
	}
	return int32(o[field].bits)
}

// length is a vector's length, which the buffer must have room for.
func (t table) length(o flatbuffers.UOffsetT, most int) int {
	n := t.VectorLen(o)
	if n < 0 || n > most || n > len(t.Bytes) {
		panic(malformed("a list of %d entries", n))
	}
	t.take(n)
	return n
}

func (t table) take(n int) {
	if *t.left -= n; *t.left < 0 {
		panic(malformed("its lists are too long"))
	}
}

// parse takes a model file apart. The fields are numbered as in the schema of
// the format (schema.fbs of LiteRT, version 3).
func parse(b []byte) (c *container, err error) {
	if len(b) < 8 || string(b[4:8]) != "TFL3" {
		return nil, malformed("it does not begin as a TensorFlow Lite model, version 3")
	}
	// The FlatBuffers library has no verifier for Go: an offset that leads
	// outside the file makes it index outside the slice.
	defer func() {
		if r := recover(); r != nil {
			if e, ok := r.(error); ok && errors.Is(e, ErrModel) {
				c, err = nil, e
				return
			}
			c, err = nil, malformed("it is damaged: %v", r)
		}
	}()
	left := mostEntries
	root := table{flatbuffers.Table{Bytes: b}, true, &left}.at(flatbuffers.GetUOffsetT(b))
	var codes []code
	for _, t := range root.tables(1, mostOperators) {
		codes = append(codes, code(max(int32(int8(t.byte(0))), t.int32(3, 0))))
	}
	graphs := root.tables(2, 16)
	if len(graphs) != 1 {
		return nil, malformed("it has %d graphs instead of one", len(graphs))
	}
	buffers := root.tables(4, mostTensors+1)
	c = &container{inputs: graphs[0].ints(1, 64), outputs: graphs[0].ints(2, 64)}
	for _, t := range graphs[0].tables(0, mostTensors) {
		s := storedTensor{name: t.string(3), shape: t.ints(0, mostDims), kind: kind(t.byte(1))}
		i := int(t.int32(2, 0))
		if i < 0 || i >= len(buffers) {
			return nil, malformed("tensor %q lies in buffer %d of %d", s.name, i, len(buffers))
		}
		if i > 0 { // buffer 0 is the empty one
			if d := buffers[i].raw(0); len(d) > 0 {
				s.data = d
			}
		}
		if p := t.child(6); p.there {
			if s.sparse, err = parseSparsity(p); err != nil {
				return nil, err
			}
		}
		c.tensors = append(c.tensors, s)
	}
	for _, t := range graphs[0].tables(3, mostOperators) {
		i := int(t.int32(0, 0))
		if i < 0 || i >= len(codes) {
			return nil, malformed("an operator has code %d of %d", i, len(codes))
		}
		c.operators = append(c.operators, storedOperator{codes[i], t.ints(1, 64), t.ints(2, 64), readOptions(t.child(4))})
	}
	return c, nil
}

// sparsity says which elements of a sparse tensor are stored.
type sparsity struct {
	order, blocks []int
	dims          []sparseDim
}

type sparseDim struct {
	dense             bool
	size              int
	segments, indices []int
}

func parseSparsity(t table) (*sparsity, error) {
	s := &sparsity{order: t.ints(0, 2*mostDims), blocks: t.ints(1, mostDims)}
	for _, d := range t.tables(2, 2*mostDims) {
		dim := sparseDim{dense: d.byte(0) == 0, size: int(d.int32(1, 0))}
		if !dim.dense {
			var err error
			if dim.segments, err = indexVector(d.union(3)); err != nil {
				return nil, err
			}
			if dim.indices, err = indexVector(d.union(5)); err != nil {
				return nil, err
			}
		}
		s.dims = append(s.dims, dim)
	}
	return s, nil
}

// indexVector reads indices stored as 32, 16 or 8 bits each.
func indexVector(t table, kind byte) ([]int, error) {
	switch kind {
	case 1:
		return t.ints(0, mostElements), nil
	case 2:
		o := t.slot(0)
		if o == 0 {
			return nil, nil
		}
		n, start := t.length(o, mostElements), t.Vector(o)
		raw := t.Bytes[start:][:2*n]
		out := make([]int, n)
		for i := range out {
			out[i] = int(binary.LittleEndian.Uint16(raw[2*i:]))
		}
		return out, nil
	case 3:
		raw := t.raw(0)
		t.take(len(raw))
		out := make([]int, len(raw))
		for i, v := range raw {
			out[i] = int(v)
		}
		return out, nil
	default:
		return nil, malformed("its sparse indices are of kind %d", kind)
	}
}
