package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// A chain of two segments whose ends one picture fixes bends in depth, toward
// the camera or away, by the square root of what its length exceeds the
// distance of the ends by. The most probable length, which all positions share,
// is then not the mean one: lengthening it makes room for every position's
// bend, and where each is less sharply fixed it makes more room. To second
// order the mean of all unknowns lies off the most probable values by
//
//	−½ C t,  tᵢ = Σ (∂³ cost / ∂i∂j∂k) Cⱼₖ
//
// (Tierney, Kass & Kadane 1989, J Am Stat Assoc 84:710; with least squares the
// bias of Box 1971, J R Stat Soc B 33:171). Of t the segments of the chain a
// measure hangs on are taken. Arms are left out: an elbow may lie to either side,
// and the two are too far apart for a series.

// chainOf is the chain that a segment belongs to.
func chainOf(length int) geometry.Chain {
	switch length {
	case geometry.SegmentThigh, geometry.SegmentShank:
		return geometry.LegChain
	case geometry.SegmentShoulderWidth, geometry.SegmentShoulderBreastbone, geometry.SegmentShoulderUpperBack, geometry.SegmentBreastboneUpperBack:
		return geometry.ShoulderChain
	case geometry.SegmentLeadWristGrip, geometry.SegmentTrailWristGrip, geometry.SegmentWrists, geometry.SegmentClub:
		return geometry.HandChain
	default:
		return geometry.NoChain
	}
}

// TowardMean returns what to add to the most probable value of a measure with
// standard deviation sigma, given its gradient, to come to its mean. The series
// is cut short as 1/(1+x) continues it, so that the step stays below sigma.
//
// Where the shift v is small against sigma the factor is 1 − |v|/sigma + …, so that only terms
// of the order that the series has already left out are changed.
func (q *Posterior) TowardMean(chain geometry.Chain, gr *Gradient, sigma float64) float64 {
	if chain == geometry.NoChain || q.m == nil || sigma == 0 {
		return 0
	}
	shift := q.meanShift(chain)
	var v float64
	for slot, pos := range gr.Pos {
		if pos >= 0 {
			for j, dv := range gr.By[slot] {
				v += dv * shift[pos][j]
			}
		}
	}
	return v / (1 + math.Abs(v)/sigma)
}

// meanShift is mean minus most probable value of the unknowns of every
// position, worked out once for each chain.
//
// Derivation. Write the cost as F(x̂ + δ) = F(x̂) + ½ δᵀHδ + ⅙ F‴[δ,δ,δ] + …. To first order in
// the third derivatives the density is N(0, C)·(1 − ⅙ F‴[δ,δ,δ]), so that
//
//	E δᵢ = −⅙ E δᵢ F‴[δ,δ,δ] = −⅙ · 3 Σ Cᵢₗ F‴ₗⱼₖ Cⱼₖ = −½ (C t)ᵢ,   tₗ = Σ F‴ₗⱼₖ Cⱼₖ,
//
// by the fourth moments of a normal distribution (Isserlis 1918): of the pairings of four
// factors three join δᵢ to one of the cube's. C t is one solve with the factors there are.
func (q *Posterior) meanShift(c geometry.Chain) [][]float64 {
	if q.skew[c] != nil {
		return q.skew[c]
	}
	q.Covariances()
	g := make([]float64, q.nG)
	x := make([][]float64, len(q.p.Names))
	for pos := range x {
		x[pos] = make([]float64, BlockSize)
		for k, l := range geometry.BodySegments {
			if chainOf(l.Segment) == c {
				q.addThird(pos, k, g, x[pos])
			}
		}
	}
	q.m.Solve(g, x)
	for pos := range x {
		for j := range x[pos] {
			x[pos][j] *= -0.5
		}
	}
	q.skew[c] = x
	return x
}

// addThird adds the third derivatives of the cost of segment k of BodySegments
// at a position, contracted with the covariance. The cost is r²/2σ² with
// r = n − L − cδ, n the length of d = a − b, L = exp(g) and δ the difference of
// the sides (segmentSide), which is linear: as functions of d and g
//
//	∂r = (u, −L),  ∂²r = (P, −L),  u = d/n, P = (I − uuᵀ)/n,
//	∂³r·D = −(u tr PD + 2 P D u)/n for d, −L for g.
//
// For ½ w r² the third derivative contracted twice with C is
//
//	t = w ( ∂r tr(∂²r C) + 2 ∂²r C ∂r + r ∂³r:C ),
//
// the three ways of taking one of three derivatives from one factor, and all from one. tr(∂²r C)
// is tr(P C_dd) − L var(g), and C∂r is covR and covRL below: the covariances of d and of g with
// r. By a it is that by d, by b its negative.
func (q *Posterior) addThird(pos, k int, tG, tP []float64) {
	l := &geometry.BodySegments[k]
	d := r3.Sub(q.st.At(pos, l.A), q.st.At(pos, l.B))
	n := r3.Norm(d)
	if n < 1e-6 {
		return
	}
	u := [3]float64{d.X / n, d.Y / n, d.Z / n}
	nG := q.nG
	whole, by := q.p.segmentLength(q.st, k)
	o, length, side := by[0].at, by[0].by, by[1]
	block := &q.block[pos]
	varL := q.covG[o*nG+o]
	var cov [3][3]float64 // of d
	var covL [3]float64   // of d with g
	var covS [3]float64   // of d with the difference of the sides
	for i := range cov {
		for j := range cov {
			cov[i][j] = block.point[l.A][i][j] + block.point[l.B][i][j] - block.segment[k][i][j] - block.segment[k][j][i]
		}
		covL[i] = block.global[(3*int(l.A)+i)*nG+o] - block.global[(3*int(l.B)+i)*nG+o]
		covS[i] = block.global[(3*int(l.A)+i)*nG+side.at] - block.global[(3*int(l.B)+i)*nG+side.at]
	}
	var proj [3][3]float64
	for i := range proj {
		for j := range proj {
			proj[i][j] = -u[i] * u[j] / n
		}
		proj[i][i] += 1 / n
	}
	var trace float64         // of P·cov
	var covU, covR [3]float64 // cov·u, and the covariance of d with r
	// That of g with r.
	covRL := -length*varL - side.by*q.covG[o*nG+side.at]
	for i := range proj {
		for j := range proj {
			trace += proj[i][j] * cov[j][i]
			covU[i] += cov[i][j] * u[j]
		}
		covR[i] = covU[i] - length*covL[i] - side.by*covS[i]
		covRL += covL[i] * u[i]
	}
	r, w := n-whole, 1/sq(q.p.giveSigmas[l.Segment])
	for i := range u {
		t := u[i] * (trace - length*varL)
		var pcu float64
		for j := range u {
			t += 2 * proj[i][j] * covR[j]
			pcu += proj[i][j] * covU[j]
		}
		t -= r * (u[i]*trace + 2*pcu) / n
		tP[3*int(l.A)+i] += w * t
		tP[3*int(l.B)+i] -= w * t
	}
	tG[o] -= w * length * (trace - length*varL + 2*covRL + r*varL)
	tG[side.at] -= w * side.by * (trace - length*varL)
}
