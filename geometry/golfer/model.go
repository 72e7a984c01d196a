package golfer

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Model is one golfer's swing. It does not change after New and is safe for
// concurrent use.
type Model struct {
	Params  Params
	Lengths Lengths

	curves curves
	events map[geometry.PositionName]float64

	leadAnkle, trailToe r3.Vec
}

// curves are the swing's free motions over time, degrees and metres.
//
// Each is a smooth function of time through its knots (Curve); the pose follows from them by
// forward kinematics from the pelvis up, and legs and arms by where their ends must be.
type curves struct {
	pelvisTurn, pelvisForward, pelvisSide Curve
	hipX, hipY, hipZ                      Curve
	torsoTurn, forward, side, tilt        Curve
	armAround, armUp, elbow               Curve // lead arm in the chest's frame
	shaft, plane                          Curve // club in its inclined plane
	headForward, headSide                 Curve
	gazeTurn, gazeDown                    Curve
	heelLift, heelTurn                    Curve // trail foot
}

// Mara returns the golfer of the first demo lesson.
func Mara() *Model { return New(MaraFirstVisit()) }

// New returns the model of p. It panics when the limbs can't reach, which
// only parameters far from a golfer's cause.
func New(p Params) *Model {
	m := &Model{Params: p, Lengths: p.Lengths()}
	l := &m.Lengths
	half := p.StanceWidth / 2
	m.leadAnkle = r3.Vec{X: half, Y: l.AnkleHeight}
	s, c := math.Sincos(p.TrailFlareDegrees * degree)
	m.trailToe = r3.Vec{X: -half - l.AnkleToToe*s, Y: l.SoleHeight, Z: l.AnkleToToe * c}

	m.curves = swing(p)
	m.reconcile()
	m.findEvents()
	return m
}

// Events returns the times of the key positions in seconds, found on the
// motion itself as a coach would: the shaft or the lead arm level, the club's
// turning point, the strike.
func (m *Model) Events() map[geometry.PositionName]float64 {
	out := make(map[geometry.PositionName]float64, len(m.events))
	for k, v := range m.events {
		out[k] = v
	}
	return out
}

func (m *Model) findEvents() {
	shaftRise := func(t float64) float64 {
		p := m.At(t)
		return p.Club.Front.Y
	}
	armRise := func(t float64) float64 {
		p := m.At(t)
		return p.Points[geometry.LeadWrist].Y - p.Points[geometry.LeadShoulder].Y
	}
	m.events = map[geometry.PositionName]float64{
		geometry.Address:       0,
		geometry.ClubLevelBack: crossing(shaftRise, 0.1, TopTime),
		geometry.LeadArmLevel:  crossing(armRise, 0.1, TopTime),
		geometry.Top:           crossing(m.curves.shaft.Rate, TopTime-0.1, TopTime+0.1),
		geometry.Delivery:      crossing(shaftRise, TopTime+0.1, ImpactTime),
		geometry.Impact:        ImpactTime,
		geometry.Finish:        FinishTime,
	}
}

// crossing returns where f first changes sign between from and to, by a scan
// and bisection.
//
// 60 halvings of a millisecond are below the spacing of float64: the event is exact.
func crossing(f func(float64) float64, from, to float64) float64 {
	const step = 1e-3
	last := f(from)
	for t := from + step; t < to+step; t += step {
		v := f(t)
		if (v < 0) == (last < 0) {
			continue
		}
		lo, hi := t-step, t
		for range 60 {
			mid := (lo + hi) / 2
			if (f(mid) < 0) == (last < 0) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}
	panic("golfer: no such event in the swing")
}

// Turns returns the requested turns of pelvis and torso at time t, degrees
// since address, positive away from the target.
func (m *Model) Turns(t float64) (pelvis, torso float64) {
	return m.curves.pelvisTurn.At(t), m.curves.torsoTurn.At(t)
}
