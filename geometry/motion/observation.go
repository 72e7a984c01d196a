package motion

import (
	"math"

	"turngauge/geometry"
)

// The error model of what is followed.
const (
	// leastSigmaPx is the least standard deviation of an observation.
	leastSigmaPx = 0.3
	// clipPlacingM is how far apart the places are, on the body, that a coach
	// takes for one point in two clips: what is not shared of the misplacement.
	clipPlacingM = 0.004
	// lengthLasts is how long a segment that looks too long stays so, seconds.
	lengthLasts = 0.25
	jointSigmaM = 0.010
	trunkSigmaM = 0.020
	shapeSideM  = 0.010 // of buckle and the others out of the middle
	shapeUpM    = 0.030
	shapeFrontM = 0.022
	shapeGaugeM = 0.004 // buckle and tailbone are level in the pelvis's frame by definition
	firstPlaceM = 0.5
	firstAngle  = 1.0
	firstSpeed  = 0.3
)

// observe adds the observations of a track between its anchors, freed of the
// anchors' errors: those are what the fit at key positions leaves. A track from
// anchor a to anchor b is bent to pass through both, so that at its part w of
// the way it is off by
//
//	(1−w) eₐ + w e_b,
//
// e an anchor's click error, which the residual of its mark in the fit at key
// positions estimates, with the variance of the fitted point's picture left
// over.
//
// The variance of an observation is σ² of finding the point in the frame plus
// what lasts. What lasts over n frames, drift and the anchors' rest, would be
// taken n times for new; multiplied by the number of frames that the motion
// prior averages over, n of them together weigh as much as one.
//
// A sequence whose error is one value over n frames holds one piece of information about
// it; n terms of the variance n·d² each hold 1/(n d²), together 1/d². That is exact for an
// error that is constant within such a time and renewed after it, and cautious for one
// that drifts: a random walk is told more of by frames far apart.
func (f *problem) observe(in *Input, t *Track, pt int) {
	marks := t.marksOf(in.Key)
	type anchor struct{ x, y, variance float64 }
	anchors := make([]anchor, len(marks))
	for i, k := range marks {
		anchors[i].variance = sq(in.Key.ClickSigmaPx(t.Clip, t.Point, k))
		if k < 0 {
			continue
		}
		want, variance, ok := in.Key.Expected(t.Clip, in.Key.Swing().Marks[k].Position, t.Point)
		if !ok {
			continue
		}
		at := f.upright(in, t, t.Anchors[i].Observation)
		anchors[i] = anchor{at.X - want.X, at.Y - want.Y, variance}
	}
	address, top := f.swingTimes()
	side := 1.0
	if in.Swing.Clips[t.Clip].View == geometry.DownTheLine && t.Point.Side() == geometry.Lead {
		side = geometry.FarSideFactor
	}
	f.offsetSigma[t.Clip][pt] = clipPlacingM * side
	for i := range t.Observations {
		s := &t.Observations[i]
		a, b, w := t.around(i)
		// A mark comes in with the key positions, not twice.
		if t.Anchors[a].Observation == i && marks[a] >= 0 {
			continue // the fit at key positions has it
		}
		was := f.upright(in, t, i)
		x := was.X - (1-w)*anchors[a].x - w*anchors[b].x
		y := was.Y - (1-w)*anchors[a].y - w*anchors[b].y
		// What lasts over frames counts once for as long as it lasts: half the
		// way from anchor to anchor, or what the fit averages over.
		at := s.Seconds + f.shift[t.Clip]
		lasts := math.Min(float64(t.between(a, b))/2, phaseAt(at, address, top).lasts*t.rate())
		drift := sq(s.DriftPx) + (1-w)*anchors[a].variance + w*anchors[b].variance
		v := sq(math.Max(s.SigmaPx, leastSigmaPx)) + drift*math.Max(lasts, 1)
		if !geometry.Finite(x, y, v, s.Seconds) {
			continue
		}
		errs := trackError{math.Max(s.SigmaPx, leastSigmaPx), s.DriftPx, math.Max(lasts, 1) / t.rate(), [2]int{a, b},
			[2]float64{(1 - w) * math.Sqrt(anchors[a].variance), w * math.Sqrt(anchors[b].variance)}}
		f.observations = append(f.observations, observation{t.Clip, pt, at, x, y, 1 / v, errs})
	}
}

// upright is where an observation lies in the picture as the fit sees it: mirrored where it shows
// a left-hander.
func (f *problem) upright(in *Input, t *Track, index int) geometry.ImagePt {
	at := t.Observations[index].At
	if in.Swing.Flipped(t.Clip) {
		at.X = float64(in.Swing.Clips[t.Clip].Width) - at.X
	}
	return at
}

// swingTimes returns when the swing starts and turns round on the common clock,
// as far as known: NaN for an address that is not set, the usual length of a
// downswing for a top.
func (f *problem) swingTimes() (address, top float64) {
	address, top = f.keyTime(geometry.Address), f.keyTime(geometry.Top)
	if !geometry.Finite(top) {
		top = -usualDown
	}
	return address, top
}

// rate is how many observations there are in a second, on average.
func (t *Track) rate() float64 {
	n := len(t.Observations)
	if n < 2 {
		return 1
	}
	return float64(n-1) / math.Max(t.Observations[n-1].Seconds-t.Observations[0].Seconds, 1e-3)
}

// between counts the observations from one anchor to the next, or to the end of the
// track where there is no other.
func (t *Track) between(a, b int) int {
	switch {
	case a != b:
		return t.Anchors[b].Observation - t.Anchors[a].Observation
	case a+1 < len(t.Anchors):
		return t.Anchors[a+1].Observation - t.Anchors[a].Observation
	case a > 0:
		return t.Anchors[a].Observation - t.Anchors[a-1].Observation
	default:
		return len(t.Observations)
	}
}
