package golfer

import "cmp"

// swing returns the key poses of a full swing. Turns scale with the turns at
// the top that p asks for; the other numbers are a plausible iron swing, read
// against the trade's own descriptions of good positions (common practice, no
// source).
//
// The shaft's angle runs in its plane from 0 (pointing down) through 90
// (level, pointing away from the target) to about 258 at the top and back
// through 0 to the other side. The plane's own angle is its slope to the
// ground. Where the hips are grows with Size.
func swing(p Params) curves {
	k := func(t, v float64) Knot { return Knot{t, v} }
	pt, tt, sw := p.PelvisTurnTopDegrees, p.TorsoTurnTopDegrees, p.SwayTop
	const imp = ImpactTime
	// A fuller turn lifts the trail hip on the leaning pelvis; sitting a little
	// lower keeps the trail knee bent.
	sit := 0.0010 * (pt - 38)
	size := cmp.Or(p.Size, 1)
	h := func(t, v float64) Knot { return Knot{t, size * v} }
	return curves{
		pelvisTurn: NewCurve(k(0, 0), k(takeawayTime, 0.11*pt), k(0.42, 0.56*pt), k(0.62, 0.93*pt), k(TopTime, pt),
			k(0.94, 0.36*pt), k(imp, -38), k(releaseTime, -66), k(1.40, -86), k(FinishTime, -92)),
		pelvisForward: NewCurve(k(0, 20), k(0.42, 20), k(TopTime, 19), k(0.94, 20), k(imp, 13), k(releaseTime, 6), k(1.40, 0), k(FinishTime, -3)),
		pelvisSide:    NewCurve(k(0, 1), k(0.45, 3), k(TopTime, 4), k(0.94, 3), k(imp, 3), k(1.3, 3), k(FinishTime, 0)),
		hipX:          NewCurve(h(0, 0.004), h(0.42, -0.016+0.6*sw), h(0.70, -0.014+sw), h(0.94, 0.030), h(imp, 0.058), h(releaseTime, 0.090), h(1.40, 0.135), h(FinishTime, 0.150)),
		hipY:          NewCurve(h(0, 0.886), h(0.45, 0.874-0.7*sit), h(TopTime, 0.866-sit), h(0.94, 0.850), h(imp, 0.862), h(releaseTime, 0.880), h(1.40, 0.892), h(FinishTime, 0.895)),
		hipZ:          NewCurve(h(0, -0.065), h(TopTime, -0.065), h(0.94, -0.066), h(imp, -0.052), h(releaseTime, -0.040), h(1.40, -0.030), h(FinishTime, -0.025)),

		torsoTurn: NewCurve(k(0, 0), k(takeawayTime, 0.14*tt), k(0.42, 0.57*tt), k(0.62, 0.88*tt), k(TopTime, tt),
			k(0.94, 0.56*tt), k(imp, -24), k(releaseTime, -74), k(1.40, -108), k(FinishTime, -116)),
		forward: NewCurve(k(0, 32.5+p.Bend), k(0.42, 33+p.Bend), k(TopTime, 33+p.Bend), k(0.94, 35+p.Bend), k(imp, 34+p.Bend), k(releaseTime, 24), k(1.40, 7), k(FinishTime, 0)),
		side:    NewCurve(k(0, 6), k(0.42, 5), k(TopTime, 4), k(0.94, 6), k(imp, 9.5), k(releaseTime, 13), k(1.40, 7), k(FinishTime, 3)),
		tilt:    NewCurve(k(0, 7), k(0.42, 3), k(TopTime, 1), k(0.94, 1), k(imp, 1), k(releaseTime, 1), k(1.40, 0), k(FinishTime, 0)),

		armAround: NewCurve(k(0, 20), k(takeawayTime, 22), k(0.42, 32), k(0.62, 48), k(TopTime, 58), k(0.94, 50), k(imp, 27), k(extensionTime, 28), k(releaseTime, 28), k(1.40, 18), k(FinishTime, 10)),
		armUp:     NewCurve(k(0, -34), k(takeawayTime, -34), k(0.42, -24), k(0.62, -3), k(TopTime, 12), k(0.94, -12), k(imp, -36), k(extensionTime, -30), k(releaseTime, -10), k(1.40, 32), k(FinishTime, 42)),
		elbow:     NewCurve(k(0, 8), k(TopTime, 11), k(0.94, 8), k(imp, 6), k(releaseTime, 16), k(1.40, 88), k(FinishTime, 116)),

		shaft: NewCurve(k(0, 3), k(takeawayTime, 25), k(0.42, 105), k(0.62, 205), k(0.74, 254.5), k(TopTime, 258), k(0.86, 252),
			k(0.94, 205), k(1.01, 107), k(imp, 7), k(extensionTime, -92), k(releaseTime, -175), k(1.40, -285), k(FinishTime, -318)),
		plane: NewCurve(k(0, 60), k(0.42, 56), k(0.62, 60), k(TopTime, 57), k(0.94, 54), k(imp, 61), k(releaseTime, 56), k(1.40, 40), k(FinishTime, 30)),

		headForward: NewCurve(k(0, 38), k(TopTime, 34), k(imp, 40), k(releaseTime, 32), k(1.40, 10), k(FinishTime, 4)),
		headSide:    NewCurve(k(0, 3), k(TopTime, -3), k(imp, 10), k(releaseTime, 14), k(1.40, 4), k(FinishTime, 1)),
		gazeTurn:    NewCurve(k(0, 0), k(TopTime, -13), k(imp, -8), k(releaseTime, 14), k(1.40, 70), k(FinishTime, 86)),
		gazeDown:    NewCurve(k(0, 52), k(TopTime, 50), k(imp, 53), k(releaseTime, 42), k(1.40, 10), k(FinishTime, 2)),

		heelLift: NewCurve(k(imp, 0), k(releaseTime, 24), k(1.40, 58), k(FinishTime, 68)),
		heelTurn: NewCurve(k(imp, 0), k(releaseTime, 18), k(1.40, 50), k(FinishTime, 62)),
	}
}
