package geometry

import "math"

var tempoDefinitions = []Definition{
	{Name: "tempo", Definition: "time from the end of the address to the top, divided by the time from the top to impact",
		Positive: "slower backswing", Unit: Ratio, Source: "Grober & Cholewicki 2006, arXiv physics/0611291", Group: Downswing,
		Positions: []PositionName{Impact}},
	{Name: "backswing time", Definition: "time from the end of the address to the top", Positive: "longer", Unit: Seconds,
		Source: ownSource, Group: Downswing, Positions: []PositionName{Impact}},
	{Name: "downswing time", Definition: "time from the top to impact", Positive: "longer", Unit: Seconds,
		Source: ownSource, Group: Downswing, Positions: []PositionName{Impact}},
}

// Tempo is the ratio of backswing to downswing time with its uncertainty.
//
// Sigmas are of first order; the interval that is printed for the ratio is Fieller's
// (ratioInterval), and the ratio's Sigma is made to agree with that.
type Tempo struct {
	Ratio, RatioSigma         float64
	Backswing, BackswingSigma float64 // seconds
	Downswing, DownswingSigma float64 // seconds
}

// TempoOf computes tempo from the times, in seconds on one clip's clock, of
// the frames chosen for the end of the address, the top and impact, and from
// how long a frame lasts there. Each event lies anywhere within half a frame
// of its frame's time, so has a variance of frame²/12; the top enters both
// times, which is allowed for (first-order propagation: JCGM 100:2008, 5.2).
// ok is false unless the times are finite, in order and the frames positive.
func TempoOf(address, top, impact, frame float64) (t Tempo, ok bool) {
	if !Finite(address, top, impact, frame) || !(address < top && top < impact) || frame <= 0 {
		return Tempo{}, false
	}
	u := frame / math.Sqrt(12)
	return tempoOf([3]float64{address, top, impact}, [3]float64{u, u, u}), true
}

// tempoOf is the same of the three times with a standard deviation each.
func tempoOf(at, sigma [3]float64) (t Tempo) {
	t.Backswing, t.Downswing = at[1]-at[0], at[2]-at[1]
	t.BackswingSigma, t.DownswingSigma = math.Hypot(sigma[0], sigma[1]), math.Hypot(sigma[1], sigma[2])
	t.Ratio = t.Backswing / t.Downswing
	// dr/daddress = −1/d, dr/dtop = 1/d + b/d², dr/dimpact = −b/d².
	t.RatioSigma = math.Sqrt(sq(sigma[0])+sq(sigma[1]*(1+t.Ratio))+sq(sigma[2]*t.Ratio)) / t.Downswing
	return t
}

// defaultFrameSeconds is assumed where a clip's frame duration is not given.
const defaultFrameSeconds = 1.0 / 30

// TempoMeasures gives the tempo measures of a swing from the clip that times them
// best: all three, or why there are none.
//
// One clip is taken and not the mean of two: both show the same three instants, and the one
// with the shorter frames knows them best.
func TempoMeasures(positions []Position, clips []Clip) ([]Measure, []Missing) {
	at := map[PositionName]*Position{}
	for i := range positions {
		at[positions[i].Name] = &positions[i]
	}
	var best Tempo
	var lowest, highest, spread float64
	found := false
	for c := range clips {
		var sec, sigma [3]float64
		frame := 0.0
		ok := true
		for i, n := range [3]PositionName{Address, Top, Impact} {
			p := at[n]
			if p == nil || c >= len(p.Seconds) {
				ok = false
				break
			}
			sec[i], sigma[i] = p.Seconds[c], p.InstantSigma(c)
			if c < len(p.FrameSeconds) {
				frame = math.Max(frame, p.FrameSeconds[c])
			}
		}
		if !ok {
			continue
		}
		if frame <= 0 {
			frame = defaultFrameSeconds
		}
		if _, ok := TempoOf(sec[0], sec[1], sec[2], frame); !ok {
			continue
		}
		for i := range sigma { // the longest frame of the three is that of all
			sigma[i] = math.Max(sigma[i], frame/math.Sqrt(12))
		}
		// By its frames, not by the ratio's own standard deviation: that falls as
		// the downswing comes out long.
		if s := sq(sigma[0]) + sq(sigma[1]) + sq(sigma[2]); !found || s < spread {
			best, spread, found = tempoOf(sec, sigma), s, true
			lowest, highest = ratioInterval(sec, sigma)
		}
	}
	if !found {
		why := NoTempo
		for i := range clips {
			switch {
			case clips[i].Clock == ClockOpen:
				why = NoClock
			case clips[i].Clock == ClockUneven && why == NoTempo:
				why = UnevenClock
			}
		}
		var out []Missing
		for _, d := range tempoDefinitions {
			out = append(out, Missing{Name: d.Name, Position: Impact, Why: why})
		}
		return nil, out
	}
	values := [3][2]float64{{best.Ratio, best.RatioSigma}, {best.Backswing, best.BackswingSigma}, {best.Downswing, best.DownswingSigma}}
	var out []Measure
	for i, d := range tempoDefinitions {
		out = append(out, d.Measure(Impact, values[i][0], values[i][1], "frame times"))
	}
	out[0].Low95, out[0].High95 = lowest, highest
	out[0].Sigma = (highest - lowest) / (2 * Z95)
	return out, nil
}

// ratioInterval is the 95 % interval of the ratio of the two times between three,
// each with a standard deviation: the ratios r for which the difference b − r·d is
// within what its own standard deviation allows (Fieller 1954, J R Stat Soc B 16:175).
// Where the downswing may be nothing, it is that of TempoOf.
//
// The ratio of two normal times is not normal: a downswing of eight frames at 30 a second is
// uncertain by a twentieth, and 1/d leans to one side by that. Fieller's set holds the true
// ratio with the stated probability whatever the times, since b − r·d is exactly normal at
// the true r.
func ratioInterval(at, sigma [3]float64) (low, high float64) {
	b, d := at[1]-at[0], at[2]-at[1]
	// (b − r d)² ≤ z² (σ0² + (1+r)² σ1² + r² σ2²), as p r² − 2 q r + s ≤ 0.
	z2 := sq(Z95)
	p := d*d - z2*(sq(sigma[1])+sq(sigma[2]))
	q := b*d + z2*sq(sigma[1])
	s := b*b - z2*(sq(sigma[0])+sq(sigma[1]))
	if root := q*q - p*s; p > 0.2*d*d && root >= 0 {
		return (q - math.Sqrt(root)) / p, (q + math.Sqrt(root)) / p
	}
	t := tempoOf(at, sigma)
	return t.Ratio - Z95*t.RatioSigma, t.Ratio + Z95*t.RatioSigma
}
