package kit

import (
	"gioui.org/io/pointer"
	"gioui.org/unit"
)

// GrabRadius is how near to a mark or a drawing a press takes hold of it.
const GrabRadius unit.Dp = 11

// Grip is a pointer that holds something: of several, as fingers are, the first.
type Grip struct {
	Held bool
	ID   pointer.ID
}

// Take takes hold with the pointer of a press, unless another holds.
func (g *Grip) Take(e pointer.Event) bool {
	if g.Held {
		return false
	}
	g.Held, g.ID = true, e.PointerID
	return true
}

// Holds reports whether the pointer of an event is the one that holds.
func (g *Grip) Holds(e pointer.Event) bool { return g.Held && e.PointerID == g.ID }
