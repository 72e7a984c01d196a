package explain

import (
	"math"

	"turngauge/geometry"
)

// How far the lines reach beyond what they rest on, as fractions of their own
// length.
const (
	beyondJoint = 0.35 // hip and shoulder line, at either end
	beyondToe   = 0.9
	beyondTrunk = 0.25
	beyondGrip  = 1.1 // the shaft plane, in lengths of the shaft
	beyondLeg   = 0.08
)

// shankFraction is the length knee to ankle over stature: 0.285 - 0.039
// (Drillis & Contini 1966, in Winter, Biomechanics and Motor Control of Human
// Movement).
const shankFraction = 0.246

// ankleKneeLines draws, for either leg that is marked, the line from the ankle
// through the back of the knee up to the hip's height, and across from it to the
// hip: the offset of the measure "hip offset from the ankle-knee line".
func (f *Frame) ankleKneeLines(g *Figure) {
	for side, ink := range [2]Ink{LeadInk, TrailInk} {
		trail := side == 1
		at, ok := f.spots(sided(geometry.LeadAnkle, trail), sided(geometry.LeadKnee, trail), sided(geometry.LeadHip, trail))
		if !ok {
			continue
		}
		ankle, knee, hip := at[0], at[1], at[2]
		back := f.backOfKnee(side, ankle.At, knee.At)
		t, ok := foot(ankle.At, back, hip.At)
		if !ok || t < 1 { // the hip below the knee: no ankle-knee line to speak of
			continue
		}
		level := along(ankle.At, back, t)
		g.Strokes = append(g.Strokes,
			Stroke{From: ankle.At, To: along(ankle.At, back, t*(1+beyondLeg)), Ink: ink, Dashed: trail},
			Stroke{From: level, To: hip.At, Ink: ink, Thin: true})
		g.dot(ankle, ink)
		g.Dots = append(g.Dots, Dot{back, ink, !f.Seen.HasBack[side]})
		g.dot(hip, ink)
		name := "lead hip offset from the ankle-knee line"
		if trail {
			name = "trail hip offset from the ankle-knee line"
		}
		f.number(g, name, along(level, hip.At, 0.5), f.backward(), ink)
	}
}

// backward is the direction in the picture, seen down the line, from the ball
// to the golfer: to the left for a right-hander.
func (f *Frame) backward() geometry.ImagePt {
	if f.Handed == geometry.LeftHanded {
		return geometry.ImagePt{X: 1}
	}
	return geometry.ImagePt{X: -1}
}

// backOfKnee is the picture of the back of a knee: the knee's middle moved back
// by half the knee's depth, as the fit sees it. Without a fit the shank gives
// the scale.
func (f *Frame) backOfKnee(side int, ankle, knee geometry.ImagePt) geometry.ImagePt {
	if f.Seen.HasBack[side] {
		b := f.Seen.Back[side]
		return geometry.ImagePt{X: knee.X + b.X, Y: knee.Y + b.Y}
	}
	half := geometry.KneeDepthFraction / 2 / shankFraction * dist(ankle, knee)
	return geometry.ImagePt{X: knee.X + f.backward().X*half, Y: knee.Y}
}

func (f *Frame) hipLine(g *Figure) {
	number := "pelvis turn"
	if f.Numbers[number] == "" {
		number = "pelvis tilt"
	}
	f.across(g, geometry.LeadHip, number, geometry.ImagePt{Y: 1})
}

func (f *Frame) shoulderLine(g *Figure) {
	f.across(g, geometry.LeadShoulder, "torso turn", geometry.ImagePt{Y: -1})
}

// across draws the line through a joint on both sides: its lead half solid,
// its trail half dashed.
func (f *Frame) across(g *Figure, lead geometry.Point, number string, toward geometry.ImagePt) {
	at, ok := f.spots(lead, lead.Opposite())
	if !ok {
		return
	}
	l, t := at[0].At, at[1].At
	middle := along(t, l, 0.5)
	g.Strokes = append(g.Strokes,
		Stroke{From: middle, To: along(t, l, 1+beyondJoint), Ink: LeadInk},
		Stroke{From: middle, To: along(l, t, 1+beyondJoint), Ink: TrailInk, Dashed: true})
	g.dot(at[0], LeadInk)
	g.dot(at[1], TrailInk)
	f.numberOfFront(g, number, along(t, l, 1+beyondJoint), toward, LeadInk)
}

