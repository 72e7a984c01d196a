package fit

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry/fit/bundle"
)

// Where a swing does not fit: one clip at one position, a frame, is what a coach takes from
// the wrong instant. The two clips of a position disagree then by as much as the golfer has
// moved, and which of them is wrong the disagreement alone does not tell; each is tried
// (tryInstant). A frame that is marked badly as a whole, by comparison, is a matter of its
// cells (cell.go), and one mark is a suspect (suspect.go).

// place is one clip at one position.
type place struct {
	clip, pos int
	far       float64
}

// farPlaces lists the clips and positions whose marks are far off together, worst
// first, with the other clip's at the same position: either may be the one that
// is wrong.
func (s *Solution) farPlaces() []place {
	var all []place
	for c, far := range s.distances() {
		for pos, v := range far {
			if v > mistakeDistance && !s.framesApart(pos) {
				all = append(all, place{c, pos, v})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b place) int { return cmp.Compare(b.far, a.far) })
	var out []place
	for _, p := range all {
		for c := range s.p.Clips {
			if len(out) < 2*len(s.p.Clips) && !slices.ContainsFunc(out, func(o place) bool { return o.pos == p.pos && o.clip == c }) {
				out = append(out, place{c, p.pos, p.far})
			}
		}
	}
	return out
}

// framesApart reports whether the clips' frames of a position that is taken for the same
// instant in all of them (impact) may lie so far apart that their marks disagree without
// anyone's mistake: the chest turns by more than instantTurn in that time. The interval
// then has it (instant.go).
func (s *Solution) framesApart(pos int) bool {
	var tau2 float64
	for c := range s.p.Clips {
		if s.p.HasTime(pos, c) {
			return false
		}
		tau2 += sq(s.sw.Positions[pos].InstantSigma(c))
	}
	return torsoRate*math.Sqrt(tau2) > instantTurn
}

// distances is, for each clip and position, how far off its marks are together: the
// mean of log(1 + x), x the squared distance of a mark from where the others put
// its point over what is expected.
//
// The logarithm keeps one mark on the wrong thing from speaking for its picture. Of sound
// marks x is exponential with mean 1 (two degrees of freedom), so that the mean is
// ∫ log(1+x) e⁻ˣ dx = e·E₁(1) = 0.596, whatever they scatter by.
func (s *Solution) distances() [][]float64 {
	var marks, far [][]float64
	for range s.p.Clips {
		marks = append(marks, make([]float64, len(s.p.Names)))
		far = append(far, make([]float64, len(s.p.Names)))
	}
	s.eachResidual(func(m *bundle.Mark, r *markResidual) {
		marks[m.Clip][m.Pos]++
		far[m.Clip][m.Pos] += math.Log1p(r.squared / (2 * r.kept))
	})
	for c := range far {
		for i := range far[c] {
			far[c][i] /= math.Max(marks[c][i], 1)
		}
	}
	return far
}
