package bundle

import (
	"turngauge/geometry"
)

// Gradient is the derivative of a scalar by the unknowns of a few positions and
// by global unknowns, Unit of the scalar per unit of the unknown.
type Gradient struct {
	Pos [geometry.NumSlots]int // −1 where unused
	By  [geometry.NumSlots][]float64
	g   []float64 // nil for none
}

// PositionGradient is that of a scalar by the unknowns of one position.
func PositionGradient(pos int, by []float64) *Gradient {
	gr := &Gradient{Pos: [geometry.NumSlots]int{pos, -1, -1}}
	gr.By[0] = by
	return gr
}

// pose returns a state's points as a measure reads them.
//
// The stature is the one told beforehand and not the fitted one: of the measures only the
// centre of mass asks for it, by the table of segment masses, and in a ratio.
func (p *Problem) pose(st *State, slots [geometry.NumSlots]int) *geometry.Pose {
	return &geometry.Pose{Sex: p.golfer.Sex, StatureM: p.statureM, Finish: p.Names[slots[geometry.Here]] == geometry.Finish,
		At: func(slot geometry.Slot, pt geometry.Point) geometry.WorldPt { return st.At(slots[slot], pt) }}
}

// Evaluate evaluates a definition at a state.
func (p *Problem) Evaluate(st *State, d *geometry.Definition, slots [geometry.NumSlots]int) float64 {
	return d.Value(p.pose(st, slots))
}

// Differentiate evaluates a definition at a state with its gradient.
//
// The definition's own dual numbers give the derivative by the points it reads, its unit per
// metre; lengths, cameras and all other global unknowns enter a measure through the points
// alone. gr.Pos is −1 for a slot that the definition does not read or that has no position.
func (p *Problem) Differentiate(st *State, d *geometry.Definition, slots [geometry.NumSlots]int) (float64, *Gradient) {
	v, by := d.Gradient(p.pose(st, slots))
	gr := &Gradient{By: by}
	for slot := range by {
		gr.Pos[slot] = -1
		if by[slot] != nil {
			gr.Pos[slot] = slots[slot]
		}
	}
	return v, gr
}