// footLines draws the direction of each foot that is marked.
func (f *Frame) footLines(g *Figure) {
	for side, ink := range [2]Ink{LeadInk, TrailInk} {
		trail := side == 1
		at, ok := f.spots(sided(geometry.LeadHeel, trail), sided(geometry.LeadToe, trail))
		if !ok {
			continue
		}
		end := along(at[0].At, at[1].At, 1+beyondToe)
		g.Strokes = append(g.Strokes, Stroke{From: at[0].At, To: end, Ink: ink, Dashed: trail, Arrow: true})
		g.dot(at[0], ink)
		g.dot(at[1], ink)
		name := "lead foot flare"
		if trail {
			name = "trail foot flare"
		}
		f.numberOfFront(g, name, end, geometry.ImagePt{Y: 1}, ink)
	}
}

// trunkLine draws the line from the middle of the hips to that of the shoulders
// and beside it the vertical, from which it is read.
func (f *Frame) trunkLine(g *Figure) {
	at, ok := f.spots(geometry.LeadHip, geometry.TrailHip, geometry.LeadShoulder, geometry.TrailShoulder)
	if !ok {
		return
	}
	low, high := along(at[0].At, at[1].At, 0.5), along(at[2].At, at[3].At, 0.5)
	length := dist(low, high)
	up := geometry.ImagePt{Y: -1}
	if f.Seen.HasUp {
		up = f.Seen.Up
	}
	n := math.Hypot(up.X, up.Y)
	end := along(low, high, 1+beyondTrunk)
	g.Strokes = append(g.Strokes,
		Stroke{From: low, To: geometry.ImagePt{X: low.X + up.X/n*length, Y: low.Y + up.Y/n*length}, Ink: MiddleInk, Thin: true, Dashed: true},
		Stroke{From: low, To: end, Ink: MiddleInk})
	g.Dots = append(g.Dots, Dot{low, MiddleInk, false}, Dot{high, MiddleInk, false})
	number := "torso side bend"
	if f.View == geometry.DownTheLine {
		number = "forward bend"
	}
	f.number(g, number, end, geometry.ImagePt{X: high.X - low.X, Y: high.Y - low.Y}, MiddleInk)
}

// shaftPlane draws the plane through the shaft at address and the target
// direction as it is seen down the line: at address along the shaft itself, at
// other positions where it passes the clubhead, with the way from there to the
// clubhead.
func (f *Frame) shaftPlane(g *Figure) {
	grip, head := f.Shaft[0].At, f.Shaft[1].At
	from, to := head, along(head, grip, 1+beyondGrip)
	if f.Position != geometry.Address && f.Seen.HasPlane {
		from, to = f.Seen.Plane[0], f.Seen.Plane[1]
	}
	g.Strokes = append(g.Strokes, Stroke{From: from, To: to, Ink: MiddleInk})
	if f.Position == geometry.Address {
		g.dot(f.Shaft[0], MiddleInk)
		g.dot(f.Shaft[1], MiddleInk)
		f.number(g, "shaft plane", along(from, to, 0.8), f.backward(), MiddleInk)
		return
	}
	club := f.Spots[geometry.Clubhead]
	if !club.Known {
		return
	}
	t, ok := foot(from, to, club.At)
	if !ok {
		return
	}
	level := along(from, to, t)
	if dist(level, club.At) > 0 {
		g.Strokes = append(g.Strokes, Stroke{From: level, To: club.At, Ink: MiddleInk, Thin: true})
	}
	if t > 1 { // the plane is drawn as far as the clubhead's height
		g.Strokes = append(g.Strokes, Stroke{From: to, To: level, Ink: MiddleInk})
	}
	g.dot(club, MiddleInk)
	f.number(g, "club above plane", along(level, club.At, 0.5), f.backward(), MiddleInk)
}
