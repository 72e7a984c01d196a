package geometry

import "math"

// A coach's click errs anew at each key position, and a track that is bent to
// pass through every mark carries that error along. But following also tells
// how far each mark lies beside where the one before leads: so all the marks of
// a point in a clip can be made one, better than any of them, and only what
// following itself adds is left to differ from place to place.

// levelled is what a track's marks have in common.
type levelled struct {
	error    [][2]float64 // of each anchor, as far as it can be told
	common   float64      // variance in px² of what stays, the same at all anchors
	leftover []float64    // variance of what each keeps of its own
}

// level finds the errors of a track's anchors that agree best with what
// following from each to the next says: least squares with the clicks' own
// spread as the prior.
func level(anchors []TrackAnchor) levelled {
	k := len(anchors)
	h := make([]float64, k*k)
	b := make([][2]float64, k)
	for i := range anchors {
		a := &anchors[i]
		h[i*k+i] += 1 / sq(a.SigmaPx)
		if i+1 == k || !(a.MissSigmaPx > 0) {
			continue
		}
		w := 1 / sq(a.MissSigmaPx)
		h[i*k+i] += w
		h[(i+1)*k+i+1] += w
		h[i*k+i+1] -= w
		h[(i+1)*k+i] -= w
		for c, miss := range [2]float64{a.Missed.X, a.Missed.Y} {
			b[i][c] += w * miss
			b[i+1][c] -= w * miss
		}
	}
	inv := inverseOf(h, k)
	out := levelled{error: make([][2]float64, k), leftover: make([]float64, k)}
	with := make([]float64, k) // covariance with the mean
	for i := range k {
		for j := range k {
			for c := range b[j] {
				out.error[i][c] += inv[i*k+j] * b[j][c]
			}
			with[i] += inv[i*k+j] / float64(k)
		}
		out.common += with[i] / float64(k)
	}
	for i := range k {
		out.leftover[i] = math.Max(inv[i*k+i]-2*with[i]+out.common, 0)
	}
	return out
}

// inverseOf inverts a small symmetric positive matrix by Gauss-Jordan
// elimination.
func inverseOf(h []float64, n int) []float64 {
	a, inv := append([]float64(nil), h...), make([]float64, n*n)
	for i := range n {
		inv[i*n+i] = 1
	}
	for i := range n {
		p := 1 / a[i*n+i]
		for c := range n {
			a[i*n+c] *= p
			inv[i*n+c] *= p
		}
		for r := range n {
			if f := a[r*n+i]; r != i && f != 0 {
				for c := range n {
					a[r*n+c] -= f * a[i*n+c]
					inv[r*n+c] -= f * inv[i*n+c]
				}
			}
		}
	}
	return inv
}

// around returns the anchors before and after a spot and how far it leans on
// the later one.
func (t *CurveTrack) around(spot int) (before, after int, part float64) {
	before, after = -1, -1
	for i := range t.Anchors {
		if t.Anchors[i].Spot <= spot {
			before = i
		} else {
			after = i
			break
		}
	}
	switch {
	case before >= 0 && t.Anchors[before].Spot == spot || after < 0:
		return before, before, 0
	case before < 0:
		return after, after, 0
	default:
		return before, after, math.Min(math.Max(t.Spots[spot].Part, 0), 1)
	}
}
