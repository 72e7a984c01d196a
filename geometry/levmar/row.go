package levmar

// rowEntries bounds how many unknowns of a kind one residual may depend on: a
// point of a tracked segment depends on 24 unknowns of two instants and on 15 of
// the border.
const rowEntries = 48

// Row holds the derivatives of one residual by the unknowns it depends on:
// global ones, which all blocks share, and local ones of its own block. An index
// may come twice; its derivatives then add up. The zero Row has no entries.
//
// Fixed arrays keep a row off the heap: a solve fills some hundred thousand. More entries than
// rowEntries panic, as an index out of range.
type Row struct {
	ng, nl int
	gi, li [rowEntries]int
	gv, lv [rowEntries]float64
}

// Reset takes all entries away.
func (r *Row) Reset() { r.ng, r.nl = 0, 0 }

// Global adds the derivative v by the global unknown i.
func (r *Row) Global(i int, v float64) { r.gi[r.ng], r.gv[r.ng] = i, v; r.ng++ }

// Local adds the derivative v by the unknown i of the residual's block. In a Band
// the block and the next one count as one of twice the size.
func (r *Row) Local(i int, v float64) { r.li[r.nl], r.lv[r.nl] = i, v; r.nl++ }

// ScaleLocals multiplies the derivatives by the local unknowns by k.
func (r *Row) ScaleLocals(k float64) {
	for i := range r.nl {
		r.lv[i] *= k
	}
}

// Globals returns the indices and values of the global entries. They are valid
// until the next Reset.
func (r *Row) Globals() (index []int, value []float64) { return r.gi[:r.ng], r.gv[:r.ng] }

// Locals returns the indices and values of the local entries. They are valid
// until the next Reset.
func (r *Row) Locals() (index []int, value []float64) { return r.li[:r.nl], r.lv[:r.nl] }
