package golfer

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Pose is the golfer at one instant.
type Pose struct {
	// Points holds every point that a coach can mark, metres in the world.
	Points [geometry.NumPoints]geometry.WorldPt
	// Pelvis has its origin at mid-hip, Chest at mid-shoulder, Head at the
	// centre of the head.
	Pelvis, Chest, Head Frame
	// A foot's frame has its origin at the ankle, Front along the foot and
	// Up square to the sole.
	LeadFoot, TrailFoot Frame
	// A hand's frame has its origin in its middle, on the grip's axis; Up
	// points along the shaft to the butt, Front away from the wrist.
	LeadHand, TrailHand Frame
	// Club has its origin at the butt, Front along the shaft to the head, Up
	// square to the swing plane toward the toe of the head, Lead square to
	// both, which is where the face looks at impact.
	Club Frame
	// Reach is the largest stretch of a limb: its ends' distance as a part of
	// its length. Below 1 nothing is torn.
	Reach float64
}

// At returns the pose at time t in seconds. Before the swing starts and
// after it ends the golfer stands still.
func (m *Model) At(t float64) Pose {
	var p Pose
	c := &m.curves
	mid := r3.Vec{X: c.hipX.At(t), Y: c.hipY.At(t), Z: c.hipZ.At(t)}
	p.Pelvis = turned(mid, lean(c.pelvisForward.At(t), c.pelvisSide.At(t)), c.pelvisTurn.At(t), 0)
	spine := lean(c.forward.At(t), c.side.At(t))
	p.Chest = turned(r3.Add(mid, r3.Scale(m.Lengths.Trunk, spine)), spine, c.torsoTurn.At(t), c.tilt.At(t))
	m.trunk(&p, t)
	m.legs(&p, t)
	m.arms(&p, t)
	p.Points[geometry.Ball] = m.ball(t)
	return p
}

// trunk places hips, belt, shoulders, chest and head, all fixed in their segment's frame: the
// made-up golfer keeps these lengths to the last digit, as no real one does. The head hangs
// on the middle of the shoulders by the neck, and turns on its own, as the gaze does.
func (m *Model) trunk(p *Pose, t float64) {
	l, c := &m.Lengths, &m.curves
	hip, shoulder := l.HipBreadth/2, l.ShoulderBreadth/2
	p.Points[geometry.LeadHip] = p.Pelvis.At(hip, 0, 0)
	p.Points[geometry.TrailHip] = p.Pelvis.At(-hip, 0, 0)
	p.Points[geometry.Buckle] = p.Pelvis.At(0, l.BeltUp, l.BeltFront)
	p.Points[geometry.Tailbone] = p.Pelvis.At(0, l.BeltUp, -l.BeltRear)
	p.Points[geometry.LeadShoulder] = p.Chest.At(shoulder, 0, 0)
	p.Points[geometry.TrailShoulder] = p.Chest.At(-shoulder, 0, 0)
	p.Points[geometry.Breastbone] = p.Chest.At(0, -l.ChestDown, l.ChestFront)
	p.Points[geometry.UpperBack] = p.Chest.At(0, -l.ChestDown, -l.ChestRear)

	neck := lean(c.headForward.At(t), c.headSide.At(t))
	o := r3.Add(p.Chest.O, r3.Scale(l.NeckToHead, neck))
	turn, down := c.gazeTurn.At(t)*degree, c.gazeDown.At(t)*degree
	front := r3.Vec{
		X: math.Sin(turn) * math.Cos(down),
		Y: -math.Sin(down),
		Z: math.Cos(turn) * math.Cos(down),
	}
	lead := r3.Unit(r3.Cross(r3.Add(neck, r3.Vec{Y: 0.6}), front))
	p.Head = Frame{O: o, Lead: lead, Up: r3.Cross(front, lead), Front: front}
	p.Points[geometry.Head] = o
}

// legs places the feet, which the ground holds, and bends each knee between hip and ankle.
// The lead ankle and the trail toe stay where they are; the trail heel lifts and turns about
// its toe. A knee bends toward a mean of where its foot and the pelvis point, weighted six to
// four (this project's own): bones fix its distance from both ends and leave a circle.
func (m *Model) legs(p *Pose, t float64) {
	l, c := &m.Lengths, &m.curves
	p.LeadFoot = foot(m.Params.LeadFlareDegrees, 0)
	p.LeadFoot.O = m.leadAnkle
	p.TrailFoot = foot(-m.Params.TrailFlareDegrees+c.heelTurn.At(t), c.heelLift.At(t))
	drop := l.AnkleHeight - l.SoleHeight
	p.TrailFoot.O = r3.Sub(m.trailToe, p.TrailFoot.Dir(0, -drop, l.AnkleToToe))

	leg := func(hip, knee, ankle, heel, toe geometry.Point, f Frame) {
		p.Points[ankle] = f.O
		p.Points[heel] = f.At(0, -drop, -l.AnkleToHeel)
		p.Points[toe] = f.At(0, -drop, l.AnkleToToe)
		flat := r3.Unit(r3.Vec{X: f.Front.X, Z: f.Front.Z})
		pole := r3.Add(r3.Scale(0.6, flat), r3.Scale(0.4, p.Pelvis.Front))
		var reach float64
		p.Points[knee], reach = elbow(p.Points[hip], f.O, l.Thigh, l.Shank, pole)
		p.Reach = math.Max(p.Reach, reach)
	}
	leg(geometry.LeadHip, geometry.LeadKnee, geometry.LeadAnkle, geometry.LeadHeel, geometry.LeadToe, p.LeadFoot)
	leg(geometry.TrailHip, geometry.TrailKnee, geometry.TrailAnkle, geometry.TrailHeel, geometry.TrailToe, p.TrailFoot)
}

