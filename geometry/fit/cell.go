package fit

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// A cell is one class of points at one position. Now and then a cell is marked
// poorly as a whole: a position is blurred, an arm hides the hips, cloth hangs.
// That is a mixture of two normal distributions: with the probability poorShare
// the marks of a cell scatter poorTimes as much as the class does elsewhere. Each round of the fit takes the variance expected
// from the probabilities the residuals leave.
const (
	poorShare = 0.05
	// A cell is named from this probability on.
	poorNamed = 0.97
	// One mark of a cell on the wrong thing does not make the cell poor: its
	// squared distance counts for at most this many times what is expected.
	poorMost = 9
)

// cellEvidence is what the marks of a cell say.
//
// Of normal errors with variance s or p, two coordinates at a squared distance d², the logarithm
// of the ratio of the densities is log(s/p) + ½ d²(1/s − 1/p); over the marks of a cell it adds
// up. distance is 1 where they scatter as expected.
type cellEvidence struct {
	logOdds  float64 // of its being poor, without the prior
	distance float64 // mean squared distance of its marks from the others' places, over what is expected
	marks    int
}

// cellsEvidence compares, for the marks of each cell, two variances of the distance
// between a mark and where the others put its point: with v the mark's variance in
// a sound cell and b that of the others' place, v + b against poorTimes²·v + b.
func (s *Solution) cellsEvidence() []cellEvidence {
	out := make([]cellEvidence, len(s.p.Poor))
	s.eachResidual(func(m *bundle.Mark, r *markResidual) {
		c, _ := geometry.ClassOf(m.Point)
		// In the fit the mark has the variance r.variance = rest + share: what
		// of it is of time is the same in either case.
		own := r.variance * m.Share / s.p.CellFactor(m.Pos, m.Point)
		rest := r.variance * (1 - m.Share)
		place := r.variance * (1 - r.kept) / r.kept
		sound := own + rest + place
		poor := bundle.PoorTimes*bundle.PoorTimes*own + rest + place
		d2 := r.squared * r.variance / sq(r.kept)
		d2 = math.Min(d2, 2*poorMost*sound)
		k := &out[bundle.CellIndex(m.Pos, c)]
		k.logOdds += math.Log(sound/poor) + d2/2*(1/sound-1/poor)
		k.distance += d2 / (2 * sound)
		k.marks++
	})
	return out
}

// poorCells returns the probability of each cell that it is marked poorly.
func (s *Solution) poorCells() []float64 {
	out := make([]float64, len(s.p.Poor))
	for i, e := range s.cellsEvidence() {
		if e.marks > 0 {
			odds := poorShare / (1 - poorShare) * math.Exp(math.Min(e.logOdds, 50))
			out[i] = odds / (1 + odds)
		}
	}
	return out
}

// misfits lists the cells that are marked poorly, worst first.
func (s *Solution) misfits() []geometry.Misfit {
	var out []geometry.Misfit
	for i, e := range s.cellsEvidence() {
		odds := poorShare / (1 - poorShare) * math.Exp(math.Min(e.logOdds, 50))
		if p := odds / (1 + odds); e.marks > 1 && p >= poorNamed {
			out = append(out, geometry.Misfit{Class: geometry.PointClass(i % geometry.NumClasses), Position: i / geometry.NumClasses,
				Times: math.Sqrt(e.distance / float64(e.marks)), Chance: 1 - p})
		}
	}
	slices.SortStableFunc(out, func(a, b geometry.Misfit) int { return cmp.Compare(b.Times, a.Times) })
	return out
}
