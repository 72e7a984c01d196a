package bundle

import (
	"turngauge/geometry"
)

// A program that looks for a point in a picture takes much the same place on one
// golfer for it at every key position: the cloth, the build and the view are the
// same. This shared bias cancels in what is counted since address, and does not
// average out over positions in what is not. It is a nuisance parameter of the fit:
// for each point and clip two unknowns b ~ N(0, 1), the same at all positions, so that
//
//	mark = picture of the point + β b + e,  e ~ N(0, σ² − β²) in each coordinate,
//
// with β the mark's SharedBiasPx and σ its SigmaPx. Integrating b out would couple all
// marks of a point; as an unknown it only adds two columns to the global block.

// The prior of b is exactly N(0, 1) and β and σ are stated by whoever proposed the mark, so
// that no component is learned of them: a residual of such a mark has too few of its kind for
// that. The two are independent: what a finder of joints is off by on one golfer at all
// positions, and what it wanders by from picture to picture about that. A mark that the hand
// moves has no β any more, and its point's b is then told by the marks left, or by none and
// stays at 0 ± 1.

// biasPoints is how many points, from the first on, may have a shared bias: the
// joints.
const biasPoints = int(geometry.Buckle)

// HasSharedBias reports whether any mark has a shared bias.
func HasSharedBias(sw *geometry.Swing) bool {
	for i := range sw.Marks {
		if m := &sw.Marks[i]; m.SharedBiasPx > 0 && int(m.Point) < biasPoints {
			return true
		}
	}
	return false
}

// layoutSharedBias lays out those unknowns, two for each point in each clip, from index n
// on, and returns the index after the last. All are there or none, so that a
// solve may start from the one before.
func (p *Problem) layoutSharedBias(sw *geometry.Swing, n int) int {
	if !HasSharedBias(sw) {
		return n
	}
	p.oBias = n
	return n + 2*biasPoints*len(p.Clips)
}

// biasIndex returns the index of the first of a mark's two unknowns, or 0: index 0 is
// a camera's.
func (p *Problem) biasIndex(m *geometry.Mark) int {
	if p.oBias == 0 || !(m.SharedBiasPx > 0) || int(m.Point) >= biasPoints {
		return 0
	}
	return p.oBias + 2*(m.Clip*biasPoints+int(m.Point))
}

// sharedBiasTerms are the priors of the biases, each N(0, 1).
func (e *evaluator) sharedBiasTerms() {
	if e.oBias == 0 {
		return
	}
	for o := e.oBias; o < e.oBias+2*biasPoints*len(e.Clips); o++ {
		e.r.Reset()
		e.r.Global(o, 1)
		e.emit(-1, e.st.g[o], 1)
	}
}

// bias is the shared bias that the fit finds in a mark, pixels.
func (m *Mark) bias(st *State) (dx, dy float64) {
	if m.oBias == 0 {
		return 0, 0
	}
	return m.biasPx * st.g[m.oBias], m.biasPx * st.g[m.oBias+1]
}

// Biased reports whether a mark has a shared bias.
func (m *Mark) Biased() bool { return m.oBias != 0 }