// foot returns the frame of a foot that points yaw degrees toward the target
// from square, with its heel raised by lift degrees about the toe.
func foot(yaw, lift float64) Frame {
	s, c := math.Sincos(yaw * degree)
	flat, lead := r3.Vec{X: s, Z: c}, r3.Vec{X: c, Z: -s}
	s, c = math.Sincos(lift * degree)
	front := r3.Add(r3.Scale(c, flat), r3.Vec{Y: -s})
	return Frame{Lead: lead, Up: r3.Cross(front, lead), Front: front}
}

// arms places the arms and the club: the lead arm by two angles in the chest's frame, the
// shaft by its angle in an inclined plane, the trail hand on the grip below the lead one. So
// the club's plane is a curve of its own, known exactly at every instant.
func (m *Model) arms(p *Pose, t float64) {
	l, c := &m.Lengths, &m.curves
	// The lead arm points where the chest's frame says, as long as its elbow
	// allows.
	around, up := c.armAround.At(t)*degree, c.armUp.At(t)*degree
	dir := p.Chest.Dir(-math.Sin(around)*math.Cos(up), math.Sin(up), math.Cos(around)*math.Cos(up))
	shoulder := p.Points[geometry.LeadShoulder]
	wrist := r3.Add(shoulder, r3.Scale(span(l.UpperArm, l.Forearm, c.elbow.At(t)), dir))
	pole := r3.Add(r3.Add(r3.Vec{Y: -0.8}, r3.Scale(0.35, p.Chest.Lead)), r3.Scale(-0.15, p.Chest.Front))
	elbowAt, _ := elbow(shoulder, wrist, l.UpperArm, l.Forearm, pole)
	p.Points[geometry.LeadElbow], p.Points[geometry.LeadWrist] = elbowAt, wrist

	// The shaft runs in an inclined plane; the hand lies between forearm and
	// shaft.
	sp, cp := math.Sincos(c.plane.At(t) * degree)
	st, ct := math.Sincos(c.shaft.At(t) * degree)
	shaft := r3.Vec{X: -st, Y: -ct * sp, Z: ct * cp}
	normal := r3.Vec{Y: cp, Z: sp}
	hand := r3.Unit(r3.Add(r3.Unit(r3.Sub(wrist, elbowAt)), r3.Scale(handToShaft, shaft)))
	middle := r3.Add(wrist, r3.Scale(l.Hand, hand))
	club := &m.Params.Club
	p.Club = Frame{
		O:    r3.Sub(middle, r3.Scale(club.GripLead, shaft)),
		Lead: r3.Cross(normal, shaft), Up: normal, Front: shaft,
	}
	p.Points[geometry.Grip] = p.Club.O
	p.Points[geometry.Clubhead] = p.Sole(club).At(0, club.HeadUp, club.HeadOut)
	p.LeadHand = handFrame(middle, shaft, hand)

	// The trail hand follows on the same grip. Where its wrist is depends on
	// where the elbow is and the other way round; a few rounds settle it.
	shoulder = p.Points[geometry.TrailShoulder]
	middle = r3.Add(middle, r3.Scale(club.GripGap, shaft))
	pole = r3.Add(r3.Add(r3.Vec{Y: -0.8}, r3.Scale(-0.35, p.Chest.Lead)), r3.Scale(-0.2, p.Chest.Front))
	from := shoulder
	var reach float64
	for range trailRounds {
		hand = r3.Unit(r3.Add(r3.Unit(r3.Sub(middle, from)), r3.Scale(handToShaft, shaft)))
		wrist = r3.Sub(middle, r3.Scale(l.Hand, hand))
		elbowAt, reach = elbow(shoulder, wrist, l.UpperArm, l.Forearm, pole)
		from = elbowAt
	}
	p.Reach = math.Max(p.Reach, reach)
	p.Points[geometry.TrailElbow], p.Points[geometry.TrailWrist] = elbowAt, wrist
	p.TrailHand = handFrame(middle, shaft, hand)
}

const (
	// handToShaft is how far a hand leans from the forearm's line to the
	// shaft's.
	handToShaft = 0.6
	// trailRounds fixes how often the trail wrist is settled: a fixed number
	// keeps the motion smooth.
	trailRounds = 6
)

// Sole returns the frame of the club's head: its origin where the shaft's
// axis meets the ground, Front along the sole to the toe, Up square to the
// sole, Lead where the face looks.
func (p *Pose) Sole(c *Club) Frame {
	s, k := math.Sincos(c.LieDegrees * degree)
	return Frame{
		O:     p.Club.At(0, 0, c.Length),
		Lead:  p.Club.Lead,
		Up:    p.Club.Dir(0, k, -s),
		Front: p.Club.Dir(0, s, k),
	}
}

// handFrame returns the frame of a hand that holds the shaft at o and comes
// from a wrist behind it along hand.
func handFrame(o, shaft, hand r3.Vec) Frame {
	front := r3.Unit(r3.Sub(hand, r3.Scale(r3.Dot(hand, shaft), shaft)))
	up := r3.Scale(-1, shaft)
	return Frame{O: o, Lead: r3.Cross(up, front), Up: up, Front: front}
}

// ball returns the ball's centre: at rest until the strike, then on a
// straight flight under gravity.
func (m *Model) ball(t float64) r3.Vec {
	p := &m.Params
	dt := t - ImpactTime
	if dt <= 0 {
		return p.Ball
	}
	su, cu := math.Sincos(p.LaunchDegrees * degree)
	ss, cs := math.Sincos(p.StartDegrees * degree)
	const gravity = 9.81
	d := p.BallSpeed * dt
	return r3.Add(p.Ball, r3.Vec{X: d * cu * cs, Y: d*su - gravity*dt*dt/2, Z: d * cu * ss})
}
