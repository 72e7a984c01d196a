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
	b, d := top-address, impact-top
	u := frame / math.Sqrt(12)
	t.Backswing, t.Downswing = b, d
	t.BackswingSigma, t.DownswingSigma = u*math.Sqrt2, u*math.Sqrt2
	t.Ratio = b / d
	// dr/daddress = −1/d, dr/dtop = 1/d + b/d², dr/dimpact = −b/d².
	t.RatioSigma = u / d * math.Sqrt(1+sq(1+t.Ratio)+sq(t.Ratio))
	return t, true
}

// defaultFrameSeconds is assumed where a clip's frame duration is not given.
const defaultFrameSeconds = 1.0 / 30

// TempoMeasures gives the tempo measures of a swing of so many clips from the clip
// that times them best: all three, or why there are none.
func TempoMeasures(positions []Position, clips int) ([]Measure, []Missing) {
	at := map[PositionName]*Position{}
	for i := range positions {
		at[positions[i].Name] = &positions[i]
	}
	best, found := Tempo{}, false
	for c := 0; c < clips; c++ {
		var sec [3]float64
		frame := 0.0
		ok := true
		for i, n := range [3]PositionName{Address, Top, Impact} {
			p := at[n]
			if p == nil || c >= len(p.Seconds) {
				ok = false
				break
			}
			sec[i] = p.Seconds[c]
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
		if t, ok := TempoOf(sec[0], sec[1], sec[2], frame); ok && (!found || t.RatioSigma < best.RatioSigma) {
			best, found = t, true
		}
	}
	if !found {
		var out []Missing
		for _, d := range tempoDefinitions {
			out = append(out, Missing{Name: d.Name, Position: Impact, Why: NoTempo})
		}
		return nil, out
	}
	values := [3][2]float64{{best.Ratio, best.RatioSigma}, {best.Backswing, best.BackswingSigma}, {best.Downswing, best.DownswingSigma}}
	var out []Measure
	for i, d := range tempoDefinitions {
		out = append(out, d.Measure(Impact, values[i][0], values[i][1], "frame times"))
	}
	return out, nil
}
