package figure

import (
	"turngauge/geometry/golfer"
	"turngauge/ui/demo/render"
)

// Body is the golfer without club and ball, as meshes. It is not for
// concurrent use.
type Body struct {
	trunk *trunk
	legs  *legs
	arms  *arms
	head  *head
	shoes *shoes
	all   []*render.Mesh
	// Slip is by how much belt and trousers' seat have turned on the pelvis, radians, as the
	// pelvis turns away from the target.
	Slip float64
}

// Legwear is what is worn on the legs.
type Legwear uint8

// The kinds of Legwear; the zero value is long trousers.
const (
	Trousers Legwear = iota
	Shorts
	Skirt // to the knees
)

// Wear is what differs between golfers' clothes. The zero value is long trousers, with weave,
// seams and a stitched belt, and the shirt tucked in.
type Wear struct {
	Legs Legwear
	// Plain cloth and a plain belt show no weave, seams or stitches.
	Plain bool
	// Untucked, the shirt hangs over the belt, and its hem goes along with the chest by untuckedTurn.
	Untucked bool
}

// NewBody returns the body of m's golfer.
func NewBody(m *golfer.Model, w Wear) *Body {
	b := &Body{newTrunk(m, w), newLegs(m, w), newArms(m), newHead(m), newShoes(m), nil, 0}
	for _, part := range [][]*render.Mesh{b.trunk.meshes(), b.legs.meshes(), b.arms.meshes(), b.head.meshes(), b.shoes.meshes()} {
		b.all = append(b.all, part...)
	}
	return b
}

// Update moves the meshes to a pose and returns them; they change with the
// next call.
func (b *Body) Update(p *golfer.Pose) []*render.Mesh {
	b.trunk.update(p, b.Slip)
	b.legs.update(p)
	b.arms.update(p)
	b.head.update(p)
	b.shoes.update(p)
	return b.all
}

// Tool is the club and the ball. It is not for concurrent use.
type Tool struct {
	club *club
	ball *ball
	all  []*render.Mesh
}

// NewTool returns the club and ball of m.
func NewTool(m *golfer.Model) *Tool {
	t := &Tool{club: newClub(m), ball: newBall()}
	t.all = append(t.club.meshes(), t.ball.Mesh)
	return t
}

// Update moves the meshes to a pose and returns them; they change with the
// next call.
func (t *Tool) Update(p *golfer.Pose) []*render.Mesh {
	t.club.update(p)
	t.ball.update(p)
	return t.all
}

// Club returns the meshes of the club alone.
func (t *Tool) Club() []*render.Mesh { return t.all[:len(t.all)-1] }
