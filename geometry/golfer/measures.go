package golfer

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// Points is the place of every point at one instant, metres.
type Points = [geometry.NumPoints]geometry.WorldPt

// Measures returns the true values of the measures at a key position by name:
// degrees, centimetres, per cent, ratio or seconds, as geometry.Definitions
// says. It is written from the definitions alone, on plain vectors, so that it
// can check the fit's own formulas.
func (m *Model) Measures(name geometry.PositionName) map[string]float64 {
	at := m.At(m.events[name])
	address := m.At(m.events[geometry.Address])
	q := measuring{m: m, now: at.Points, start: address.Points}
	v := map[string]float64{}
	q.body(v)
	if name != geometry.Finish {
		q.ankleKneeLine(v, "lead", geometry.LeadHip)
		q.ankleKneeLine(v, "trail", geometry.TrailHip)
	}
	if name != geometry.Address {
		q.sinceAddress(v, &at, &address)
	}
	switch name {
	case geometry.Address:
		q.setUp(v)
	case geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Delivery:
		v["club above plane"] = 100 * q.abovePlane()
	case geometry.Top:
		v["lead arm height"] = elevation(r3.Sub(q.now[geometry.LeadWrist], q.now[geometry.LeadShoulder]))
		v["shaft angle at the top"] = elevation(r3.Sub(q.now[geometry.Clubhead], q.now[geometry.Grip]))
	}
	switch name {
	case geometry.Delivery:
		back := m.At(m.events[geometry.ClubLevelBack])
		v["plane change"] = wrap(q.clubElevation(q.now) - q.clubElevation(back.Points))
	case geometry.Impact:
		up := m.events[geometry.Top] - m.events[geometry.Address]
		down := m.events[geometry.Impact] - m.events[geometry.Top]
		v["backswing time"], v["downswing time"], v["tempo"] = up, down, up/down
	}
	return v
}

type measuring struct {
	m          *Model
	now, start Points
}

// middle is half way between a point and its opposite, metres.
func middle(p *Points, lead geometry.Point) r3.Vec {
	return r3.Scale(0.5, r3.Add(p[lead], p[lead.Opposite()]))
}

// across is the way from the trail to the lead one of a pair, metres.
func across(p *Points, lead geometry.Point) r3.Vec { return r3.Sub(p[lead], p[lead.Opposite()]) }

// elevation is the angle of d over the horizontal, degrees.
//
// By asin here and by atan2 in package geometry: two ways to one number, so that a slip in
// one shows.
func elevation(d r3.Vec) float64 { return math.Asin(d.Y/r3.Norm(d)) / degree }

// heading is the direction of d in the ground plane, degrees from the target
// toward the ball: for a hip line this is its turn away from the target.
func heading(d r3.Vec) float64 { return math.Atan2(d.Z, d.X) / degree }

// wrap brings an angle to between -180 and 180 degrees.
func wrap(a float64) float64 { return math.Remainder(a, 360) }

func (q *measuring) body(v map[string]float64) {
	v["pelvis tilt"] = elevation(across(&q.now, geometry.LeadHip))
	s := r3.Sub(middle(&q.now, geometry.LeadShoulder), middle(&q.now, geometry.LeadHip))
	v["torso side bend"] = math.Atan2(-s.X, s.Y) / degree
	v["forward bend"] = math.Atan2(s.Z, s.Y) / degree
	v["lead knee flex"] = bend(q.now[geometry.LeadHip], q.now[geometry.LeadKnee], q.now[geometry.LeadAnkle])
	v["trail knee flex"] = bend(q.now[geometry.TrailHip], q.now[geometry.TrailKnee], q.now[geometry.TrailAnkle])
}

// ankleKneeLine compares the hip with the line through the ankle and the back of
// the knee, seen along the target line: x is left out.
func (q *measuring) ankleKneeLine(v map[string]float64, side string, hip geometry.Point) {
	a, k, h := q.now[hip+geometry.LeadAnkle-geometry.LeadHip], q.now[hip+geometry.LeadKnee-geometry.LeadHip], q.now[hip]
	back := r3.Vec{Y: k.Y, Z: k.Z - q.m.Lengths.KneeHalfDepth}
	a.X, h.X = 0, 0
	line := r3.Unit(r3.Sub(back, a))
	rear := r3.Vec{Y: line.Z, Z: -line.Y} // square to the line, behind it
	offset := r3.Dot(r3.Sub(h, a), rear)
	v[side+" hip offset from the ankle-knee line"] = 100 * offset
	v[side+" hip offset from the ankle-knee line over shank"] = offset / q.m.Lengths.Shank
	thigh := r3.Sub(h, back)
	v[side+" hip angle from the ankle-knee line"] = math.Atan2(r3.Dot(thigh, rear), r3.Dot(thigh, line)) / degree
}

// axial is the turn about the long axis of a frame that is left when the
// axis' own lean, forward and then sideways, is taken away, degrees.
//
// The rotation is read from directions and not from a sequence of matrices: lead without turn
// would lie square to the axis and to its forward part; what lead makes with that, about the
// axis, is the turn. It agrees with the last angle of Grood & Suntay's sequence, by another way.
func axial(f Frame) float64 {
	// Forward lean turns the vertical in the z-y plane, side lean then tips
	// it in the plane of the axis and the target.
	axis := r3.Unit(f.Up)
	forward := r3.Unit(r3.Vec{Y: -axis.Z, Z: axis.Y}) // square to x and to the axis' forward part
	side := r3.Cross(axis, forward)                   // where lead points without turn
	lead := r3.Unit(r3.Sub(f.Lead, r3.Scale(r3.Dot(f.Lead, axis), axis)))
	return math.Atan2(r3.Dot(lead, forward), r3.Dot(lead, side)) / degree
}

