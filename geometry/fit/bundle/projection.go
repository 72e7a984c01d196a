package bundle

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Projection is a camera's view of a point of the golfer, with its derivatives by
// what else the fit knows of a mark.
type Projection struct {
	geometry.Projection
	oTime  int        // index of the unknown time of the frame, or 0
	dt     [2]float64 // by that
	oBias  int        // index of what a mark is off by at all positions, or 0
	biasPx float64    // the derivative by that
}

// Project pictures a point at a position, as it is at the time of the clip's frame, with
// its derivatives, upright pixels; ok is false for one behind the camera.
//
// By the chain rule the derivative by the unknown time u of the frame, in units of its
// standard deviation τ, is J v τ, with J = ∂(X, Y)/∂x by the point and v its velocity in
// metres a second (setMoving). The ball lies still.
func (p *Problem) Project(st *State, clip, pos int, pt geometry.Point) (pr Projection, ok bool) {
	if pt == geometry.Ball {
		seen, ok := st.Cameras[clip].Linearise(p.Ball(st), true)
		return Projection{Projection: seen}, ok
	}
	at, by, o := p.shown(st, clip, pos, pt)
	seen, ok := st.Cameras[clip].Linearise(at, true)
	pr = Projection{Projection: seen, oTime: o}
	pr.dt = [2]float64{r3.Dot(pr.ByPoint[0], by), r3.Dot(pr.ByPoint[1], by)}
	return pr, ok
}

// Seen pictures a mark where the state expects it, its shared bias included.
//
// What a mark is expected at is the picture plus β b, b the unknown bias of its point and clip
// and β, pixels, what one standard deviation of it is worth in this mark; by b the derivative
// is β in its own coordinate and 0 in the other.
func (p *Problem) Seen(st *State, m *Mark) (Projection, bool) {
	pr, ok := p.Project(st, m.Clip, m.Pos, m.Point)
	dx, dy := m.bias(st)
	pr.X, pr.Y = pr.X+dx, pr.Y+dy
	pr.oBias, pr.biasPx = m.oBias, m.biasPx
	return pr, ok
}

// Ball is the place of the ball, metres in the world.
func (p *Problem) Ball(st *State) r3.Vec {
	return r3.Vec{X: st.g[p.oBall], Y: st.g[p.oBall+1], Z: st.g[p.oBall+2]}
}
