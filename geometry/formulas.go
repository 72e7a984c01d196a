package geometry

import "math"

// The measures as functions of 3-D points; definitions.go says in words what
// each is. All take the points through a reader, which differentiates.

// Slot is a position that a measure reads.
type Slot int

// The slots: the position measured, the address, and the position a change is
// counted from.
const (
	Here Slot = iota
	AtAddress
	Before
	NumSlots = iota
)

// Pose is where the golfer is at the positions that a measure reads.
//
// Places are metres in the world of the right-hander (left-handers mirrored), and may come from
// anywhere: the fit, a golfer of known truth, a capture.
type Pose struct {
	// At returns the place of a point at the position in a slot.
	At       func(slot Slot, p Point) WorldPt
	Sex      Sex
	StatureM float64
	Finish   bool // the position measured is the finish
}

// Value is the measure of a pose, in its Unit.
func (d *Definition) Value(p *Pose) float64 {
	return d.value(&reader{Pose: p, seedSlot: -1}).v
}

// Derivative is the derivative of the measure by one coordinate of a point, Unit
// per metre: index is three times the point plus 0, 1 or 2 for x, y or z.
func (d *Definition) Derivative(p *Pose, slot Slot, index int) float64 {
	return d.value(&reader{Pose: p, seedSlot: slot, seedIndex: index}).d
}

// Gradient is the measure with its derivatives by the coordinates of all points
// of the golfer, 3·NumBody for each slot, nil for a slot it does not read.
//
// Forward differentiation costs one evaluation for each coordinate that is read, and the first
// one finds out which are: some 12 to 60 of the 69. The derivatives are exact, on a branch of
// atan2 as well, where differences would jump.
func (d *Definition) Gradient(p *Pose) (v float64, by [NumSlots][]float64) {
	var used [NumSlots][NumBody]bool
	r := &reader{Pose: p, seedSlot: -1, used: &used}
	v = d.value(r).v
	r.used = nil
	for slot := range used {
		for pt := range used[slot] {
			if !used[slot][pt] {
				continue
			}
			if by[slot] == nil {
				by[slot] = make([]float64, 3*NumBody)
			}
			for i := 3 * pt; i < 3*pt+3; i++ {
				r.seedSlot, r.seedIndex = Slot(slot), i
				by[slot][i] = d.value(r).d
			}
		}
	}
	return v, by
}

// reader gives a formula its points as duals and records which it used.
type reader struct {
	*Pose
	seedSlot  Slot // what is differentiated by; −1 for nothing
	seedIndex int
	used      *[NumSlots][NumBody]bool
}

func (r *reader) pt(slot Slot, p Point) dvec {
	if r.used != nil {
		r.used[slot][p] = true
	}
	v := r.At(slot, p)
	out := dvec{num(v.X), num(v.Y), num(v.Z)}
	if slot == r.seedSlot && r.seedIndex/3 == int(p) {
		switch r.seedIndex % 3 {
		case 0:
			out.x.d = 1
		case 1:
			out.y.d = 1
		case 2:
			out.z.d = 1
		}
	}
	return out
}

func (r *reader) mid(slot Slot, a Point) dvec {
	return midpoint(r.pt(slot, a), r.pt(slot, a.Opposite()))
}

// headingOf is the direction in the ground plane of the line trail → lead,
// positive turned away from the target.
//
// Of the line's direction (x, y, z) it is atan2(z, x), radians: 0 for a line along the target
// line, a quarter for one whose lead end points at the ball. A slope y does not enter,
// which is what makes it an angle in the ground plane.
func (r *reader) headingOf(slot Slot, lead Point) dual {
	d := r.pt(slot, lead).sub(r.pt(slot, lead.Opposite()))
	return datan2(d.z, d.x)
}

// turnBranch puts a turn since address on the branch a golfer can reach: from
// 135 degrees toward the target to 225 away before the finish, and from 315
// toward to 45 away at it.
//
// A heading is known to within full turns only. The branches leave a quarter turn or more
// of room beyond what is reached either way: 45 to 60 of pelvis and 90 to 110 of torso away in a
// backswing, 100 to 130 toward in a finish (common practice, no source).
func (r *reader) turnBranch(a dual) dual {
	if r.Finish {
		return wrapAbove(a, -315*math.Pi/180)
	}
	return wrapAbove(a, -135*math.Pi/180)
}

func (r *reader) turn(lead Point) dual {
	return r.turnBranch(r.headingOf(Here, lead).sub(r.headingOf(AtAddress, lead)))
}

func pelvisTurn(r *reader) dual { return r.turn(LeadHip).degrees() }
func torsoTurn(r *reader) dual  { return r.turn(LeadShoulder).degrees() }
func separation(r *reader) dual { return r.turn(LeadShoulder).sub(r.turn(LeadHip)).degrees() }

