package bundle

import (
	"turngauge/geometry"
)

// CurvedVariance is what the curvature of a measure adds to its variance:
// half the trace of (HC)² and the square of half the trace of HC, with H the
// second derivatives of the measure and C the covariance of the points it
// reads (second-order propagation: JCGM 100:2008, 5.1.2 note; the mean is left
// where it is). It matters where a single picture leaves the depth of a point
// open: an angle to the horizontal, say, changes with the square of the depth.
//
// To second order f(x) = f(x̂) + gᵀδ + ½ δᵀHδ with δ ~ N(0, C) has
//
//	E f = f(x̂) + ½ tr HC,   Var f = gᵀCg + ½ tr (HC)²
//
// (the odd moments of δ vanish). The most probable value is reported, so that ½ tr HC is
// an error of it, and its square joins the variance.
//
// H is a numerical derivative of the exact gradient, by central differences of curvedStep
// metres: their error is of the second order in a step that is a hundredth of a mark's own
// error. C are the rows of the covariance of those coordinates that the measure depends on, one
// solve each, n of them; the trace of (HC)² is Σᵢⱼ (HC)ᵢⱼ(HC)ⱼᵢ. A measure that reads more than
// curvedMax coordinates averages over them, and an average of many is nearly linear.
func (q *Posterior) CurvedVariance(d *geometry.Definition, slots [geometry.NumSlots]int, gr *Gradient) float64 {
	type coordinate struct {
		slot  geometry.Slot
		index int
	}
	var xs []coordinate
	for slot := range gr.By {
		for i, v := range gr.By[slot] {
			if v != 0 {
				xs = append(xs, coordinate{geometry.Slot(slot), i})
			}
		}
	}
	n := len(xs)
	if n == 0 || n > curvedMax {
		return 0
	}
	h, c := make([]float64, n*n), make([]float64, n*n)
	for i, x := range xs {
		unit := Gradient{Pos: gr.Pos}
		for slot := range unit.By {
			if gr.Pos[slot] >= 0 {
				unit.By[slot] = make([]float64, BlockSize)
			}
		}
		unit.By[x.slot][x.index] = 1
		q.SolveFor(&unit, false)
		for j, y := range xs {
			c[i*n+j] = q.xP[slots[y.slot]][y.index]
		}
	}
	pose := q.p.pose(q.st, slots)
	at := pose.At
	for i, x := range xs {
		var g [2]float64
		for j, y := range xs {
			for k, step := range [2]float64{curvedStep, -curvedStep} {
				pose.At = func(slot geometry.Slot, p geometry.Point) geometry.WorldPt {
					v := at(slot, p)
					if slot == x.slot && int(p) == x.index/3 {
						switch x.index % 3 {
						case 0:
							v.X += step
						case 1:
							v.Y += step
						default:
							v.Z += step
						}
					}
					return v
				}
				g[k] = d.Derivative(pose, y.slot, y.index)
			}
			h[i*n+j] = (g[0] - g[1]) / (2 * curvedStep)
		}
	}
	var bias, twice float64
	hc := make([]float64, n*n)
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			for k := 0; k < n; k++ {
				hc[i*n+j] += h[i*n+k] * c[k*n+j]
			}
		}
		bias += hc[i*n+i] / 2
	}
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			twice += hc[i*n+j] * hc[j*n+i] / 2
		}
	}
	return twice + bias*bias
}

const (
	curvedMax  = 30   // coordinates; measures of the whole body are nearly linear
	curvedStep = 1e-4 // m
)
