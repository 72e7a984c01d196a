package golfer

import "math/rand/v2"

const (
	// recoveryTime is how long the golfer takes from a finish back to address,
	// seconds, and shiftTime how long he stands on each way of his sway.
	recoveryTime, shiftTime = 2.0, 0.7
	// steadyTime is how long he stands still before he starts back.
	steadyTime = 0.6
)

// all lists the curves, in an order that is the same for all golfers.
func (c *curves) all() []*Curve {
	return []*Curve{
		&c.pelvisTurn, &c.pelvisForward, &c.pelvisSide, &c.hipX, &c.hipY, &c.hipZ,
		&c.torsoTurn, &c.forward, &c.side, &c.tilt, &c.armAround, &c.armUp, &c.elbow,
		&c.shaft, &c.plane, &c.headForward, &c.headSide, &c.gazeTurn, &c.gazeDown,
		&c.heelLift, &c.heelTurn,
	}
}

// Pause returns the motion from the finish of m to the address of the next swing, from
// time 0 to the given number of seconds, at least 3: the club is brought back, and the
// golfer sways a little where he stands, as people do (common practice, no source: some
// millimetres), until he steadies himself. Both must be golfers of one body and stance.
// It has no key positions, and its ball lies where it does at address.
func (m *Model) Pause(next *Model, seconds float64, seed uint64) *Model {
	p := &Model{Params: next.Params, Lengths: next.Lengths, leadAnkle: next.leadAnkle, trailToe: next.trailToe}
	rnd := rand.New(rand.NewPCG(seed, 0x70617573))
	p.curves = next.curves
	c := &p.curves
	sways := map[*Curve]float64{&c.hipX: 0.003, &c.hipZ: 0.003, &c.forward: 0.4, &c.torsoTurn: 0.5, &c.shaft: 0.8}
	from, to := m.curves.all(), next.curves.all()
	for i, curve := range c.all() {
		address := to[i].At(0)
		knots := []Knot{{0, from[i].At(FinishTime)}, {recoveryTime, address}}
		if by := sways[curve]; by > 0 {
			for t := recoveryTime + shiftTime; t < seconds-steadyTime-shiftTime/2; t += shiftTime {
				knots = append(knots, Knot{t, address + by*rnd.NormFloat64()})
			}
		}
		*curve = NewCurve(append(knots, Knot{seconds - steadyTime, address})...)
	}
	return p
}
