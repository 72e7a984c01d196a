package tflite

import (
	"fmt"
	"slices"
)

// Network is a model ready to run. It does not change, and any number of runs
// on any goroutines can share it.
type Network struct {
	steps   []step
	arena   int // floats that a run needs for its tensors
	scratch int // and for what one step needs to itself
	// products is how many numbers a run multiplies.
	products int
	input    place
	outputs  []place
}

// place is where in the arena a computed tensor lies while it is needed.
type place struct {
	shape      []int
	at, length int
}

// step is one operator with the places of its computed inputs and its output.
type step struct {
	op  operator
	in  []place
	out place
}

// operator computes one tensor from others. Whatever is constant in it is part
// of it.
type operator interface {
	run(out, scratch []float32, in ...[]float32)
}

// Load makes a network of a model with one input of floats. Of its outputs
// those named are computed, in that order; all where none is named. Errors wrap
// ErrModel.
func Load(model []byte, outputs ...string) (*Network, error) {
	c, err := parse(model)
	if err != nil {
		return nil, err
	}
	b := &builder{
		container: c,
		constants: make(map[int]*storedTensor),
		dense:     make(map[int][]float32),
		shapes:    make(map[int][]int),
	}
	return b.build(outputs)
}

// builder makes a network of a container.
type builder struct {
	*container
	constants map[int]*storedTensor // tensors that hold stored numbers
	dense     map[int][]float32     // and those of them that were made dense
	shapes    map[int][]int         // of computed tensors, once they are known
	weighs    int                   // floats made dense so far
	products  int                   // of one run so far
	scratch   int
}

func (b *builder) build(names []string) (*Network, error) {
	if len(b.inputs) != 1 {
		return nil, malformed("it has %d inputs instead of one", len(b.inputs))
	}
	for i := range b.tensors {
		if b.tensors[i].data != nil {
			b.constants[i] = &b.tensors[i]
		}
	}
	wanted, err := b.wanted(names)
	if err != nil {
		return nil, err
	}
	needed, err := b.needed(wanted)
	if err != nil {
		return nil, err
	}
	in, err := b.tensor(b.inputs[0])
	if err != nil {
		return nil, err
	}
	if _, err := elements(in.shape); err != nil {
		return nil, err
	}
	if in.kind != float32s || len(in.shape) != 4 || in.shape[0] != 1 || b.constants[b.inputs[0]] != nil {
		return nil, malformed("its input %q is no picture of floats", in.name)
	}
	b.shapes[b.inputs[0]] = in.shape
	var steps []built
	for i := range b.operators {
		if !needed[i] {
			continue
		}
		s, err := b.operator(&b.operators[i])
		if err != nil {
			return nil, fmt.Errorf("%w (operator %d, %s)", err, i, b.operators[i].code)
		}
		if s != nil {
			steps = append(steps, *s)
		}
	}
	for _, t := range wanted {
		if b.shapes[t] == nil {
			return nil, malformed("its output %q is not computed", b.tensors[t].name)
		}
	}
	return b.lay(steps, wanted)
}

func (b *builder) tensor(i int) (*storedTensor, error) {
	if i < 0 || i >= len(b.tensors) {
		return nil, malformed("tensor %d of %d", i, len(b.tensors))
	}
	return &b.tensors[i], nil
}

// wanted finds the outputs with the given names.
func (b *builder) wanted(names []string) ([]int, error) {
	var all []string
	for _, o := range b.outputs {
		t, err := b.tensor(o)
		if err != nil {
			return nil, err
		}
		all = append(all, t.name)
	}
	if len(names) == 0 {
		if len(b.outputs) == 0 {
			return nil, malformed("it has no output")
		}
		return b.outputs, nil
	}
	var out []int
	for _, n := range names {
		i := slices.Index(all, n)
		if i < 0 {
			return nil, malformed("it has no output %q", n)
		}
		out = append(out, b.outputs[i])
	}
	return out, nil
}

// needed says which operators lead to the wanted tensors. Each operator comes
// after those that it builds on.
func (b *builder) needed(wanted []int) ([]bool, error) {
	use := make(map[int]bool)
	for _, t := range wanted {
		use[t] = true
	}
	needed := make([]bool, len(b.operators))
	for i := len(b.operators) - 1; i >= 0; i-- {
		o := &b.operators[i]
		if len(o.outputs) != 1 {
			return nil, malformed("operator %d has %d outputs", i, len(o.outputs))
		}
		if needed[i] = use[o.outputs[0]]; !needed[i] {
			continue
		}
		for _, t := range o.inputs {
			use[t] = true
		}
	}
	return needed, nil
}

// built is an operator with the numbers of its computed inputs and its output.
type built struct {
	op  operator
	in  []int
	out int
}

// lay gives each computed tensor its place in the arena: the first gap that is
// free from where it is made to where it is used last.
func (b *builder) lay(steps []built, wanted []int) (*Network, error) {
	first, last := map[int]int{b.inputs[0]: -1}, map[int]int{}
	order := []int{b.inputs[0]}
	for i, s := range steps {
		first[s.out] = i
		order = append(order, s.out)
		for _, t := range append([]int{s.out}, s.in...) {
			last[t] = i
		}
	}
	for _, t := range wanted {
		last[t] = len(steps)
	}
	places := make(map[int]place, len(order))
	n := &Network{scratch: b.scratch, products: b.products}
	var laid []int // by where they begin
	for _, t := range order {
		length, err := elements(b.shapes[t])
		if err != nil {
			return nil, err
		}
		at := 0
		for _, u := range laid {
			p := places[u]
			if last[u] < first[t] || at+length <= p.at {
				continue
			}
			at = max(at, p.at+p.length)
		}
		places[t] = place{b.shapes[t], at, length}
		if n.arena = max(n.arena, at+length); n.arena > mostArena {
			return nil, malformed("it needs more than %d MB to work in", mostArena*4>>20)
		}
		i, _ := slices.BinarySearchFunc(laid, at, func(u, at int) int { return places[u].at - at })
		laid = slices.Insert(laid, i, t)
	}
	for _, s := range steps {
		st := step{op: s.op, out: places[s.out]}
		for _, t := range s.in {
			st.in = append(st.in, places[t])
		}
		n.steps = append(n.steps, st)
	}
	n.input = places[b.inputs[0]]
	for _, t := range wanted {
		n.outputs = append(n.outputs, places[t])
	}
	return n, nil
}

// Run is the memory that a network works in. It belongs to one goroutine at a
// time.
type Run struct {
	network        *Network
	arena, scratch []float32
	in             [][]float32
}

// NewRun returns memory to run the network in.
func (n *Network) NewRun() *Run {
	return &Run{n, make([]float32, n.arena), make([]float32, n.scratch), nil}
}

func (r *Run) slice(p place) []float32 { return r.arena[p.at:][:p.length:p.length] }

// Input returns the input, row by row with the channels of a pixel together (NHWC),
// in the range that the model was trained on. It is to be filled before each Do: its
// memory is used for other tensors meanwhile.
func (r *Run) Input() []float32 { return r.slice(r.network.input) }

// Output returns wanted output i of the last Do, flat in the order of the format. It
// is good until the next Do.
func (r *Run) Output(i int) []float32 { return r.slice(r.network.outputs[i]) }

// Do computes the outputs from the input.
func (r *Run) Do() {
	for i := range r.network.steps {
		s := &r.network.steps[i]
		r.in = r.in[:0]
		for _, p := range s.in {
			r.in = append(r.in, r.slice(p))
		}
		s.op.run(r.slice(s.out), r.scratch, r.in...)
	}
}
