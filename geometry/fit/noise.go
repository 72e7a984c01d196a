package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// A coach who takes the hip to be a centimetre too far forward does so at every
// position: that part of the misplacement moves with the body. It cancels in
// what is counted since address, does not average out over positions in what is
// not, and does not show in the residuals, whose size therefore tells how large
// it is. fixedShare is its share of the variance of the misplacement; below zero it
// says that the marks scatter more than the marking model allows.

const (
	// Before the residuals are seen (this project's own; no source).
	fixedShareMean  = 0.30
	fixedShareSigma = 0.60
	fixedShareLeast = -3.0
	fixedShareMost  = 0.95
	// The mean of weight times squared distance of a mark, as a share of its
	// degrees of freedom, when the marking model is right, with two clips and
	// with one: by simulation (accuracy_test.go).
	scatterShareTwo = 0.89
	scatterShareOne = 0.80
	// Three times in two hundred a mark is put on the wrong thing, 24 px off in
	// each coordinate, root mean square (this project's own; no source).
	wrongVariancePx2 = 0.015 * 24 * 24
)

// markVariance is the variance in pixels squared of what is a mark's own, of
// one coordinate, at a scale.
func (p *problem) markVariance(pt geometry.Point, st geometry.MarkState, v geometry.View, pxPerM, clickPx float64) float64 {
	all := sq(geometry.SigmaPxAt(pt, st, v, pxPerM, clickPx))
	if !movesWithBody(pt) {
		return all
	}
	return all - p.fixedShare*sq(geometry.PlacingSigmaM*pxPerM)
}

// movesWithBody reports whether a misplacement of a point moves with a segment of the
// body. The club and the ball are plain to see.
func movesWithBody(pt geometry.Point) bool {
	return pt != geometry.Grip && pt != geometry.Clubhead && pt != geometry.Ball
}

// estimateFixedShare estimates the share from the size of the residuals, by the
// method of moments with the degrees of freedom that the fit leaves each mark
// (Förstner 1979; a variance component estimate), drawn toward the usual share.
func (s *Solution) estimateFixedShare() float64 {
	if s.post.m == nil {
		return s.p.fixedShare
	}
	s.post.covariances()
	var free, scatter, slope float64
	share := scatterShareOne
	if len(s.p.clips) > 1 {
		share = scatterShareTwo
	}
	for i := range s.p.marks {
		for k := range s.p.marks[i] {
			m := &s.p.marks[i][k]
			pr, ok := s.projection(m.clip, m.pos, m.pt)
			if !ok || s.sw.Marks[m.index].SigmaPx > 0 || !movesWithBody(m.pt) {
				continue
			}
			rx, ry, v := m.x-pr.X, m.y-pr.Y, m.sigma*m.sigma
			d2 := (rx*rx + ry*ry) / v
			_, w := levmar.Robust(d2)
			c := s.post.pixelCovariance(&pr, m.clip, m.pos, m.pt, 0)
			dof := math.Max(2-math.Min(w, 1)/v*(c[0][0]+c[1][1]), 0)
			free += dof
			scatter += w * d2 / share
			slope += dof * sq(geometry.PlacingSigmaM*m.scale) / v
		}
	}
	if free < 1 || slope < 0.01*free {
		return fixedShareMean
	}
	// scatter = free − change·slope, with the standard deviation √(2 free).
	change, sigma := (free-scatter)/slope, math.Sqrt(2*free)/slope
	w, prior := 1/(sigma*sigma), 1/(fixedShareSigma*fixedShareSigma)
	fixed := (w*(s.p.fixedShare+change) + prior*fixedShareMean) / (w + prior)
	return math.Min(math.Max(fixed, fixedShareLeast), fixedShareMost)
}

// influence is how one mark draws the fit.
type influence struct {
	clip, pos int
	pt        geometry.Point
	pr        projection
	weight    float64       // 1/px²
	axes      [2][3]float64 // weight times the derivative of each coordinate along the segment's axes
	// unchecked is how little other marks check this one, from 0 to 1, by
	// coordinate: a mark that nothing checks may be on the wrong thing without
	// anyone noticing.
	unchecked [2]float64
}