func (q *measuring) sinceAddress(v map[string]float64, at, address *Pose) {
	pelvis := heading(across(&q.now, geometry.LeadHip)) - heading(across(&q.start, geometry.LeadHip))
	torso := heading(across(&q.now, geometry.LeadShoulder)) - heading(across(&q.start, geometry.LeadShoulder))
	v["pelvis turn"], v["torso turn"] = wrap(pelvis), wrap(torso)
	v["separation"] = wrap(torso - pelvis)
	v["pelvis turn about its own axis"] = wrap(axial(at.Pelvis) - axial(address.Pelvis))
	spine := func(p *Pose) Frame {
		up := r3.Sub(middle(&p.Points, geometry.LeadShoulder), middle(&p.Points, geometry.LeadHip))
		return Frame{Up: up, Lead: across(&p.Points, geometry.LeadShoulder)}
	}
	v["torso turn about the spine"] = wrap(axial(spine(at)) - axial(spine(address)))

	travel := func(names [3]string, d r3.Vec) {
		v[names[0]], v[names[1]], v[names[2]] = 100*d.X, 100*d.Y, 100*d.Z
	}
	travel([3]string{"sway", "pelvis height change", "pelvis toward the ball"}, r3.Sub(middle(&q.now, geometry.LeadHip), middle(&q.start, geometry.LeadHip)))
	for _, p := range [...]geometry.Point{geometry.Head, geometry.LeadKnee} {
		s := p.String() + " travel "
		travel([3]string{s + "to target", s + "up", s + "to ball"}, r3.Sub(q.now[p], q.start[p]))
	}
}

func (q *measuring) setUp(v map[string]float64) {
	flare := func(heel, toe geometry.Point, out float64) float64 {
		d := r3.Sub(q.now[toe], q.now[heel])
		return math.Atan2(out*d.X, d.Z) / degree
	}
	v["lead foot flare"] = flare(geometry.LeadHeel, geometry.LeadToe, 1)
	v["trail foot flare"] = flare(geometry.TrailHeel, geometry.TrailToe, -1)
	d := across(&q.now, geometry.LeadHeel)
	width := math.Hypot(d.X, d.Z)
	v["stance width"] = 100 * width
	v["stance width over shoulder breadth"] = width / r3.Norm(across(&q.now, geometry.LeadShoulder))
	v["balance"] = q.balance()
	s := q.shaftAtAddress()
	v["shaft plane"] = math.Atan2(-s.Y, s.Z) / degree
}

func (q *measuring) shaftAtAddress() r3.Vec {
	return r3.Sub(q.start[geometry.Clubhead], q.start[geometry.Grip])
}

// abovePlane is the clubhead's distance from the plane through the shaft at
// address and the target direction, metres.
func (q *measuring) abovePlane() float64 {
	up := r3.Unit(r3.Cross(q.shaftAtAddress(), r3.Vec{X: -1}))
	if up.Y < 0 {
		up = r3.Scale(-1, up)
	}
	return r3.Dot(r3.Sub(q.now[geometry.Clubhead], q.start[geometry.Clubhead]), up)
}

// clubElevation is the angle over the ground, seen along the target line, of
// the clubhead about its place at address, degrees.
func (q *measuring) clubElevation(p Points) float64 {
	d := r3.Sub(p[geometry.Clubhead], q.start[geometry.Clubhead])
	return math.Atan2(d.Y, -d.Z) / degree
}

// balance places the whole-body centre of mass along the feet: per cent from
// heel to toe in the ground plane, the mean of both feet. Masses and centres
// are those of a woman in de Leva (1996); the head's centre is the head, the
// hand's the wrist.
func (q *measuring) balance() float64 {
	p := &q.now
	var sum r3.Vec
	total := 0.0
	put := func(mass, part float64, a, b r3.Vec) {
		sum = r3.Add(sum, r3.Scale(mass, r3.Add(a, r3.Scale(part, r3.Sub(b, a)))))
		total += mass
	}
	put(6.68, 0, p[geometry.Head], p[geometry.Head])
	put(42.57, 0.3782, middle(p, geometry.LeadShoulder), middle(p, geometry.LeadHip))
	for side := geometry.Point(0); side < 2; side++ {
		put(2.55, 0.5754, p[geometry.LeadShoulder+side], p[geometry.LeadElbow+side])
		put(1.38, 0.4559, p[geometry.LeadElbow+side], p[geometry.LeadWrist+side])
		put(0.56, 0, p[geometry.LeadWrist+side], p[geometry.LeadWrist+side])
		put(14.78, 0.3612, p[geometry.LeadHip+side], p[geometry.LeadKnee+side])
		put(4.81, 0.4352, p[geometry.LeadKnee+side], p[geometry.LeadAnkle+side])
		put(1.29, 0.4014, p[geometry.LeadHeel+side], p[geometry.LeadToe+side])
	}
	c := r3.Scale(1/total, sum)
	mean := 0.0
	for side := geometry.Point(0); side < 2; side++ {
		heel := p[geometry.LeadHeel+side]
		foot, d := r3.Sub(p[geometry.LeadToe+side], heel), r3.Sub(c, heel)
		foot.Y, d.Y = 0, 0
		mean += 50 * r3.Dot(foot, d) / r3.Dot(foot, foot)
	}
	return mean
}