// axialAngle is the last angle, about the segment's own long axis, of the
// order flexion - side bend - axial turn (Grood & Suntay 1983, intrinsic
// Z-X-Y of the ISB axes X forward, Y up, Z right), positive turned away. lat
// is the segment's direction toward the lead side, up its long axis.
func axialAngle(lat, up dvec) dual {
	y := up.unit()
	fwd := lat.cross(y).unit() // lead × up = forward
	right := fwd.cross(y)      // ISB: X × Y = Z
	// World in ISB letters: X = z, Y = y, Z = −x. gamma = atan2(−R31, R33).
	gamma := datan2(fwd.x, right.x.scale(-1))
	return gamma.scale(-1)
}

func (r *reader) pelvisAxial(slot Slot) dual {
	lat := r.pt(slot, LeadHip).sub(r.pt(slot, TrailHip))
	fwd := r.pt(slot, Buckle).sub(r.pt(slot, Tailbone))
	return axialAngle(lat, fwd.cross(lat))
}

func (r *reader) torsoAxial(slot Slot) dual {
	lat := r.pt(slot, LeadShoulder).sub(r.pt(slot, TrailShoulder))
	return axialAngle(lat, r.mid(slot, LeadShoulder).sub(r.mid(slot, LeadHip)))
}

func pelvisTurnOwn(r *reader) dual {
	return r.turnBranch(r.pelvisAxial(Here).sub(r.pelvisAxial(AtAddress))).degrees()
}

func torsoTurnOwn(r *reader) dual {
	return r.turnBranch(r.torsoAxial(Here).sub(r.torsoAxial(AtAddress))).degrees()
}

// pelvisTilt is the slope of the hip line: its rise over its level length. It is positive
// where the lead hip is the higher.
func pelvisTilt(r *reader) dual {
	d := r.pt(Here, LeadHip).sub(r.pt(Here, TrailHip))
	return datan2(d.y, dhypot(d.x, d.z)).degrees()
}

func (r *reader) spine() dvec { return r.mid(Here, LeadShoulder).sub(r.mid(Here, LeadHip)) }

// torsoSideBend and forwardBend are the two lean angles of the spine s, mid-hip to
// mid-shoulder, each in its own plane: atan2(−s.x, s.y) seen from the front, atan2(s.z,
// s.y) seen along the target line. They are projections and no sequence of rotations, so
// that each is what a coach sees in that view.
func torsoSideBend(r *reader) dual {
	s := r.spine()
	return datan2(s.x.scale(-1), s.y).degrees()
}

func forwardBend(r *reader) dual {
	s := r.spine()
	return datan2(s.z, s.y).degrees()
}

// kneeFlex is 180 degrees less the angle between the thigh a and the shank b, both from the
// knee. The angle is atan2(|a×b|, a·b), which unlike acos keeps its digits near a straight
// leg (Kahan 2006, How futile are mindless assessments of roundoff, section 12).
func kneeFlex(hip Point) func(*reader) dual {
	side := hip - LeadHip
	return func(r *reader) dual {
		a := r.pt(Here, hip).sub(r.pt(Here, LeadKnee+side))
		b := r.pt(Here, LeadAnkle+side).sub(r.pt(Here, LeadKnee+side))
		angle := datan2(a.cross(b).norm(), a.dot(b))
		return num(math.Pi).sub(angle).degrees()
	}
}

// KneeDepthFraction is the depth of the knee, front to back, as a fraction of
// stature: 11.7 cm at 1.72 m (this project's figure, from memory of adult
// survey tables; the ankle-knee line is defined with it, so it carries no error).
const KneeDepthFraction = 0.068

// ankleKneeLine returns the ankle, the back of the knee and the hip of one leg in
// the sagittal plane; x is dropped.
//
// The sagittal plane here is the world's, ball line and vertical, which is what the view down the
// line shows; of a leg that is turned out the line is its projection.
func (r *reader) ankleKneeLine(hip Point) (ankle, back, h dvec) {
	side := hip - LeadHip
	ankle, back, h = r.pt(Here, LeadAnkle+side), r.pt(Here, LeadKnee+side), r.pt(Here, hip)
	back.z = back.z.shift(-KneeDepthFraction / 2 * r.StatureM)
	return ankle, back, h
}

// hipOffset is the distance in metres of the hip behind the line.
//
// With u from the ankle to the back of the knee and h from the ankle to the hip, both in
// the sagittal plane (z to the ball, y up), it is the cross product (h.y u.z − h.z u.y)/|u|.
func (r *reader) hipOffset(hip Point) dual {
	a, b, h := r.ankleKneeLine(hip)
	uz, uy := b.z.sub(a.z), b.y.sub(a.y)
	hz, hy := h.z.sub(a.z), h.y.sub(a.y)
	return hy.mul(uz).sub(hz.mul(uy)).div(dhypot(uz, uy))
}

func legOffset(hip Point) func(*reader) dual {
	return func(r *reader) dual { return r.hipOffset(hip).centimetres() }
}

func legOffsetOverShank(hip Point) func(*reader) dual {
	side := hip - LeadHip
	return func(r *reader) dual {
		shank := r.pt(Here, LeadKnee+side).sub(r.pt(Here, LeadAnkle+side)).norm()
		return r.hipOffset(hip).div(shank)
	}
}

