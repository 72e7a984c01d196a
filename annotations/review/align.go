package review

import (
	"math"
	"slices"
)

// The clock of a sound card drifts against the computer's by up to some hundred parts in a
// million, 6 ms a minute at 100, so sample n of a voice was not spoken n/Rate seconds after
// the first. Knots say, once a second, which sample was at the microphone when, each with a
// jitter of some milliseconds. Between jumps, where sound was lost or another microphone
// was plugged in, sample and time lie on a line: time = start + sample * step.

// jump is by how much two knots may be apart from what lies between them, seconds, before
// they are of different lines. Jitter is less; a lost packet is 20 ms and more.
const jump = 0.03

// stretch is a part of the voice without jumps.
type stretch struct {
	first, end  int64   // samples, the end not with it
	start, step float64 // seconds: when sample 0 would have been, and between two
}

// stretches fits a line to the knots between each two jumps. samples is how many there are.
func stretches(knots []Knot, samples int64) (out []stretch) {
	const nominal = 1.0 / Rate
	for len(knots) > 0 {
		n, use := 1, 0
		if knots[0].Anew && len(knots) > 1 && !knots[1].Anew {
			n, use = 2, 1 // its own time is rough
		}
		for n < len(knots) && knots[n].Sample > knots[n-1].Sample && !knots[n].Anew &&
			math.Abs(knots[n].At-knots[n-1].At-float64(knots[n].Sample-knots[n-1].Sample)*nominal) < jump {
			n++
		}
		s := stretch{first: knots[0].Sample, end: samples, step: nominal}
		if len(out) == 0 {
			s.first = 0
		} else {
			out[len(out)-1].end = s.first
		}
		s.fit(knots[use:n])
		if s.first < samples {
			out = append(out, s)
		}
		knots = knots[n:]
	}
	return out
}

// leastKnots is from how many knots on a rate of its own is believed: over 10 s a jitter of
// 5 ms makes it some 150 parts in a million uncertain, as much as cards are off.
const leastKnots = 10

// fit fits the line: least squares, once more without the knots that are far off, such as
// the first ones of a device that has just been opened.
func (s *stretch) fit(knots []Knot) {
	use := slices.Clone(knots)
	for range 2 {
		var n, sumX, sumY float64
		for _, k := range use {
			n, sumX, sumY = n+1, sumX+float64(k.Sample), sumY+k.At
		}
		mx, my := sumX/n, sumY/n
		if len(use) >= leastKnots {
			var xx, xy float64
			for _, k := range use {
				dx := float64(k.Sample) - mx
				xx, xy = xx+dx*dx, xy+dx*(k.At-my)
			}
			s.step = xy / xx
		}
		s.start = my - s.step*mx
		off := func(k Knot) float64 { return math.Abs(k.At - s.start - s.step*float64(k.Sample)) }
		all := make([]float64, len(use))
		for i, k := range use {
			all[i] = off(k)
		}
		slices.Sort(all)
		// 3 standard deviations of a normal jitter are 4.4 of its median (by its quantiles).
		limit := max(4.4*all[len(all)/2], 0.001)
		use = slices.DeleteFunc(use, func(k Knot) bool { return off(k) > limit })
	}
}

// Align holds a voice to the clock of the list: sample i of the result, full scale 1, lies
// i/Rate seconds after its beginning. Where nothing was heard is silence. Without knots the
// voice begins with the list.
func Align(voice []int16, knots []Knot, length float64) []float32 {
	out := make([]float32, int(math.Round(length*Rate)))
	if len(knots) == 0 {
		knots = []Knot{{}}
	}
	for _, s := range stretches(knots, int64(len(voice))) {
		from := max(int(math.Ceil((s.start+s.step*float64(s.first))*Rate)), 0)
		for i := from; i < len(out); i++ {
			p := (float64(i)/Rate - s.start) / s.step
			if p >= float64(s.end) {
				break
			}
			out[i] = float32(between(voice, p) / (1 << 15))
		}
	}
	return out
}

// between interpolates by the cubic of Catmull and Rom (A class of local interpolating
// splines, 1974). At 3 kHz, where the sounds of speech lie, that leaves an error 65 dB below
// them.
func between(v []int16, p float64) float64 {
	k := int(math.Floor(p))
	at := func(i int) float64 { return float64(v[min(max(i, 0), len(v)-1)]) }
	a, b, c, d, t := at(k-1), at(k), at(k+1), at(k+2), p-float64(k)
	return b + t/2*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
}
