package bundle

import (
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// The frames chosen in two clips for one position differ by up to a frame. A
// point that moves is then seen in each a little before or after the instant,
// all points of a clip by the same time. That time is an unknown of the fit for
// each clip and position, in units of its standard deviation; marks of the
// club, which moves most, tell it.

// acrossShare is how much of the way a point goes in that time is taken to lie
// elsewhere than it is thought to, along either axis: the clubhead of the golfer in
// geometry/golfer moves within 10 to 16 degrees of the direction taken, and at half
// to twice the speed does the body of one golfer against another.
func acrossShare(pt geometry.Point) float64 {
	if pt == geometry.Clubhead {
		return 0.25
	}
	return 0.5
}

// layoutTimeOffsets lays out the unknown times, from index n on, and returns the
// index after the last.
//
// One clip alone has no such unknown: its frame is the instant then, by definition, and what it
// lies from the true one is a matter of the measure's rate (instant.go of package fit). Nor has
// a position at which nothing moves, address and finish, or impact, which the ball's start
// fixes in both clips alike.
func (p *Problem) layoutTimeOffsets(sw *geometry.Swing, n int) int {
	p.moving = make([][geometry.NumBody]r3.Vec, len(p.Names))
	for pos := range p.Names {
		at := make([]int, len(p.Clips))
		sigma := make([]float64, len(p.Clips))
		for c := range p.Clips {
			sigma[c] = sw.Positions[pos].InstantSigma(c)
			if len(p.Clips) > 1 && sigma[c] > 0 && pointSpeed(p.Names[pos], geometry.Clubhead) > 0 {
				at[c] = n
				n++
			}
		}
		p.oTime, p.timeSigma = append(p.oTime, at), append(p.timeSigma, sigma)
	}
	return n
}

// setMoving estimates how points move, metres a second, at positions whose
// frames may differ: as fast as usual, in the direction from the position
// before to the one after; the clubhead square to the shaft.
//
// Directions, not speeds, are taken from the neighbours: the chord from one key position to the
// next but one is as long as the sweep between them allows and says nothing of how fast the
// point is at the middle. The clubhead's chord has a part along the shaft, which is rigid; only
// what is square to it is motion of the head about the hands.
func (p *Problem) setMoving(st *State) {
	for pos := range p.Names {
		clear(p.moving[pos][:])
		before, after := p.neighbours(pos)
		if before < 0 || after < 0 {
			continue
		}
		for pt := geometry.Point(0); pt < geometry.Point(geometry.NumBody); pt++ {
			speed := pointSpeed(p.Names[pos], pt)
			if speed == 0 || !p.Marked[before][pt] || !p.Marked[after][pt] {
				continue
			}
			d := r3.Sub(st.At(after, pt), st.At(before, pt))
			if pt == geometry.Clubhead {
				shaft := r3.Sub(st.At(pos, geometry.Clubhead), st.At(pos, geometry.Grip))
				if n := r3.Norm2(shaft); n > 0.01 {
					d = r3.Sub(d, r3.Scale(r3.Dot(d, shaft)/n, shaft))
				}
			}
			if n := r3.Norm(d); n > 1e-3 {
				p.moving[pos][pt] = r3.Scale(speed/n, d)
			}
		}
	}
}

// neighbours returns the positions before and after one in time, or −1.
func (p *Problem) neighbours(pos int) (before, after int) {
	order := func(name geometry.PositionName) int {
		for k, n := range geometry.KeyPositions {
			if n == name {
				return k
			}
		}
		return -1
	}
	before, after = -1, -1
	here := order(p.Names[pos])
	if here < 0 {
		return before, after
	}
	for i, name := range p.Names {
		switch k := order(name); {
		case k >= 0 && k < here && (before < 0 || k > order(p.Names[before])):
			before = i
		case k > here && (after < 0 || k < order(p.Names[after])):
			after = i
		}
	}
	return before, after
}

// shown is where a point is at the time of a clip's frame, and the derivative
// of that by the unknown of index o; o is 0 where there is none.
//
// The motion is linear in the time: over half a frame at 60 a second, 8 ms, the clubhead's
// path before impact, a circle of 1.7 m at 25 m/s, leaves its tangent by (25·0.008)²/(2·1.7) =
// 12 mm, one mark's error.
func (p *Problem) shown(st *State, clip, pos int, pt geometry.Point) (at, by r3.Vec, o int) {
	at = st.At(pos, pt)
	if o = p.oTime[pos][clip]; o == 0 {
		return at, by, 0
	}
	by = r3.Scale(p.timeSigma[pos][clip], p.moving[pos][pt])
	return r3.Add(at, r3.Scale(st.g[o], by)), by, o
}

// HasTime reports whether the time of a clip's frame of a position is an unknown.
func (p *Problem) HasTime(pos, clip int) bool { return p.oTime[pos][clip] > 0 }

// timeOffsetTerms say that a frame is likely the instant's own.
func (e *evaluator) timeOffsetTerms() {
	for pos := range e.oTime {
		for _, o := range e.oTime[pos] {
			if o > 0 {
				e.r.Reset()
				e.r.Global(o, 1)
				e.emit(-1, e.st.g[o], 1)
			}
		}
	}
}

// pointSpeed is about how fast a point moves at a position, m/s: what one
// frame's difference between two clips is worth (common practice, no source).
// At address, top and finish the golfer is as good as still, and impact is the
// same instant in both clips.
//
// Speed times a frame is a distance on the body: of the clubhead before impact, 25 m/s
// and 1/240 s, ten centimetres; of a hip, two millimetres, a quarter of how well it is
// marked.
func pointSpeed(name geometry.PositionName, p geometry.Point) float64 {
	const (
		body = iota
		arm
		club
	)
	part := body
	switch p {
	case geometry.LeadElbow, geometry.TrailElbow, geometry.LeadWrist, geometry.TrailWrist:
		part = arm
	case geometry.Grip, geometry.Clubhead:
		part = club
	}
	switch name {
	case geometry.Address, geometry.Impact, geometry.Finish:
		return 0
	case geometry.Top:
		return [3]float64{0.1, 0.3, 1}[part]
	case geometry.Delivery:
		return [3]float64{1, 6, 25}[part]
	default:
		return [3]float64{0.5, 2, 6}[part]
	}
}
