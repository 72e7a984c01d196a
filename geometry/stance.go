package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Stance is the template figure of a key position: where the fit starts, and the
// centre of very wide priors. Lengths are fractions of stature.
type Stance struct {
	PelvisTurn, TorsoTurn float64 // degrees
	sway                  float64
	bend, side            float64 // degrees
	hands                 r3.Vec
	club                  r3.Vec     // direction from the grip to the clubhead
	HeelLift              [2]float64 // lead and trail
}

// stances holds one posture for each key position (this project's own rough
// numbers, after common practice; no source). Other positions start from the
// address.
var stances = map[PositionName]Stance{
	Address:       {0, 0, 0, 35, 5, r3.Vec{X: 0.03, Y: 0.44, Z: 0.20}, r3.Vec{X: 0.02, Y: -0.85, Z: 0.5}, [2]float64{}},
	ClubLevelBack: {20, 40, -0.01, 35, 5, r3.Vec{X: -0.20, Y: 0.52, Z: 0.16}, r3.Vec{X: -1, Y: 0.02, Z: 0.1}, [2]float64{}},
	LeadArmLevel:  {35, 70, -0.015, 35, 5, r3.Vec{X: -0.33, Y: 0.74, Z: 0.10}, r3.Vec{X: -0.3, Y: 0.9, Z: -0.3}, [2]float64{}},
	Top:           {43, 88, -0.015, 35, 5, r3.Vec{X: -0.22, Y: 0.92, Z: -0.06}, r3.Vec{X: 0.9, Y: 0.1, Z: 0.2}, [2]float64{0.02, 0}},
	Delivery:      {-15, 20, 0.03, 34, 14, r3.Vec{X: -0.10, Y: 0.50, Z: 0.16}, r3.Vec{X: -1, Y: 0.05, Z: -0.1}, [2]float64{0, 0.01}},
	Impact:        {-38, -20, 0.05, 32, 18, r3.Vec{X: 0.08, Y: 0.46, Z: 0.18}, r3.Vec{X: -0.15, Y: -0.85, Z: 0.5}, [2]float64{0, 0.02}},
	Finish:        {-90, -125, 0.08, 8, 4, r3.Vec{X: 0.12, Y: 0.92, Z: -0.12}, r3.Vec{X: -0.5, Y: -0.3, Z: -0.8}, [2]float64{0, 0.09}},
}

// StanceFor returns the usual posture of a position, that of the address for a coach's own.
func StanceFor(name PositionName) Stance {
	if s, ok := stances[name]; ok {
		return s
	}
	return stances[Address]
}

// Figure places the points of a golfer of the given stature (metres) and club
// length in the posture s.
//
// Fractions of stature, in the order ankles and feet, hips and belt, knees, spine and
// shoulders, head, hands and club. Distances agree with SegmentPriors to within
// their spread, so that a fit that starts here begins with posture and not with lengths.
// Turns are about the vertical for the pelvis and about the spine for the chest.
//
// The world's axes are the frame: x to the target, y up, z to the ball, metres, origin between the
// ankles. A turn ψ of a segment takes its lateral axis from (1, 0, 0) to (cos ψ, 0, sin ψ), away
// from the target for ψ > 0. Elbows are put a little under the line from shoulder to wrist, and
// arms that would have to be longer than they are stay so: lengths are the fit's to mend.
func (s Stance) Figure(stature, club float64) [NumBody]r3.Vec {
	h := stature
	var p [NumBody]r3.Vec
	rad := math.Pi / 180
	for i, side := range [2]float64{1, -1} {
		o := Point(i)
		flare := side * 15 * rad
		fwd := r3.Vec{X: math.Sin(flare), Z: math.Cos(flare)}
		lift := s.HeelLift[i] * h
		p[LeadAnkle+o] = r3.Vec{X: side * 0.125 * h, Y: 0.05*h + lift}
		p[LeadHeel+o] = r3.Add(p[LeadAnkle+o], r3.Add(r3.Scale(-0.04*h, fwd), r3.Vec{Y: -0.037 * h}))
		p[LeadToe+o] = r3.Add(p[LeadAnkle+o], r3.Add(r3.Scale(0.117*h, fwd), r3.Vec{Y: -0.037*h - lift}))
	}
	sp, cp := math.Sincos(s.PelvisTurn * rad)
	midHip := r3.Vec{X: s.sway * h, Y: 0.525 * h, Z: -0.05 * h}
	lat, fwd := r3.Vec{X: cp, Z: sp}, r3.Vec{X: -sp, Z: cp}
	p[LeadHip] = r3.Add(midHip, r3.Scale(0.0575*h, lat))
	p[TrailHip] = r3.Add(midHip, r3.Scale(-0.0575*h, lat))
	up := r3.Vec{Y: 0.048 * h}
	p[Buckle] = r3.Add(r3.Add(midHip, up), r3.Scale(0.065*h, fwd))
	p[Tailbone] = r3.Add(r3.Add(midHip, up), r3.Scale(-0.06*h, fwd))
	for o := Point(0); o < 2; o++ {
		mid := r3.Scale(0.5, r3.Add(p[LeadHip+o], p[LeadAnkle+o]))
		toe := r3.Sub(p[LeadToe+o], p[LeadHeel+o])
		toe.Y = 0
		p[LeadKnee+o] = r3.Add(mid, r3.Scale(0.045*h, r3.Unit(toe)))
	}
	sb, cb := math.Sincos(s.bend * rad)
	ss, cs := math.Sincos(s.side * rad)
	spine := r3.Vec{X: -ss, Y: cs * cb, Z: cs * sb}
	midSh := r3.Add(midHip, r3.Scale(0.288*h, spine))
	e := r3.Unit(r3.Cross(spine, r3.Vec{Z: 1}))
	f := r3.Cross(e, spine)
	st, ct := math.Sincos(s.TorsoTurn * rad)
	lat = r3.Add(r3.Scale(ct, e), r3.Scale(st, f))
	fwd = r3.Add(r3.Scale(-st, e), r3.Scale(ct, f))
	p[LeadShoulder] = r3.Add(midSh, r3.Scale(0.109*h, lat))
	p[TrailShoulder] = r3.Add(midSh, r3.Scale(-0.109*h, lat))
	chest := r3.Add(midSh, r3.Scale(-0.045*h, spine))
	p[Breastbone] = r3.Add(chest, r3.Scale(0.065*h, fwd))
	p[UpperBack] = r3.Add(chest, r3.Scale(-0.065*h, fwd))
	p[Head] = r3.Add(midSh, r3.Add(r3.Scale(0.12*h, spine), r3.Vec{Z: 0.02 * h}))
	c := r3.Unit(s.club)
	hands := r3.Scale(h, s.hands)
	p[Grip] = r3.Add(hands, r3.Scale(-0.06*h, c))
	p[LeadWrist] = r3.Add(hands, r3.Scale(-0.02*h, c))
	p[TrailWrist] = r3.Add(hands, r3.Scale(0.035*h, c))
	p[Clubhead] = r3.Add(p[Grip], r3.Scale(club, c))
	for o := Point(0); o < 2; o++ {
		mid := r3.Scale(0.5, r3.Add(p[LeadShoulder+o], p[LeadWrist+o]))
		p[LeadElbow+o] = r3.Add(mid, r3.Vec{Y: -0.03 * h, Z: 0.01 * h})
	}
	return p
}
