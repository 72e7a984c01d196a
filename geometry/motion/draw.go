package motion

import (
	"context"
	"math"
	"slices"

	"turngauge/geometry"
)

// Untold is why what depends on whole curves is not known.
type Untold uint8

// The reasons; the zero value is none.
const (
	TooShort  Untold = iota + 1 // top and impact are too close together
	LostAtTop                   // the points of pelvis or chest are lost about the top
)

// Reversal says in which order pelvis and torso turn round between backswing
// and downswing.
type Reversal struct {
	Known bool
	// Pelvis and Torso are when each turns round, seconds on the common clock,
	// with standard deviations.
	Pelvis, PelvisSigma float64
	Torso, TorsoSigma   float64
	// Lead is by how much the pelvis is earlier, seconds, with its 95 % interval.
	Lead, Low95, High95 float64
	// PelvisFirst is the probability that the pelvis turns round first.
	PelvisFirst float64
	Why         Untold // it is not known, where it is not
}

// Peak is the largest separation on the way from the top to impact.
type Peak struct {
	Known                                bool
	Value, Low95, High95                 float64 // degrees
	Seconds, SecondsLow95, SecondsHigh95 float64
	Why                                  Untold // as for Reversal
}

// numDraws is how many motions are drawn from the posterior for what depends on
// whole curves.
const numDraws = 300

// draw works out the order of reversal and the peak separation from motions
// drawn from the joint posterior.
//
// What depends on a whole curve, when it is largest and how large it is there, has no
// derivative that would carry a standard deviation: where the curve is flat the maximum
// jumps. So whole motions are drawn. With the normal matrix H = L Lᵀ and z standard
// normal, x̂ + L⁻ᵀ z has the covariance L⁻ᵀ L⁻¹ = H⁻¹: a draw is one backward
// substitution (Rue 2001, J R Stat Soc B 63:325). 300 of them know a 2.5 % quantile to
// a seventh of a standard deviation, √(p(1−p)/300) over the density there, and a
// probability of a half to 3 per cent. The
// seed is fixed, so that the same marks give the same numbers.
func (c *Curves) draw(ctx context.Context) error {
	f := c.problem
	from, to, why := c.turnRound()
	if why != 0 {
		c.Reversal.Why, c.Peak.Why = why, why
		return nil
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	x := f.draws.x
	n, top := to-from, f.keyTime(geometry.Top)
	pelvis, torso := make([]float64, 2*n), make([]float64, 2*n)
	var pelvisAt, torsoAt, leads, peaks, peakAt []float64
	for k := range numDraws {
		// Column k of the block, numDraws columns wide, is draw k.
		read := func(i, dof int) float64 { return f.st.x[i][dof] + x[i][dof*numDraws+k] }
		home := read(f.address, segmentDofs+dofTurn) - read(f.address, dofTurn)
		best, when := math.Inf(-1), 0.0
		for i := range n {
			pelvis[2*i], pelvis[2*i+1] = read(from+i, dofTurn), read(from+i, numDofs+dofTurn)
			torso[2*i], torso[2*i+1] = read(from+i, segmentDofs+dofTurn), read(from+i, numDofs+segmentDofs+dofTurn)
			if s := torso[2*i] - pelvis[2*i] - home; f.times[from+i] >= top-turnBefore && s > best {
				best, when = s, f.times[from+i]
			}
		}
		p, t := turnsRound(f.times[from:to], pelvis), turnsRound(f.times[from:to], torso)
		pelvisAt, torsoAt, leads = append(pelvisAt, p), append(torsoAt, t), append(leads, t-p)
		peaks, peakAt = append(peaks, best*toDegrees), append(peakAt, when)
	}
	rv := &c.Reversal
	rv.Known = true
	rv.Pelvis, rv.PelvisSigma = meanAndSigma(pelvisAt)
	rv.Torso, rv.TorsoSigma = meanAndSigma(torsoAt)
	for _, l := range leads {
		switch {
		case l > 0:
			rv.PelvisFirst += 1.0 / numDraws
		case l == 0:
			rv.PelvisFirst += 0.5 / numDraws
		}
	}
	rv.Lead, rv.Low95, rv.High95 = quantile(leads, 0.5), quantile(leads, 0.025), quantile(leads, 0.975)
	pk := &c.Peak
	pk.Known = true
	_, spread := meanAndSigma(peaks)
	pk.Value = quantile(peaks, 0.5)
	pk.Seconds, pk.SecondsLow95, pk.SecondsHigh95 = quantile(peakAt, 0.5), quantile(peakAt, 0.025), quantile(peakAt, 0.975)
	i, _ := slices.BinarySearch(f.times, pk.Seconds)
	i = min(i, len(f.times)-1)
	// What the draws leave out, as in the curves themselves: offsets that stay on
	// the body, and what the fit at key positions can't be surer of.
	spread = math.Sqrt(sq(spread) + f.misplaced(curveSeparation, f.st.x[i], f.st.x[f.address], f.st.g[f.oShape+shapePelvisWidth]))
	spread = math.Max(spread, f.keySigma(curveSeparation, pk.Seconds))
	pk.Low95, pk.High95 = pk.Value-geometry.Z95*spread, pk.Value+geometry.Z95*spread
	return nil
}

// turnRound returns the instants among which pelvis and torso turn round, or
// why there is nothing to be told.
//
// The search begins half way through the backswing, where nothing has turned round yet, and
// ends before impact, where the follow-through begins.
func (c *Curves) turnRound() (from, to int, why Untold) {
	f := c.problem
	top := f.keyTime(geometry.Top)
	start := (f.keyTime(geometry.Address) + top) / 2
	for i, t := range f.times {
		if t < start {
			from = i
		}
		if t < -0.5*down.step {
			to = i + 1
		}
	}
	if to-from < 5 {
		return 0, 0, TooShort
	}
	for i := from; i < to; i++ {
		if f.times[i] < top-0.2 || f.times[i] > top+0.15 {
			continue
		}
		if !c.Curves[curvePelvis].Values[i].Known || !c.Curves[curveTorso].Values[i].Known {
			return 0, 0, LostAtTop
		}
	}
	return from, to, 0
}

// turnsRound returns when a turn is largest: values and speeds alternate.
//
// Between the two instants about the largest the speed is taken to change evenly, from a > 0
// to b ≤ 0, and is zero at a/(a−b) of the way: finer than the instants lie, for the order
// of reversal is a matter of hundredths of a second.
func turnsRound(times, turn []float64) float64 {
	best := 0
	for i := range times {
		if turn[2*i] > turn[2*best] {
			best = i
		}
	}
	i := best
	if turn[2*best+1] <= 0 {
		i--
	}
	if i < 0 || i+1 >= len(times) {
		return times[best]
	}
	a, b := turn[2*i+1], turn[2*i+3]
	if !(a > 0 && b <= 0) {
		return times[best]
	}
	return times[i] + (times[i+1]-times[i])*a/(a-b)
}

// The standard deviation is that of the sample, over n − 1.
func meanAndSigma(x []float64) (mean, sigma float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sigma += sq(v-mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sigma)
}

// Between the order statistics it is linear, at p(n − 1) from the first (Hyndman & Fan 1996,
// Am Stat 50:361, definition 7).
func quantile(x []float64, p float64) float64 {
	y := slices.Clone(x)
	slices.Sort(y)
	at := p * float64(len(y)-1)
	i := int(at)
	if i+1 >= len(y) {
		return y[len(y)-1]
	}
	return y[i] + (at-float64(i))*(y[i+1]-y[i])
}
