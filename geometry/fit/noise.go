package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// What the fit's covariance leaves out of the error of a measure. A coach who
// takes the hip to be a centimetre too far forward does so at every position: that
// part of the misplacement moves with the body (bundle.LastingSigmaM), cancels in what is
// counted since address and does not average out in what is not. And now and then
// a mark is on the wrong thing.

// Of a measure f with a = H⁻¹∇f (Posterior.SolveFor), the first-order effect of a small error e
// in one coordinate of a mark is w/v · (J a) e: the mark's equation in the minimum moves by
// w J e/v, and f by aᵀ times that. The fit's own covariance is what independent errors with
// variance v come to by it; what follows are the errors that are not of that kind, put through
// the same formula and added.
// lasting is the share of bundle.LastingSigmaM that a mark's point is off by beyond what
// the fit has an unknown for: a shared bias that is stated covers its part. 0 for
// the club, which is plain to see.
func (s *Solution) lasting(m *bundle.Mark) float64 {
	sigma := bundle.LastingSigmaM(m.Point)
	if sigma == 0 {
		return 0
	}
	if !m.Biased() {
		return 1
	}
	return math.Sqrt(math.Max(1-sq(s.sw.Marks[m.Index].SharedBiasPx/(sigma*m.PxPerM)), 0))
}

// influence is how one mark draws the fit.
type influence struct {
	clip, pos  int
	pt         geometry.Point
	pr         *bundle.Projection
	weight     float64       // 1/px²
	axes       [2][3]float64 // weight times the derivative of each coordinate along the segment's axes
	class, far int           // variance components of the mark, −1 for none
	cell       int           // see bundle.CellIndex
	share      float64       // of its variance that they scale
	// wrong is the probability that it is on the wrong thing, and unchecked is how little
	// other marks check this one, from 0 to 1, by coordinate: a mark that nothing
	// checks may be on the wrong thing without anyone noticing.
	wrong     float64
	unchecked [2]float64
	// repeated is the variance of the mark's own error, px², where a program saw the point:
	// it errs alike wherever the same golfer stands alike. 0 for a hand.
	repeated float64
	// tame takes the linear answer to a small move of the mark to that to a large one,
	// at most 1, by coordinate; see findInfluences.
	tame [2]float64
}

// give is a segment that gives by a component of its own.
type give struct {
	component int
	change    bundle.SegmentChange
}

// findGives fills s.gives.
func (s *Solution) findGives() {
	for pos := range s.p.Names {
		for k, l := range geometry.BodySegments {
			if c := bundle.GiveOf(l.Segment); c != bundle.NoGive {
				s.gives = append(s.gives, give{c, s.p.SegmentChange(s.st, pos, k)})
			}
		}
	}
}

// findInfluences fills s.influences. What of the fit's picture of a point is its own
// mark's doing is the mark's leverage h = w C/v, w the weight of its loss, v its variance
// and C the variance of the picture; from one half on others have less of a say.
//
// In linear least squares h ≤ 1, since the normal matrix holds w JᵀJ/v and all else in it
// is positive. Newton's matrix is not of that kind: a segment that is shorter in the fit
// than it should be pushes its ends apart whichever way they go, its second derivatives
// across are negative, and they take away from what the mark adds. Then h > 1, the
// superleverage of St. Laurent & Cook 1992 (J Am Stat Assoc 87:985), and it is real: the
// fitted point overtakes a mark that is moved by a pixel. But not one that is moved far,
// for the segment is long enough then (TestSuperleverage): a mark on the wrong thing takes
// its point along by its own way at most.
func (s *Solution) findInfluences() {
	if !s.post.Determined() {
		return
	}
	for pos := range s.p.Marks {
		frames := s.frames(pos)
		for k := range s.p.Marks[pos] {
			m := &s.p.Marks[pos][k]
			r, ok := s.residual(m)
			if !ok {
				continue
			}
			pr, c := &r.picture, &r.covariance
			q := influence{clip: m.Clip, pos: pos, pt: m.Point, pr: pr, weight: r.weight / r.variance, class: -1, far: -1, wrong: s.p.WrongShare}
			if own := &s.sw.Marks[m.Index]; own.State == geometry.Proposed || own.LowConfidence {
				q.repeated = r.variance
			}
			if s.sw.Marks[m.Index].SigmaPx == 0 {
				class, _ := geometry.ClassOf(m.Point)
				q.cell = bundle.CellIndex(pos, class)
				q.class, q.share, q.wrong = int(class), m.Share, r.wrong(s.p.WrongShare)
				if bundle.FarSide(m.Point, s.p.Views[m.Clip]) {
					q.far = bundle.FarComponent
				}
			}
			for j := range q.unchecked {
				if own := &s.sw.Marks[m.Index]; own.SharedBiasPx > 0 && !own.LowConfidence {
					break // one of several that were made one: they check each other
				}
				h := q.weight * c[j][j]
				q.tame[j] = 1 / math.Max(h, 1)
				q.unchecked[j] = sq(math.Max(2*math.Min(h, 1)-1, 0))
			}
			if share := s.lasting(m); share > 0 {
				for j := range q.axes {
					for i, axis := range frames[segmentOf(m.Point)] {
						q.axes[j][i] = share * q.weight * r3.Dot(pr.ByPoint[j], axis)
					}
				}
			}
			s.influences = append(s.influences, q)
		}
	}
}

