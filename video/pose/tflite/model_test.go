package tflite

import (
	"encoding/binary"
	"math"
	"math/rand/v2"

	flatbuffers "github.com/google/flatbuffers/go"
)

// sketch is a model of one operator, written down for a test.
type sketch struct {
	op       code
	in, out  []int       // shapes of the input and the output
	stored   []constant  // the operator's other inputs
	options  map[int]any // its options: int32 or byte by the number of the field
	twice    bool        // the input is also the second input
	sparse   bool        // the first stored input is stored sparse, as half floats
	optionsN byte        // kind of the options
}

type constant struct {
	shape []int
	v     any // []float32 or []int32
}

// filled is n numbers between −1 and 1, the same for a seed on any machine.
func filled(seed uint64, shape ...int) constant {
	n := 1
	for _, d := range shape {
		n *= d
	}
	r := rand.New(rand.NewPCG(seed, 17))
	v := make([]float32, n)
	for i := range v {
		v[i] = float32(r.IntN(2049)-1024) / 1024 // a half float as well
	}
	return constant{shape, v}
}

func whole(v ...int32) []int32 { return v }

// model writes the sketch as a file.
func (s sketch) model() []byte {
	w := &writer{b: flatbuffers.NewBuilder(1 << 12)}
	w.buffers = append(w.buffers, nil)
	codes := []code{s.op}
	input := w.tensor("input", s.in, float32s, nil, 0)
	at := []int32{input}
	if s.twice {
		at = append(at, input)
	}
	var before []flatbuffers.UOffsetT
	for i, c := range s.stored {
		switch v := c.v.(type) {
		case []float32:
			if i > 0 || !s.sparse {
				at = append(at, w.tensor("weights", c.shape, float32s, floatBytes(v), 0))
				continue
			}
			packed, sp := w.csr(c.shape, v)
			stored := w.tensor("sparse", c.shape, float16s, packed, sp)
			halves := w.tensor("halves", c.shape, float16s, nil, 0)
			dense := w.tensor("dense", c.shape, float32s, nil, 0)
			codes = append(codes, opDensify, opDequantize)
			before = append(before, w.operator(1, []int32{stored}, halves, 0, nil), w.operator(2, []int32{halves}, dense, 0, nil))
			at = append(at, dense)
		case []int32:
			b := make([]byte, 4*len(v))
			for k, x := range v {
				binary.LittleEndian.PutUint32(b[4*k:], uint32(x))
			}
			at = append(at, w.tensor("list", c.shape, int32s, b, 0))
		}
	}
	output := w.tensor("output", s.out, float32s, nil, 0)
	before = append(before, w.operator(0, at, output, s.optionsN, s.options))
	return w.finish(codes, before, []int32{input}, []int32{output})
}

type writer struct {
	b       *flatbuffers.Builder
	tensors []flatbuffers.UOffsetT
	buffers [][]byte
}

func (w *writer) offsets(v []flatbuffers.UOffsetT) flatbuffers.UOffsetT {
	w.b.StartVector(4, len(v), 4)
	for i := len(v) - 1; i >= 0; i-- {
		w.b.PrependUOffsetT(v[i])
	}
	return w.b.EndVector(len(v))
}

func (w *writer) int32s(v []int32) flatbuffers.UOffsetT {
	w.b.StartVector(4, len(v), 4)
	for i := len(v) - 1; i >= 0; i-- {
		w.b.PrependInt32(v[i])
	}
	return w.b.EndVector(len(v))
}

func (w *writer) tensor(name string, shape []int, k kind, data []byte, sparse flatbuffers.UOffsetT) int32 {
	var s []int32
	for _, d := range shape {
		s = append(s, int32(d))
	}
	shapeAt, nameAt := w.int32s(s), w.b.CreateString(name)
	buffer := 0
	if data != nil {
		buffer = len(w.buffers)
		w.buffers = append(w.buffers, data)
	}
	w.b.StartObject(8)
	w.b.PrependUOffsetTSlot(0, shapeAt, 0)
	w.b.PrependByteSlot(1, byte(k), 0)
	w.b.PrependUint32Slot(2, uint32(buffer), 0)
	w.b.PrependUOffsetTSlot(3, nameAt, 0)
	w.b.PrependUOffsetTSlot(6, sparse, 0)
	w.tensors = append(w.tensors, w.b.EndObject())
	return int32(len(w.tensors) - 1)
}

func (w *writer) operator(index int, in []int32, out int32, optionsKind byte, options map[int]any) flatbuffers.UOffsetT {
	var optionsAt flatbuffers.UOffsetT
	if optionsKind != 0 {
		w.b.StartObject(8)
		for f, v := range options {
			switch v := v.(type) {
			case int:
				w.b.PrependInt32Slot(f, int32(v), math.MinInt32)
			case byte:
				w.b.PrependByteSlot(f, v, 255)
			}
		}
		optionsAt = w.b.EndObject()
	}
	inAt, outAt := w.int32s(in), w.int32s([]int32{out})
	w.b.StartObject(5)
	w.b.PrependUint32Slot(0, uint32(index), 0)
	w.b.PrependUOffsetTSlot(1, inAt, 0)
	w.b.PrependUOffsetTSlot(2, outAt, 0)
	w.b.PrependByteSlot(3, optionsKind, 0)
	w.b.PrependUOffsetTSlot(4, optionsAt, 0)
	return w.b.EndObject()
}

