package motion

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// A coach's click errs anew at each key position. Following tells how far each
// mark lies beside where the one before leads, so that all the marks of a point in
// a clip can be made one, better than any of them.

// fuse returns the swing of a solution with its marks moved to where following
// them through the clip says they belong: those that a track's anchors are, each
// with what is left of its error as its SigmaPx, and what of it they share as its
// SharedBiasPx. The other marks stay as they are.
//
// What comes out is a swing for the fit at key positions: marks that are no longer independent
// say so by SharedBiasPx, which that fit has an unknown for, so that what they share is not
// averaged away over the positions. Flipped pictures are turned back at the end.
func fuse(s *fit.Solution, tracks []Track) geometry.Swing {
	out := s.Swing()
	out.Marks = slices.Clone(out.Marks)
	for k := range tracks {
		t := &tracks[k]
		if t.Clip < 0 || t.Clip >= len(out.Clips) || int(t.Point) >= geometry.NumBody {
			continue
		}
		marks := t.marksOf(s)
		for i, l := range t.fuseTrack(s, marks) {
			if marks[i] < 0 || !l.linked {
				continue
			}
			m := &out.Marks[marks[i]]
			m.At.X -= l.error[0]
			m.At.Y -= l.error[1]
			// A mark states its whole error, and of it the part that all share.
			m.SharedBiasPx = math.Hypot(l.bias, m.SharedBiasPx) // what stayed before does not average out
			m.SigmaPx = math.Hypot(l.sigma, m.SharedBiasPx)
		}
	}
	return out.Mirrored() // as it was filmed
}

// marksOf finds the marks that a track's anchors are, as indices into the
// swing's, −1 where there is none.
func (t *Track) marksOf(s *fit.Solution) []int {
	sw := s.Swing()
	out := make([]int, len(t.Anchors))
	for i := range t.Anchors {
		out[i] = -1
		for k := range sw.Marks {
			m := &sw.Marks[k]
			if m.Clip != t.Clip || m.Point != t.Point || m.State != geometry.Placed {
				continue
			}
			if at := sw.Positions[m.Position].Seconds; t.Clip < len(at) && math.Abs(at[t.Clip]-t.Observations[t.Anchors[i].Observation].Seconds) < sameInstant {
				out[i] = k
				break
			}
		}
	}
	return out
}

// sameInstant is how far apart, in seconds, two times of one frame may come out.
const sameInstant = 1e-6

// fusedMark is what is known of a mark from those that following links it to.
//
// Pixels of the picture as the fit sees it; error is to be taken off the mark.
type fusedMark struct {
	linked      bool
	error       [2]float64
	sigma, bias float64 // of what is left: its own, and shared by all; one coordinate
}

// fuseTrack finds the errors of a track's anchors that agree best with what following
// from each to the next says, by least squares with the clicks' own spread as the
// prior. marks are the anchors' own.
//
// Unknown are the errors e of the clicks, one vector for each anchor, in pixels. The marks
// themselves say e ~ N(0, s²), following from anchor i to the next eᵢ − eᵢ₊₁ ~ N(missed,
// m²): the normal equations are a tridiagonal matrix h, the same for both coordinates, and
// a right-hand side b. What no following can tell is the mean error of all: it keeps the
// variance s²/k, and is what the fused marks share (bias), while what each has left is the
// variance of eᵢ less the mean,
//
//	Var(eᵢ − ē) = h⁻¹ᵢᵢ − 2 Cov(eᵢ, ē) + Var ē.
func (t *Track) fuseTrack(s *fit.Solution, marks []int) []fusedMark {
	k := len(t.Anchors)
	h, b := mat.NewSymDense(k, nil), make([][2]float64, k)
	add := func(i, j int, w float64) { h.SetSym(i, j, h.At(i, j)+w) }
	out := make([]fusedMark, k)
	for i := range t.Anchors {
		a := &t.Anchors[i]
		add(i, i, 1/sq(s.ClickSigmaPx(t.Clip, t.Point, marks[i])))
		if i+1 == k || !(a.MissSigmaPx > 0) {
			continue
		}
		out[i].linked, out[i+1].linked = true, true
		w := 1 / sq(a.MissSigmaPx)
		add(i, i, w)
		add(i+1, i+1, w)
		add(i, i+1, -w)
		missed := [2]float64{a.Missed.X, a.Missed.Y} // the error of this one less that of the next
		if sw := s.Swing(); sw.Flipped(t.Clip) {     // the fit's picture is mirrored
			missed[0] = -missed[0]
		}
		for c, miss := range missed {
			b[i][c] += w * miss
			b[i+1][c] -= w * miss
		}
	}
	var chol mat.Cholesky
	var inv mat.SymDense
	if !chol.Factorize(h) || chol.InverseTo(&inv) != nil {
		return make([]fusedMark, k) // nothing is said of any
	}
	// What the linked ones have in common is their mean.
	var linked []int
	for i := range out {
		if out[i].linked {
			linked = append(linked, i)
		}
	}
	n := float64(len(linked))
	with := make([]float64, k) // covariance with the mean
	common := 0.0
	for i := range k {
		for _, j := range linked {
			with[i] += inv.At(i, j) / n
		}
		for j := range k {
			for c := range b[j] {
				out[i].error[c] += inv.At(i, j) * b[j][c]
			}
		}
	}
	for _, i := range linked {
		common += with[i] / n
	}
	for _, i := range linked {
		out[i].sigma = math.Sqrt(math.Max(inv.At(i, i)-2*with[i]+common, sq(leastFusedPx)))
		out[i].bias = math.Sqrt(common)
	}
	return out
}

// leastFusedPx is the least error that is left in a mark made one with others,
// pixels.
//
// Following itself settles on the picture no better than this, and less would let one mark hold
// the whole fit (ours).
const leastFusedPx = 0.4

// around returns the anchors before and after an observation and how far it leans on
// the later one.
//
// Outside the anchors the nearest one counts alone; between two, Observation.Part says how much
// of the error of each an observation carries.
func (t *Track) around(index int) (before, after int, part float64) {
	before, after = -1, -1
	for i := range t.Anchors {
		if t.Anchors[i].Observation <= index {
			before = i
		} else {
			after = i
			break
		}
	}
	switch {
	case before >= 0 && t.Anchors[before].Observation == index || after < 0:
		return before, before, 0
	case before < 0:
		return after, after, 0
	default:
		return before, after, math.Min(math.Max(t.Observations[index].Part, 0), 1)
	}
}
