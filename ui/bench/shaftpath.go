package bench

import (
	"cmp"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/video/club"
	"turngauge/video/jointpath"
)

// Bounds of how a shaft turns in a face-on picture of a right-hander, radians a second: up
// to 700 degrees back, and 2,900 down, which is above a tour player's (common practice, no
// source). As long before and after the top that motion tells it may turn back already, or
// still.
var (
	backTurning = club.Turning{Least: -1, Most: 12}
	downTurning = club.Turning{Least: -50, Most: 1}
)

const (
	aboutTopS = 0.15
	// readShaft is the standard deviation of a shaft's direction, radians.
	readShaft = 0.02
	// stirBack, stirTop and stirDown are how restless its direction is, radians and seconds
	// to the power of 3/2.
	stirBack, stirTop, stirDown = 15.0, 10.0, 60.0
	// leastArc is how many looks at least show a shaft that turns.
	leastArc = 4
)

// shaftPath reads the shaft's direction from the looks that show it in one arc, radians,
// from the trail side of level ground, upward: below 0 on its way to it. There are none
// where too few show it.
func (s *Instants) shaftPath(list []glance) []jointpath.Reading {
	looks := make([]club.Look, len(list))
	top := s.Seconds(s.Top)
	for i, g := range list {
		l := &looks[i]
		l.Seconds, l.Turning = g.seconds, club.Turning{Least: downTurning.Least, Most: backTurning.Most}
		switch {
		case g.seconds < top-aboutTopS:
			l.Turning = backTurning
		case g.seconds > top+aboutTopS:
			l.Turning = downTurning
		}
		for _, c := range g.clubs {
			if s.Handed == geometry.LeftHanded { // in the mirror
				c.Angle = math.Pi - c.Angle
			}
			l.Found = append(l.Found, c)
		}
	}
	var out []jointpath.Reading
	least := math.Inf(1)
	for i, k := range club.Arc(looks) {
		if k < 0 {
			continue
		}
		angle := looks[i].Found[k].Angle
		if n := len(out); n > 0 {
			angle = out[n-1].Value + math.Remainder(angle-out[n-1].Value, 2*math.Pi)
		}
		if looks[i].Seconds < top || math.IsInf(least, 1) {
			least = math.Min(least, angle)
		}
		out = append(out, jointpath.Reading{Seconds: looks[i].Seconds, Value: angle, SD: readShaft})
	}
	if len(out) < leastArc {
		return nil
	}
	// At its lowest before the top it points to the ground, between right and left.
	level := 2*math.Pi*math.Floor(least/(2*math.Pi)) + math.Pi
	for i := range out {
		out[i].Value -= level
	}
	return out
}

// between are the readings of a time.
func between(list []jointpath.Reading, from, to float64) []jointpath.Reading {
	return slices.DeleteFunc(slices.Clone(list), func(r jointpath.Reading) bool { return r.Seconds < from || r.Seconds > to })
}

// clubLevelBack tells when the shaft is level for the first time on its way up.
func (s *Instants) clubLevelBack(shaft []jointpath.Reading) (jointpath.Crossing, bool) {
	path, ok := jointpath.Smooth(between(shaft, s.Seconds(s.Address), s.Seconds(s.Top)), stirBack)
	if !ok {
		return jointpath.Crossing{}, false
	}
	all := path.Crossings(0)
	i := slices.IndexFunc(all, func(c jointpath.Crossing) bool { return c.Upward })
	if i < 0 {
		return jointpath.Crossing{}, false
	}
	return all[i], true
}

// delivery tells when it is level for the last time on its way down.
func (s *Instants) delivery(shaft []jointpath.Reading) (jointpath.Crossing, bool) {
	path, ok := jointpath.Smooth(between(shaft, s.Seconds(s.Top), s.Seconds(s.Impact)), stirDown)
	if !ok {
		return jointpath.Crossing{}, false
	}
	all := path.Crossings(0)
	if n := len(all); n > 0 && !all[n-1].Upward {
		return all[n-1], true
	}
	return jointpath.Crossing{}, false
}

// turnsBack tells when the shaft turns back, about when motion tells the top.
func (s *Instants) turnsBack(shaft []jointpath.Reading) (jointpath.Crossing, bool) {
	const rounds = 4
	at := s.Seconds(s.Top)
	var turn jointpath.Crossing
	for range rounds { // about where it was found
		path, ok := jointpath.Smooth(between(shaft, at-aboutTopS, at+aboutTopS), stirTop)
		if !ok {
			return jointpath.Crossing{}, false
		}
		if turn, ok = path.Highest(); !ok {
			return jointpath.Crossing{}, false
		}
		at = turn.Seconds
	}
	turn.SD = math.Max(turn.SD, leastShaftS)
	return turn, turn.SD < unknownCrossS
}

