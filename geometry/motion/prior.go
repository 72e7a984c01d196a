package motion

import (
	"math"
	"slices"
)

// The motion prior. Between instants the golfer accelerates at random: white
// noise of a given density, so that the most probable motion without any track
// is a cubic in time (a Wiener process on the velocity; see Särkkä & Solin 2019,
// Applied Stochastic Differential Equations). The densities are set from what
// golfers do: a pelvis that goes from rest to 500 degrees a second in 0.15 s
// changes its speed by two standard deviations over that time (common practice, no
// source).

// phase is a part of the swing with a motion of its own.
type phase struct {
	step float64 // seconds between instants, about
	// What the speeds change by at random in one second, one standard
	// deviation: of a turn and of other angles in rad/s, of a place in m/s; the
	// last of an ankle.
	turn, lean, place, ankle float64
	// lasts is over how long the fit averages, seconds: what lasts longer than
	// that in a track counts once in each such time.
	lasts float64
}

var (
	still    = phase{0.030, 0.8, 0.4, 0.12, 0.05, 0.30}
	back     = phase{0.022, 2.0, 1.2, 0.28, 0.10, 0.19}
	down     = phase{0.0085, 10, 5.5, 1.5, 0.6, 0.09}
	overhead = phase{0.016, 7, 5, 1.2, 1.2, 0.12}
)

// The swing's parts begin and end this long beside a key position, seconds.
const (
	quietBefore = 0.08 // the address may last until then
	turnBefore  = 0.16 // of the top: the pelvis turns back before the club does
	downAfter   = 0.06 // of impact
	// usualDown is how long before impact the downswing begins where the top is
	// not known.
	usualDown = 0.40
)

// phaseAt says which part of the swing a time on the common clock lies in.
func phaseAt(t, address, top float64) *phase {
	switch {
	case t < address-quietBefore:
		return &still
	case t < top-turnBefore:
		return &back
	case t < downAfter:
		return &down
	default:
		return &overhead
	}
}

// instants lays out the times at which the golfer's pose is sought, from first
// to last, with one at each of keys.
//
// Between two instants whose values and speeds are known the prior leaves, half way, the
// variance q dt³/192 of the density q. With the densities and steps above that is a tenth
// of a millimetre of a hip in the downswing and twice that after impact: finer instants
// would tell nothing more.
func instants(first, last, address, top float64, keys []float64) []float64 {
	stops := []float64{first, last}
	for _, k := range keys {
		if k > first && k < last {
			stops = append(stops, k)
		}
	}
	slices.Sort(stops)
	const apart = 1e-6
	var out []float64
	for i, to := range stops {
		if i == 0 {
			out = append(out, to)
			continue
		}
		from := stops[i-1]
		if to-from < apart {
			continue
		}
		// Each part of the way is cut evenly, by the step at its ends.
		for t := from; ; {
			step := math.Min(phaseAt(t, address, top).step, phaseAt(math.Min(t+down.step, to), address, top).step)
			left := to - t
			if left < 1.5*step {
				break
			}
			t += left / math.Round(left/step)
			out = append(out, t)
		}
		out = append(out, to)
	}
	return out
}

// density is the variance that a degree of freedom's speed gains in one second.
//
// Units: (rad/s)² or (m/s)² a second. Chest and torso move as the pelvis does and by half as
// much again on top of it; an ankle hardly moves but for the trail one after impact.
func (p *phase) density(dof int) float64 {
	switch {
	case dof == dofTurn:
		return sq(p.turn)
	case dof == segmentDofs+dofTurn: // the torso is the faster
		return sq(1.5 * p.turn)
	case dof == dofTilt || dof == dofLean || dof == segmentDofs+dofTilt || dof == segmentDofs+dofLean:
		return sq(p.lean)
	case dof >= dofLeadAnkle:
		return sq(p.ankle)
	case dof >= dofLeadKnee:
		return sq(p.place)
	case dof >= segmentDofs: // the chest is on the end of the trunk
		return sq(1.5 * p.place)
	default:
		return sq(p.place)
	}
}
