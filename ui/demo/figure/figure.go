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

// NewBody returns the body of m's golfer.
func NewBody(m *golfer.Model) *Body {
	b := &Body{newTrunk(m), newLegs(m), newArms(m), newHead(m), newShoes(m), nil, 0}
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

// Plain takes weave, seams and stitches off belt and trousers' seat.
func (b *Body) Plain() {
	b.trunk.belt.Tex, b.trunk.seat.Tex = render.Plain(leather), render.Plain(trouserColour)
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