const (
	// leastShaftS is how well the shaft tells a moment at best, seconds.
	leastShaftS = 0.008
	// startsTo is how far from rest the shaft's direction is followed to tell when it began
	// to turn, radians, and restless by how much it may turn in what is taken for rest.
	startsTo, restless = 0.5, 0.07
	// startStepS is the grain in which the start is looked for.
	startStepS = 0.002
)

// startsBack tells when the shaft leaves its direction at rest. From then on it turns with
// the second power of time, as where the hands push off at once, up to the third, as where
// they move with the least jerk (Flash and Hogan 1985, J. Neurosci. 5): the start and the
// power are those that leave the least sum of squares, and the deviation is how far the
// start may lie off for the sum to grow by one reading's variance.
func (s *Instants) startsBack(shaft []jointpath.Reading) (jointpath.Crossing, bool) {
	if shaft = between(shaft, math.Inf(-1), s.Seconds(s.Top)); len(shaft) < leastArc {
		return jointpath.Crossing{}, false
	}
	low := atRest(shaft, s.Seconds(s.Address))
	end := slices.IndexFunc(shaft, func(r jointpath.Reading) bool { return r.Value > low+startsTo })
	const least = 6
	if end < least || shaft[0].Seconds > s.Seconds(s.Address) {
		return jointpath.Crossing{}, false
	}
	rest := end
	for ; rest > 0 && shaft[rest-1].Value > low+restless; rest-- {
	}
	if rest < 2 {
		return jointpath.Crossing{}, false
	}
	shaft = shaft[:end]
	type tried struct{ at, sum float64 }
	var all []tried
	best := tried{sum: math.Inf(1)}
	for at := shaft[0].Seconds; at < shaft[rest].Seconds; at += startStepS {
		sum := math.Inf(1)
		for _, power := range [...]float64{2, 2.5, 3} {
			sum = math.Min(sum, leaving(shaft, at, power))
		}
		all = append(all, tried{at, sum})
		if sum < best.sum {
			best = tried{at, sum}
		}
	}
	variance := math.Max(readShaft*readShaft, best.sum/float64(len(shaft)-3))
	first, last := math.Inf(1), math.Inf(-1)
	for _, t := range all {
		if t.sum <= best.sum+variance {
			first, last = math.Min(first, t.at), math.Max(last, t.at)
		}
	}
	sd := math.Max((last-first)/2, leastShaftS)
	return jointpath.Crossing{Seconds: best.at, SD: sd, Upward: true}, sd < unknownCrossS
}

// atRest is the median of the readings until a time; the first where there is none.
func atRest(shaft []jointpath.Reading, until float64) float64 {
	rest := between(shaft, math.Inf(-1), math.Max(until, shaft[0].Seconds))
	slices.SortFunc(rest, func(a, b jointpath.Reading) int { return cmp.Compare(a.Value, b.Value) })
	return rest[len(rest)/2].Value
}

// leaving is the sum of squares that readings leave of a curve that rests until a time and
// then rises with a power of it: by least squares in its height at rest and its rise.
func leaving(shaft []jointpath.Reading, at, power float64) float64 {
	var n, x, y, xx, xy, yy float64
	for _, r := range shaft {
		u := math.Pow(math.Max(r.Seconds-at, 0), power)
		n, x, y, xx, xy, yy = n+1, x+u, y+r.Value, xx+u*u, xy+u*r.Value, yy+r.Value*r.Value
	}
	sxx, sxy, syy := xx-x*x/n, xy-x*y/n, yy-y*y/n
	if !(sxx > 0) || sxy < 0 {
		return math.Inf(1)
	}
	return syy - sxy*sxy/sxx
}

// strikes tells when the shaft comes back to the direction that it had at the start. Hands
// that lead the clubhead by ten degrees make it late by some 5 ms.
func (s *Instants) strikes(shaft []jointpath.Reading) (jointpath.Crossing, bool) {
	path, ok := jointpath.Smooth(between(shaft, s.Seconds(s.Top), s.Seconds(s.Impact)+afterStrikeS), stirDown)
	if !ok {
		return jointpath.Crossing{}, false
	}
	for _, c := range path.Crossings(atRest(shaft, s.Seconds(s.Address))) {
		if !c.Upward {
			return c, c.SD < unsureCrossS
		}
	}
	return jointpath.Crossing{}, false
}