func legAngle(hip Point) func(*reader) dual {
	return func(r *reader) dual {
		a, b, h := r.ankleKneeLine(hip)
		uz, uy := b.z.sub(a.z), b.y.sub(a.y)
		vz, vy := h.z.sub(b.z), h.y.sub(b.y)
		// Positive where the thigh leans further back than the line.
		return datan2(vy.mul(uz).sub(vz.mul(uy)), uz.mul(vz).add(uy.mul(vy))).degrees()
	}
}

// footFlare is the angle of heel to toe from the ball line: atan2(±x, z), the sign such that
// a toe turned away from the other foot is positive on either side.
func footFlare(heel Point) func(*reader) dual {
	side := heel - LeadHeel
	sign := 1 - 2*float64(side)
	return func(r *reader) dual {
		d := r.pt(Here, LeadToe+side).sub(r.pt(Here, heel))
		return datan2(d.x.scale(sign), d.z).degrees()
	}
}

func (r *reader) stance() dual {
	d := r.pt(Here, LeadHeel).sub(r.pt(Here, TrailHeel))
	return dhypot(d.x, d.z)
}

func stanceWidth(r *reader) dual { return r.stance().centimetres() }

func stanceOverShoulders(r *reader) dual {
	return r.stance().div(r.pt(Here, LeadShoulder).sub(r.pt(Here, TrailShoulder)).norm())
}

// balance is where the vertical through the centre of mass c meets each foot: its level
// offset from the heel along the foot f, f·(c − heel)/|f|², as a share of the foot's length;
// the mean of the two feet, per cent.
func balance(r *reader) dual {
	c := centreOfMass(r.Sex, func(p Point) dvec { return r.pt(Here, p) })
	var sum dual
	for side := Point(0); side < 2; side++ {
		heel := r.pt(Here, LeadHeel+side)
		f, d := r.pt(Here, LeadToe+side).sub(heel), c.sub(heel)
		level := f.x.mul(d.x).add(f.z.mul(d.z))
		sum = sum.add(level.div(f.x.mul(f.x).add(f.z.mul(f.z))))
	}
	return sum.scale(50)
}

// The axes of a displacement.
const (
	toTarget = iota
	upward
	toBall
)

func component(v dvec, axis int) dual {
	switch axis {
	case toTarget:
		return v.x
	case upward:
		return v.y
	default:
		return v.z
	}
}

func hipTravel(axis int) func(*reader) dual {
	return func(r *reader) dual {
		return component(r.mid(Here, LeadHip).sub(r.mid(AtAddress, LeadHip)), axis).centimetres()
	}
}

func pointTravel(p Point, axis int) func(*reader) dual {
	return func(r *reader) dual {
		return component(r.pt(Here, p).sub(r.pt(AtAddress, p)), axis).centimetres()
	}
}

// planeAngle is the inclination of the address shaft plane, radians.
//
// The plane holds the shaft s and the x axis; its inclination is that of s seen along x,
// atan2(s.y, −s.z), s pointing from the clubhead up to the grip, away from the ball.
func (r *reader) planeAngle() dual {
	s := r.pt(AtAddress, Grip).sub(r.pt(AtAddress, Clubhead))
	return datan2(s.y, s.z.scale(-1))
}

func shaftPlane(r *reader) dual { return r.planeAngle().degrees() }

// clubAbovePlane is the distance of the clubhead from the plane through the shaft at address
// and the target direction: d the clubhead's way since address, n = (0, cos a, sin a) the
// plane's upward normal at the inclination a, the distance d·n. A derivative goes through
// a as well, which the shaft's marks at address make uncertain.
func clubAbovePlane(r *reader) dual {
	a := r.planeAngle()
	sin, cos := dual{math.Sin(a.v), math.Cos(a.v) * a.d}, dual{math.Cos(a.v), -math.Sin(a.v) * a.d}
	d := r.pt(Here, Clubhead).sub(r.pt(AtAddress, Clubhead))
	return d.y.mul(cos).add(d.z.mul(sin)).centimetres()
}

// clubElevation is the angle, seen along the target line, of the line from the
// clubhead's place at address to the clubhead, above the ground behind the
// ball.
//
// The place of the clubhead at address is used, and not the ball's: it is marked in both
// views, and a club that comes back to where it stood has changed no plane.
func (r *reader) clubElevation(slot Slot) dual {
	d := r.pt(slot, Clubhead).sub(r.pt(AtAddress, Clubhead))
	return datan2(d.y, d.z.scale(-1))
}

func planeChange(r *reader) dual {
	return wrapDual(r.clubElevation(Here).sub(r.clubElevation(Before))).degrees()
}

// The slope of a line over its own level length, whichever way it points: 0 is level, 90
// degrees straight up. shaftAngle is the same of the shaft.
func leadArmHeight(r *reader) dual {
	d := r.pt(Here, LeadWrist).sub(r.pt(Here, LeadShoulder))
	return datan2(d.y, dhypot(d.x, d.z)).degrees()
}

func shaftAngle(r *reader) dual {
	d := r.pt(Here, Clubhead).sub(r.pt(Here, Grip))
	return datan2(d.y, dhypot(d.x, d.z)).degrees()
}