func (w *writer) finish(codes []code, operators []flatbuffers.UOffsetT, in, out []int32) []byte {
	tensors, ops := w.offsets(w.tensors), w.offsets(operators)
	inAt, outAt := w.int32s(in), w.int32s(out)
	w.b.StartObject(5)
	w.b.PrependUOffsetTSlot(0, tensors, 0)
	w.b.PrependUOffsetTSlot(1, inAt, 0)
	w.b.PrependUOffsetTSlot(2, outAt, 0)
	w.b.PrependUOffsetTSlot(3, ops, 0)
	graphs := w.offsets([]flatbuffers.UOffsetT{w.b.EndObject()})
	var codesAt, buffersAt []flatbuffers.UOffsetT
	for _, c := range codes {
		w.b.StartObject(4)
		w.b.PrependInt8Slot(0, int8(c), 0)
		version := int32(1)
		if c == opDequantize || c == opResizeBilinear {
			version = 3 // of half floats; of pixels at their centres
		}
		w.b.PrependInt32Slot(2, version, 1)
		w.b.PrependInt32Slot(3, int32(c), 0)
		codesAt = append(codesAt, w.b.EndObject())
	}
	for _, d := range w.buffers {
		w.b.StartVector(1, len(d), 16)
		for i := len(d) - 1; i >= 0; i-- {
			w.b.PrependByte(d[i])
		}
		v := w.b.EndVector(len(d))
		w.b.StartObject(1)
		w.b.PrependUOffsetTSlot(0, v, 0)
		buffersAt = append(buffersAt, w.b.EndObject())
	}
	codesVec, buffersVec := w.offsets(codesAt), w.offsets(buffersAt)
	w.b.StartObject(5)
	w.b.PrependUint32Slot(0, 3, 0)
	w.b.PrependUOffsetTSlot(1, codesVec, 0)
	w.b.PrependUOffsetTSlot(2, graphs, 0)
	w.b.PrependUOffsetTSlot(4, buffersVec, 0)
	w.b.FinishWithFileIdentifier(w.b.EndObject(), []byte("TFL3"))
	return w.b.FinishedBytes()
}

// csr stores a tensor with its last dimension sparse, as half floats.
func (w *writer) csr(shape []int, v []float32) ([]byte, flatbuffers.UOffsetT) {
	var packed []byte
	segments, indices := []int32{0}, []int32{}
	last := shape[len(shape)-1]
	for i, x := range v {
		if x != 0 {
			packed = binary.LittleEndian.AppendUint16(packed, toHalf(x))
			indices = append(indices, int32(i%last))
		}
		if i%last == last-1 {
			segments = append(segments, int32(len(indices)))
		}
	}
	var dims []flatbuffers.UOffsetT
	for _, d := range shape[:len(shape)-1] {
		w.b.StartObject(6)
		w.b.PrependInt32Slot(1, int32(d), 0)
		dims = append(dims, w.b.EndObject())
	}
	vector := func(v []int32) flatbuffers.UOffsetT {
		at := w.int32s(v)
		w.b.StartObject(1)
		w.b.PrependUOffsetTSlot(0, at, 0)
		return w.b.EndObject()
	}
	s, x := vector(segments), vector(indices)
	w.b.StartObject(6)
	w.b.PrependByteSlot(0, 1, 0)
	w.b.PrependByteSlot(2, 1, 0)
	w.b.PrependUOffsetTSlot(3, s, 0)
	w.b.PrependByteSlot(4, 1, 0)
	w.b.PrependUOffsetTSlot(5, x, 0)
	dims = append(dims, w.b.EndObject())
	dimsAt := w.offsets(dims)
	var order []int32
	for i := range shape {
		order = append(order, int32(i))
	}
	orderAt := w.int32s(order)
	w.b.StartObject(3)
	w.b.PrependUOffsetTSlot(0, orderAt, 0)
	w.b.PrependUOffsetTSlot(2, dimsAt, 0)
	return packed, w.b.EndObject()
}

// toHalf is for numbers that a half float can hold.
func toHalf(f float32) uint16 {
	b := math.Float32bits(f)
	sign, exp := uint16(b>>31)<<15, int(b>>23&255)-112
	if f == 0 {
		return sign
	}
	return sign | uint16(exp)<<10 | uint16(b>>13)&1023
}

func floatBytes(v []float32) []byte {
	b := make([]byte, 0, 4*len(v))
	for _, x := range v {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
	}
	return b
}
