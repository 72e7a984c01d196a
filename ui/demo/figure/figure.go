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
}

// NewBody returns the body of m's golfer.
func NewBody(m *golfer.Model) *Body {
	b := &Body{newTrunk(m), newLegs(m), newArms(m), newHead(m), newShoes(m), nil}
	for _, part := range [][]*render.Mesh{b.trunk.meshes(), b.legs.meshes(), b.arms.meshes(), b.head.meshes(), b.shoes.meshes()} {
		b.all = append(b.all, part...)
	}
	return b
}

// Update moves the meshes to a pose and returns them; they change with the
// next call.
func (b *Body) Update(p *golfer.Pose) []*render.Mesh {
	b.trunk.update(p)
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