// variancePartials are derivatives of a variance by what it hangs on.
type variancePartials struct {
	components bundle.Components
	cells      []float64
}

// markingVariance is what the fit's covariance leaves out of the variance of a
// measure, whose covariance with everything is in the posterior's work space:
// misplacements that move with the body, those of each point at all positions
// and in all clips being one offset, unknown by the same amount along each axis
// of its segment; and marks on the wrong thing that no other mark gives away.
// by is the derivative of the variance the covariance has by the components and by
// the logarithms of the variances of cells.
// always is the part of it that is the same whenever the coach marks this golfer.
// repeated is the part of the variance that the covariance has which is the same in all
// swings of a visit: what a network is off by at a key position comes from how this golfer
// stands there and is dressed, and so nearly as much again in his next swing.
//
// Of independent marks with variance v the covariance's own part is Σ (w/v)² (J a)² v; its
// derivative by the logarithm of a component is share · w/v · (J a)², the weight w standing in for
// its expectation. That of a segment is derived beside it.
func (s *Solution) markingVariance() (left, always, repeated float64, by variancePartials) {
	by.cells = make([]float64, len(s.p.Poor))
	var lasting [geometry.NumBody][3]float64
	for k := range s.influences {
		q := &s.influences[k]
		c := s.post.CovarianceWith(q.pr, q.clip, q.pos, q.pt)
		// With the probability wrong the mark is off by wrongOffPx in each
		// coordinate, and takes the measure along by weight·c as far as nothing
		// else holds the point: the variance of that mixture about its mean.
		left += sq(wrongOffPx) * q.wrong * (sq(q.weight*q.tame[0]*c[0])*q.unchecked[0] + sq(q.weight*q.tame[1]*c[1])*q.unchecked[1])
		repeated += q.repeated * (sq(q.weight*c[0]) + sq(q.weight*c[1]))
		for i := range lasting[q.pt] {
			lasting[q.pt][i] += c[0]*q.axes[0][i] + c[1]*q.axes[1][i]
		}
		for _, i := range [2]int{q.class, q.far} {
			if i >= 0 {
				by.components[i] += q.share * q.weight * (sq(c[0]) + sq(c[1]))
			}
		}
		if q.class >= 0 {
			by.cells[q.cell] += q.share * q.weight * (sq(c[0]) + sq(c[1]))
		}
	}
	// One offset of a landmark at all positions and in all clips: its effects add up
	// before they are squared. That is why it cancels in a change since address, where
	// the two positions pull against each other, and not in a posture.
	for pt := range lasting {
		always += sq(bundle.LastingSigmaM(geometry.Point(pt))) * (sq(lasting[pt][0]) + sq(lasting[pt][1]) + sq(lasting[pt][2]))
	}
	for k := range s.gives {
		g := &s.gives[k]
		// dV/dl of a normal term with residual r and variance s² exp(l): with
		// V = gᵀ H⁻¹ g and H ∋ (∂r)(∂r)ᵀ/s², dV/dl = (gᵀ H⁻¹ ∂r)²/s².
		by.components[g.component] += sq(s.post.CovarianceWithSegment(&g.change))
	}
	return left + always, always, repeated, by
}

// widening is by how much to multiply the standard deviation of a measure with a
// variance for not knowing the components exactly: its logarithm has the standard
// deviation √(bᵀ C b)/2V, b the derivative of V by them and C their covariance.
//
// Given the variance V the error is N(0, V), and log V is about N(log V̂, s²): the error's
// distribution is a mixture over scales, whose 97.5 % quantile lies further out than 1.96 √V̂
// (geometry.LognormalQuantile). For a class that ten degrees of freedom tell of, s is 0.45 and
// the interval 7 per cent wider. A Student t does the same where one variance is learned; here each
// measure has its own mixture of several.
func (s *Solution) widening(by *variancePartials, variance float64) float64 {
	if s.noise == nil || s.noise.covariance == nil || !(variance > 0) {
		return 1
	}
	var v float64
	for i, a := range by.components {
		for j, b := range by.components {
			v += a * b * s.noise.covariance.At(i, j)
		}
	}
	for i, b := range by.cells {
		if b > 0 {
			p := s.p.Poor[i]
			v += sq(b*2*math.Log(bundle.PoorTimes)) * p * (1 - p)
		}
	}
	return geometry.LognormalQuantile(math.Sqrt(math.Max(v, 0)) / (2 * variance))
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
//
// An offset that moves with the body is fixed in its segment's axes and turns with it: a hip that
// is marked a centimetre too far forward at address is off toward the target at the finish. The
// axes are world directions, orthonormal; where a segment's points coincide they are the world's.
func (s *Solution) frames(pos int) (out [numSegments][3]r3.Vec) {
	line := func(a, b geometry.Point) r3.Vec { return r3.Sub(s.st.At(pos, a), s.st.At(pos, b)) }
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
