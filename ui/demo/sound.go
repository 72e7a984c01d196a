package demo

import (
	"math"
	"math/rand/v2"

	"turngauge/geometry/golfer"
)

// soundRate is the rate of the sound track, samples per second.
const soundRate = 48000

// A strike is one that a phone hears.
type strike struct {
	seconds float64 // on the clip's clock
	level   float64 // 1 for the golfer's own
}

// soundtrack returns what a phone records: the hum of the place, wind, and the
// strikes, before the golfer's own of which the club swishes. The way the sound takes
// to the phone is left out.
func soundtrack(seconds float64, strikes []strike, seed uint64) []float32 {
	n := int(math.Round(seconds * soundRate))
	out := make([]float32, n)
	rnd := rand.New(rand.NewPCG(seed, 0x736f756e64))
	var pink [3]float64
	wind, gust := 0.0, 0.0
	swish, last := 0.0, 0.0
	phase := rnd.Float64() * 2 * math.Pi
	for i := range out {
		t := float64(i) / soundRate
		white := rnd.NormFloat64()
		// Pink noise from three one-pole filters.
		pink[0] = 0.997*pink[0] + 0.0300*white
		pink[1] = 0.963*pink[1] + 0.0900*white
		pink[2] = 0.570*pink[2] + 0.2000*white
		s := 0.010 * (pink[0] + pink[1] + pink[2])
		// Wind is slow noise that comes and goes.
		wind += 0.012 * (rnd.NormFloat64()*0.6 - wind)
		gust = 0.5 + 0.5*math.Sin(2*math.Pi*0.43*t+phase)
		s += 0.16 * wind * gust
		// The club's swish peaks a little before the strike.
		band := rnd.NormFloat64()
		swish += 0.11 * (band - swish)
		for _, k := range strikes {
			if k.level == 1 {
				d := (t - k.seconds + 0.012) / 0.045
				s += 0.055 * (swish - last) * math.Exp(-d*d)
			}
		}
		last += 0.02 * (swish - last)
		out[i] = float32(s)
	}
	for _, k := range strikes {
		click(out, k, rnd)
	}
	return out
}

// click adds the strike: a burst over all frequencies within two milliseconds
// and the ringing of head and ball after it.
func click(out []float32, k strike, rnd *rand.Rand) {
	rings := [...]struct{ hertz, gain, decay float64 }{
		{2950, 0.34, 0.011}, {4710, 0.22, 0.007}, {7390, 0.12, 0.004}, {1180, 0.20, 0.016},
	}
	first := int(math.Ceil(k.seconds * soundRate))
	for i := max(first, 0); i < len(out) && i < first+soundRate/10; i++ {
		t := float64(i)/soundRate - k.seconds
		s := 0.62 * rnd.NormFloat64() * math.Exp(-t/0.0016)
		for _, r := range rings {
			s += r.gain * math.Sin(2*math.Pi*r.hertz*t) * math.Exp(-t/r.decay)
		}
		out[i] = float32(math.Max(-0.98, math.Min(0.98, float64(out[i])+k.level*s)))
	}
}

// strikeSeconds is the strike on a clip's own clock.
func (p phone) strikeSeconds() float64 { return golfer.ImpactTime - p.start }
