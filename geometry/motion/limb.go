package motion

import (
	"math"
	"sort"

	"turngauge/geometry"
)

// Hands and arms pass in front of the belt, and they turn with the club: where they
// are, as far as their joints were followed, nothing is looked at.

// limbs are the followed points of the arms of one clip, as the fit sees the picture.
type limbs struct{ shoulder, elbow, wrist [2]path }

// path is a point's way through a clip.
type path struct {
	seconds []float64
	at      []geometry.ImagePt
}

const (
	armM  = 0.055 // half the breadth of an arm with its sleeve
	handM = 0.095 // from the wrist to beyond the knuckles of a hand on the grip
	// pathGap is for how long a point that is out of sight is taken to go on evenly.
	pathGap = 0.1
)

// limbsOf gathers the arms of a clip from its tracks.
func (f *problem) limbsOf(in *Input, clip int) *limbs {
	l := &limbs{}
	for k := range in.Tracks {
		t := &in.Tracks[k]
		if t.Clip != clip {
			continue
		}
		var p *path
		switch t.Point {
		case geometry.LeadShoulder:
			p = &l.shoulder[0]
		case geometry.TrailShoulder:
			p = &l.shoulder[1]
		case geometry.LeadElbow:
			p = &l.elbow[0]
		case geometry.TrailElbow:
			p = &l.elbow[1]
		case geometry.LeadWrist:
			p = &l.wrist[0]
		case geometry.TrailWrist:
			p = &l.wrist[1]
		default:
			continue
		}
		for i := range t.Observations {
			p.seconds = append(p.seconds, t.Observations[i].Seconds)
			p.at = append(p.at, f.upright(in, t, i))
		}
	}
	return l
}

// when returns where the point is at a time of the clip's clock.
func (p *path) when(seconds float64) (at geometry.ImagePt, ok bool) {
	i := sort.SearchFloat64s(p.seconds, seconds)
	switch {
	case len(p.seconds) == 0:
		return at, false
	case i == 0:
		return p.at[0], p.seconds[0]-seconds < pathGap
	case i == len(p.seconds):
		return p.at[i-1], seconds-p.seconds[i-1] < pathGap
	}
	a, b := p.seconds[i-1], p.seconds[i]
	if b-a > 2*pathGap {
		return at, false
	}
	u := (seconds - a) / math.Max(b-a, 1e-9)
	return geometry.ImagePt{X: p.at[i-1].X + u*(p.at[i].X-p.at[i-1].X), Y: p.at[i-1].Y + u*(p.at[i].Y-p.at[i-1].Y)}, true
}

// hide reports whether an arm or a hand may be in front of a place at a time; scale is
// pixels per metre there.
func (l *limbs) hide(at geometry.ImagePt, seconds, scale float64) bool {
	for side := range l.wrist {
		w, wrist := l.wrist[side].when(seconds)
		e, elbow := l.elbow[side].when(seconds)
		s, shoulder := l.shoulder[side].when(seconds)
		switch {
		case wrist && math.Hypot(at.X-w.X, at.Y-w.Y) < handM*scale,
			elbow && math.Hypot(at.X-e.X, at.Y-e.Y) < 1.3*armM*scale,
			wrist && elbow && besideLine(at, e, w) < armM*scale,
			shoulder && elbow && besideLine(at, s, e) < armM*scale:
			return true
		}
	}
	return false
}

// besideLine is the distance of a point from the line between two.
func besideLine(p, a, b geometry.ImagePt) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	u := ((p.X-a.X)*dx + (p.Y-a.Y)*dy) / math.Max(dx*dx+dy*dy, 1e-9)
	u = math.Min(math.Max(u, 0), 1)
	return math.Hypot(p.X-a.X-u*dx, p.Y-a.Y-u*dy)
}
