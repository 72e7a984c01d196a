package fit

import (
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// Marking returns how well the swing is marked.
//
// Scales are factors on the usual standard deviation of a class, 1 the usual; AgreePx is the root
// mean square, over the marks, of the standard deviation of one coordinate, pixels, without the
// allowance for the far side and for poor cells. Freedom are the degrees of freedom that the fit
// leaves of the marks, two each at most: what the scales are learned from.
//
// Evidence is the likelihood of the components about the estimate l̂, as a quadratic form: with
// the score g and the information A there, log L(l) ≈ g·(l − l̂) − ½ (l − l̂)ᵀA(l − l̂), whose
// natural parameters are A and the vector g + A l̂. Over lessons these add up, which is what
// geometry.LearnMarking does; the prior is not in them, or it would be counted every time.
func (s *Solution) Marking() geometry.Marking {
	var out geometry.Marking
	v := s.noise
	if v == nil || v.covariance == nil {
		return out
	}
	out.WrongShare = v.wrong
	var marks [geometry.NumClasses]int
	var variance [geometry.NumClasses]float64
	s.eachResidual(func(m *bundle.Mark, r *markResidual) {
		c, _ := geometry.ClassOf(m.Point)
		marks[c]++
		own := r.variance * m.Share / s.p.CellFactor(m.Pos, m.Point)
		if bundle.FarSide(m.Point, s.p.Views[m.Clip]) {
			own /= sq(geometry.FarSideFactor) * math.Exp(s.p.LogScales[bundle.FarComponent])
		}
		variance[c] += own
		out.Freedom += 2 * r.kept
	})
	var n int
	var total float64
	for c := range marks {
		n += marks[c]
		total += variance[c]
		if marks[c] == 0 {
			continue
		}
		x := geometry.ClassScale{Class: geometry.PointClass(c), Marks: marks[c]}
		x.Scale, x.Low95, x.High95 = geometry.ScaleInterval(s.p.LogScales[c], math.Sqrt(v.covariance.At(c, c)))
		out.Classes = append(out.Classes, x)
	}
	if n > 0 {
		// Of log Σ wᵢ exp(lᵢ) the derivative by lᵢ is the share of class i in the sum.
		var spread float64 // variance of the logarithm of total
		for a := range variance {
			for b := range variance {
				spread += variance[a] * variance[b] / sq(total) * v.covariance.At(a, b)
			}
		}
		_, lo, hi := geometry.ScaleInterval(0, math.Sqrt(spread))
		out.AgreePx = math.Sqrt(total / float64(n))
		out.AgreeLow95, out.AgreeHigh95 = lo*out.AgreePx, hi*out.AgreePx
	}
	for a := range out.Evidence.Vector {
		out.Evidence.Vector[a] = v.score[a]
		for b := range out.Evidence.Vector {
			out.Evidence.Information[a][b] = v.info.At(a, b)
			out.Evidence.Vector[a] += v.info.At(a, b) * s.p.LogScales[b]
		}
	}
	out.Misfits = s.misfits()
	return out
}
