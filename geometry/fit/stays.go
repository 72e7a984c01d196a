package fit

import (
	"turngauge/geometry"
)

// A program that looks for a point in a picture takes much the same place on one
// golfer for it at every key position: the cloth, the build and the view are the
// same. What it is off by there cancels in what is counted since address, and
// does not average out over positions in what is not. It is an unknown of the fit
// for each point and clip, the same at all positions, in units of its standard
// deviation (Mark.StaysPx); what is left of the mark's variance is anew in each.

// stayPoints is how many points, from the first on, may be off alike at all
// positions: the joints.
const stayPoints = int(geometry.Buckle)

// hasStays reports whether any mark errs alike at all positions.
func hasStays(sw *geometry.Swing) bool {
	for i := range sw.Marks {
		if m := &sw.Marks[i]; m.StaysPx > 0 && int(m.Point) < stayPoints {
			return true
		}
	}
	return false
}

// layStays lays out those unknowns, two for each point in each clip, from index n
// on, and returns the index after the last. All are there or none, so that a
// solve may start from the one before.
func (p *problem) layStays(sw *geometry.Swing, n int) int {
	if !hasStays(sw) {
		return n
	}
	p.oStays = n
	return n + 2*stayPoints*len(p.clips)
}

// stay returns the first of a mark's two unknowns, or 0.
func (p *problem) stay(m *geometry.Mark) int {
	if p.oStays == 0 || !(m.StaysPx > 0) || int(m.Point) >= stayPoints {
		return 0
	}
	return p.oStays + 2*(m.Clip*stayPoints+int(m.Point))
}

// staysTerms say how far off a program likely is.
func (e *evaluator) staysTerms() {
	if e.oStays == 0 {
		return
	}
	for o := e.oStays; o < e.oStays+2*stayPoints*len(e.clips); o++ {
		e.r.Reset()
		e.r.Global(o, 1)
		e.emit(-1, e.st.g[o], 1)
	}
}

// off is by how much the fit takes a mark to be off at all positions, pixels.
func (m *markTerm) off(st *state) (dx, dy float64) {
	if m.stay == 0 {
		return 0, 0
	}
	return m.staysPx * st.g[m.stay], m.staysPx * st.g[m.stay+1]
}

// seen pictures a mark where the fit expects it, with what it is off by at all
// positions.
func (s *Solution) seen(m *markTerm) (projection, bool) {
	pr, ok := s.projection(m.clip, m.pos, m.pt)
	dx, dy := m.off(s.st)
	pr.X, pr.Y = pr.X+dx, pr.Y+dy
	pr.stay, pr.staysPx = m.stay, m.staysPx
	return pr, ok
}