// findInfluences fills s.influences. What of the fit's picture of a point is its own
// mark's doing is the mark's leverage; from one half on others have less of a
// say.
func (s *Solution) findInfluences() {
	if s.post.m == nil {
		return
	}
	for pos := range s.p.marks {
		frames := s.frames(pos)
		for k := range s.p.marks[pos] {
			m := &s.p.marks[pos][k]
			pr, ok := s.seen(m)
			if !ok {
				continue
			}
			rx, ry, v := m.x-pr.X, m.y-pr.Y, m.sigma*m.sigma
			_, w := levmar.Robust((rx*rx + ry*ry) / v)
			q := influence{clip: m.clip, pos: pos, pt: m.pt, pr: pr, weight: math.Min(w, 1) / v}
			c := s.post.pixelCovariance(&pr, m.clip, pos, m.pt, 0)
			for j := range q.unchecked {
				if own := &s.sw.Marks[m.index]; own.SharedBiasPx > 0 && !own.LowConfidence {
					break // one of several that were made one: they check each other
				}
				q.unchecked[j] = sq(math.Max(2*q.weight*c[j][j]-1, 0))
			}
			if movesWithBody(m.pt) {
				for j := range q.axes {
					for i, axis := range frames[segmentOf(m.pt)] {
						q.axes[j][i] = q.weight * r3.Dot(pr.ByPoint[j], axis)
					}
				}
			}
			s.influences = append(s.influences, q)
		}
	}
}

// markingVariance is what the fit's covariance leaves out of the variance of a
// measure, whose covariance with everything is in the posterior's work space:
// misplacements that move with the body, those of each point at all positions
// and in all clips being one offset, unknown by the same amount along each axis
// of its segment; and marks on the wrong thing that no other mark gives away.
func (s *Solution) markingVariance() float64 {
	var common [geometry.NumBody][3]float64
	var wrong float64
	for k := range s.influences {
		q := &s.influences[k]
		c := covarianceWith(&q.pr, q.clip, s.post.xP[q.pos][3*q.pt:], s.post.xG)
		wrong += sq(q.weight*c[0])*q.unchecked[0] + sq(q.weight*c[1])*q.unchecked[1]
		for i := range common[q.pt] {
			common[q.pt][i] += c[0]*q.axes[0][i] + c[1]*q.axes[1][i]
		}
	}
	var sum float64
	for pt := range common {
		sum += sq(common[pt][0]) + sq(common[pt][1]) + sq(common[pt][2])
	}
	return math.Max(s.p.fixedShare, 0)*sq(geometry.PlacingSigmaM)*sum + wrongVariancePx2*wrong
}

// The segments that misplacements move with. Arms go with the chest: how they
// turn about themselves can't be told from their ends.
const (
	segmentPelvis = iota
	segmentChest
	segmentLeadFoot
	segmentTrailFoot
	numSegments
)

func segmentOf(pt geometry.Point) int {
	switch pt {
	case geometry.LeadHip, geometry.TrailHip, geometry.Buckle, geometry.Tailbone:
		return segmentPelvis
	case geometry.LeadKnee, geometry.LeadAnkle, geometry.LeadHeel, geometry.LeadToe:
		return segmentLeadFoot
	case geometry.TrailKnee, geometry.TrailAnkle, geometry.TrailHeel, geometry.TrailToe:
		return segmentTrailFoot
	default:
		return segmentChest
	}
}

// frames returns the axes of each segment at a position: to the side, up, to
// the front.
func (s *Solution) frames(pos int) (out [numSegments][3]r3.Vec) {
	line := func(a, b geometry.Point) r3.Vec { return r3.Sub(s.st.at(pos, a), s.st.at(pos, b)) }
	put := func(segment int, side, front r3.Vec) {
		x := r3.Unit(side)
		y := r3.Unit(r3.Cross(front, x))
		out[segment] = [3]r3.Vec{x, y, r3.Cross(x, y)}
		for _, axis := range out[segment] {
			if !geometry.Finite(axis.X, axis.Y, axis.Z) {
				out[segment] = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
			}
		}
	}
	up := r3.Vec{Y: 1}
	put(segmentPelvis, line(geometry.LeadHip, geometry.TrailHip), line(geometry.Buckle, geometry.Tailbone))
	put(segmentChest, line(geometry.LeadShoulder, geometry.TrailShoulder), line(geometry.Breastbone, geometry.UpperBack))
	put(segmentLeadFoot, r3.Cross(up, line(geometry.LeadToe, geometry.LeadHeel)), line(geometry.LeadToe, geometry.LeadHeel))
	put(segmentTrailFoot, r3.Cross(up, line(geometry.TrailToe, geometry.TrailHeel)), line(geometry.TrailToe, geometry.TrailHeel))
	return out
}
