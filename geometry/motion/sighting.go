package motion

import (
	"math"
	"slices"
)

// unseenSeconds is how long the points of a part of the body may be out of sight
// before and after an instant: in the downswing, and else. What the motion prior
// would make of a longer time is a guess.
const unseenSeconds, unseenDown = 0.15, 0.08

// sightings are the times at which each part of the body is seen, by the first
// degree of freedom of the part.
//
// By the first degree of freedom, because what is out of sight is a segment and not a point:
// a pelvis of which one hip is seen is held by the lengths and by the other points' tracks.
func (f *problem) sightings() map[int][]float64 {
	out := map[int][]float64{}
	for i := range f.observations {
		dof := carrierOf(Points[f.observations[i].pt]).dof
		out[dof] = append(out[dof], f.observations[i].seconds)
	}
	for i := range f.keyPriors { // marks are sightings too
		p := &f.keyPriors[i]
		for _, pt := range Points {
			if f.key.Marked(p.position, pt) {
				dof := carrierOf(pt).dof
				out[dof] = append(out[dof], f.times[p.at])
			}
		}
	}
	for dof := range out {
		slices.Sort(out[dof])
	}
	return out
}

// unseen reports whether a part of the body that a measure needs is out of sight at
// an instant.
func (f *problem) unseen(k, i int, seen map[int][]float64) bool {
	most := unseenSeconds
	if f.phases[i] == &down {
		most = unseenDown
	}
	for _, d := range dofsOfMeasure[k] {
		part := d
		switch {
		case d < segmentDofs:
			part = 0
		case d < dofLeadKnee:
			part = segmentDofs
		default:
			part = d - d%3
		}
		at := seen[part]
		j, _ := slices.BinarySearch(at, f.times[i])
		near := math.Inf(1)
		if j < len(at) {
			near = at[j] - f.times[i]
		}
		if j > 0 {
			near = math.Min(near, f.times[i]-at[j-1])
		}
		if near > most {
			return true
		}
	}
	return false
}
