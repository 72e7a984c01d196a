package fit

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// A made-up golfer for tests. Nothing here is drawn from the priors of the fit:
// proportions and turns come from uniform ranges of their own, and bodies are
// built by their own kinematics.

// chance is where random numbers come from: a *rand.Rand, or a tape of one.
type chance interface {
	Float64() float64
	NormFloat64() float64
	IntN(int) int
}

func uniform(r chance, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

type madeBody struct {
	h                                        float64
	hipW, buckleF, buckleU, tailB, tailU     float64
	shW, breastF, chestD, backB              float64
	thigh, shank, upperArm, forearm          float64
	trunk, neck                              float64
	foot, heelBack, ankleH, soleH, stance    float64
	shoe                                     [2][2]float64 // heel and toe above the sole's usual height
	flare                                    [2]float64
	club                                     float64
	addrPelvis, addrTorso, addrBend, kneeDeg float64
}

func makeBody(r chance) madeBody {
	shoe := func() [2]float64 { return [2]float64{uniform(r, -0.007, 0.007), uniform(r, -0.007, 0.007)} }
	h := uniform(r, 1.55, 1.95)
	k := func(f, spread float64) float64 { return h * f * uniform(r, 1-spread, 1+spread) }
	return madeBody{
		h: h, hipW: k(0.108, 0.15), buckleF: uniform(r, 0.08, 0.14), buckleU: uniform(r, 0.04, 0.11),
		tailB: uniform(r, 0.08, 0.13), tailU: uniform(r, 0.04, 0.11),
		shW: k(0.21, 0.13), breastF: uniform(r, 0.08, 0.14), chestD: uniform(r, 0.04, 0.12), backB: uniform(r, 0.08, 0.14),
		thigh: k(0.245, 0.09), shank: k(0.246, 0.09), upperArm: k(0.172, 0.09), forearm: k(0.146, 0.09),
		trunk: k(0.285, 0.09), neck: k(0.13, 0.2),
		foot: k(0.155, 0.09), heelBack: k(0.037, 0.2), ankleH: k(0.05, 0.12), soleH: uniform(r, 0.012, 0.03), shoe: [2][2]float64{shoe(), shoe()},
		stance:     draw(r, [2]float64{0.30, 0.56}),
		flare:      [2]float64{draw(r, [2]float64{0, 35}), draw(r, [2]float64{-5, 28})},
		club:       uniform(r, 0.88, 1.15),
		addrPelvis: uniform(r, -8, 8), addrTorso: uniform(r, -8, 8), addrBend: draw(r, [2]float64{26, 46}), kneeDeg: draw(r, [2]float64{12, 32}),
	}
}

// madePose is the ranges of one position.
type madePose struct {
	pelvis, torso, bend, side, sway, lift, tilt [2]float64
	hands                                       r3.Vec // fractions of stature
	club                                        r3.Vec
	heel                                        [2][2]float64 // heel lift, metres
}

var madePoses = map[geometry.PositionName]madePose{
	geometry.Address:       {[2]float64{0, 0}, [2]float64{0, 0}, [2]float64{0, 0}, [2]float64{0, 9}, [2]float64{0, 0}, [2]float64{0, 0}, [2]float64{-2, 4}, r3.Vec{X: 0.02, Y: 0.43, Z: 0.21}, r3.Vec{Y: -0.87, Z: 0.5}, [2][2]float64{}},
	geometry.ClubLevelBack: {[2]float64{5, 32}, [2]float64{25, 60}, [2]float64{-3, 3}, [2]float64{-2, 8}, [2]float64{-0.05, 0.03}, [2]float64{-0.02, 0.01}, [2]float64{-6, 4}, r3.Vec{X: -0.21, Y: 0.50, Z: 0.17}, r3.Vec{X: -1, Y: 0.1, Z: 0.1}, [2][2]float64{{0, 0.01}, {0, 0}}},
	geometry.LeadArmLevel:  {[2]float64{15, 50}, [2]float64{45, 90}, [2]float64{-4, 4}, [2]float64{-4, 8}, [2]float64{-0.06, 0.03}, [2]float64{-0.02, 0.01}, [2]float64{-9, 3}, r3.Vec{X: -0.31, Y: 0.71, Z: 0.12}, r3.Vec{X: -0.2, Y: 0.9, Z: -0.35}, [2][2]float64{{0, 0.03}, {0, 0}}},
	geometry.Top:           {[2]float64{20, 68}, [2]float64{60, 118}, [2]float64{-5, 5}, [2]float64{-5, 8}, [2]float64{-0.06, 0.04}, [2]float64{-0.03, 0.02}, [2]float64{-12, 2}, r3.Vec{X: -0.2, Y: 0.90, Z: -0.04}, r3.Vec{X: 0.8, Y: 0.25, Z: 0.1}, [2][2]float64{{0, 0.06}, {0, 0}}},
	geometry.Delivery:      {[2]float64{-32, 5}, [2]float64{-5, 40}, [2]float64{-4, 4}, [2]float64{4, 20}, [2]float64{0, 0.08}, [2]float64{-0.04, 0.01}, [2]float64{0, 12}, r3.Vec{X: -0.08, Y: 0.48, Z: 0.17}, r3.Vec{X: -1, Y: 0.2, Z: -0.1}, [2][2]float64{{0, 0}, {0, 0.03}}},
	geometry.Impact:        {[2]float64{-58, -15}, [2]float64{-40, 0}, [2]float64{-6, 3}, [2]float64{8, 26}, [2]float64{0.01, 0.10}, [2]float64{-0.02, 0.03}, [2]float64{3, 15}, r3.Vec{X: 0.09, Y: 0.45, Z: 0.20}, r3.Vec{X: -0.15, Y: -0.86, Z: 0.48}, [2][2]float64{{0, 0}, {0, 0.06}}},
	geometry.Finish:        {[2]float64{-110, -70}, [2]float64{-150, -95}, [2]float64{-36, -22}, [2]float64{-4, 12}, [2]float64{0.04, 0.14}, [2]float64{0, 0.05}, [2]float64{-4, 8}, r3.Vec{X: 0.1, Y: 0.9, Z: -0.10}, r3.Vec{X: -0.5, Y: -0.2, Z: -0.8}, [2][2]float64{{0, 0}, {0.08, 0.18}}},
}

// madeFootGive is how far a foot slides, each way, and swivels at a position
// (this project's own; the captured swing of mocap_test.go slides its toe by
// 16 mm back and 15 mm through).
var madeFootGive = map[geometry.PositionName]struct{ slideM, swivelDeg float64 }{
	geometry.ClubLevelBack: {0.008, 1.5}, geometry.LeadArmLevel: {0.012, 3}, geometry.Top: {0.015, 4},
	geometry.Delivery: {0.02, 4}, geometry.Impact: {0.02, 5}, geometry.Finish: {0.03, 8},
}

// madeTimes are the instants of the positions, seconds.
var madeTimes = map[geometry.PositionName]float64{geometry.Address: 0.2, geometry.ClubLevelBack: 0.6, geometry.LeadArmLevel: 0.75, geometry.Top: 1.0, geometry.Delivery: 1.2, geometry.Impact: 1.25, geometry.Finish: 1.9}

// draw draws a number of a golfer's posture, which the information bound takes
// to be unknown before: a measurement should not lean on what golfers usually do.
func draw(r chance, x [2]float64) float64 {
	if t, ok := r.(*tape); ok {
		t.posture = true
		defer func() { t.posture = false }()
	}
	return uniform(r, x[0], x[1])
}

func rotY(deg float64) r3.Rotation { return r3.NewRotation(-deg*math.Pi/180, r3.Vec{Y: 1}) }

// bendJoint places the middle joint of a chain a-?-c of two lengths, bent
// toward the direction pole; the chain is shortened where it can't reach.
func bendJoint(a, c r3.Vec, la, lc float64, pole r3.Vec) (mid, end r3.Vec) {
	d := r3.Sub(c, a)
	n := r3.Norm(d)
	reach := math.Min(n, 0.999*(la+lc))
	u := r3.Scale(1/n, d)
	c = r3.Add(a, r3.Scale(reach, u))
	x := (la*la - lc*lc + reach*reach) / (2 * reach)
	y := math.Sqrt(math.Max(la*la-x*x, 0))
	p := r3.Unit(r3.Sub(pole, r3.Scale(r3.Dot(pole, u), u)))
	return r3.Add(a, r3.Add(r3.Scale(x, u), r3.Scale(y, p))), c
}

// makePoints poses a body at every position. forward and frontal normals for
// visibility are those of pelvis and thorax.
func makePoints(r chance, b *madeBody, names []geometry.PositionName) (pts [][geometry.NumPoints]geometry.WorldPt, facing [][2]r3.Vec) {
	ankle0 := [2]r3.Vec{}
	line := draw(r, [2]float64{-6, 6}) // the stance, open or closed
	for i, s := range [2]float64{1, -1} {
		ankle0[i] = rotY(line).Rotate(r3.Vec{X: s * b.stance / 2, Y: b.ankleH + b.soleH})
	}
	hipBack := draw(r, [2]float64{0.05, 0.13}) // mid-hip behind the ankles
	cloth := func() r3.Vec {                   // belt and shirt slide on the body
		return r3.Vec{X: 0.005 * r.NormFloat64(), Y: 0.005 * r.NormFloat64(), Z: 0.005 * r.NormFloat64()}
	}
	var addressHead geometry.WorldPt
	for _, name := range names {
		po := madePoses[name]
		var p [geometry.NumPoints]geometry.WorldPt
		knee := b.kneeDeg * math.Pi / 180
		if name == geometry.Finish || name == geometry.Impact {
			knee *= 0.4
		}
		leg := math.Sqrt(sq(b.thigh) + sq(b.shank) + 2*b.thigh*b.shank*math.Cos(knee))
		dx := math.Abs(b.stance/2 - b.hipW/2)
		hip := r3.Vec{X: draw(r, po.sway), Z: -hipBack}
		if name == geometry.Finish {
			hip.Z = -0.03
		}
		if name != geometry.Address {
			hip.Z += draw(r, [2]float64{-0.03, 0.03})
		}
		hip.Y = b.ankleH + b.soleH + math.Sqrt(math.Max(sq(leg)-sq(dx)-sq(hip.Z), 0.2)) + draw(r, po.lift)
		pelvisTurn := b.addrPelvis + draw(r, po.pelvis)
		tilt, bendP := draw(r, po.tilt), draw(r, [2]float64{5, 22})
		pelvis := func(v r3.Vec) r3.Vec { // own tilt about the hip line, side tilt, then turn
			v = r3.NewRotation(bendP*math.Pi/180, r3.Vec{X: 1}).Rotate(v)
			v = r3.NewRotation(tilt*math.Pi/180, r3.Vec{Z: 1}).Rotate(v)
			return rotY(pelvisTurn).Rotate(v)
		}
		for i, s := range [2]float64{1, -1} {
			p[geometry.LeadHip+geometry.Point(i)] = r3.Add(hip, pelvis(r3.Vec{X: s * b.hipW / 2}))
		}
		p[geometry.Buckle] = r3.Add(hip, pelvis(r3.Add(cloth(), r3.Vec{Y: b.buckleU, Z: b.buckleF})))
		p[geometry.Tailbone] = r3.Add(hip, pelvis(r3.Add(cloth(), r3.Vec{Y: b.tailU, Z: -b.tailB})))

		bend, side := b.addrBend+draw(r, po.bend), draw(r, po.side)
		torsoTurn := b.addrTorso + draw(r, po.torso)
		thorax := func(v r3.Vec) r3.Vec { // turn about the spine, side bend, forward bend
			v = rotY(torsoTurn).Rotate(v)
			v = r3.NewRotation(side*math.Pi/180, r3.Vec{Z: 1}).Rotate(v)
			return r3.NewRotation(bend*math.Pi/180, r3.Vec{X: 1}).Rotate(v)
		}
		mid := r3.Add(hip, thorax(r3.Vec{Y: b.trunk * uniform(r, 0.97, 1.02)}))
		// One shoulder stands higher on the spine than the other: a captured
		// swing shows 2 degrees at address, 12 at the top and at impact
		// (mocap_test.go).
		raised := uniform(r, -0.18, 0.18)
		if name == geometry.Address {
			raised /= 3
		}
		for i, s := range [2]float64{1, -1} {
			p[geometry.LeadShoulder+geometry.Point(i)] = r3.Add(mid, thorax(r3.Vec{X: s * b.shW / 2 * uniform(r, 0.96, 1.03), Y: s * b.shW / 2 * raised, Z: uniform(r, -0.015, 0.02)}))
		}
		p[geometry.Breastbone] = r3.Add(mid, thorax(r3.Add(cloth(), r3.Vec{Y: -b.chestD, Z: b.breastF})))
		p[geometry.UpperBack] = r3.Add(mid, thorax(r3.Add(cloth(), r3.Vec{Y: -b.chestD, Z: -b.backB})))
		neck := r3.Unit(r3.Add(thorax(r3.Vec{Y: 1}), r3.Vec{X: uniform(r, -0.1, 0.1), Y: uniform(r, 0.2, 0.4), Z: uniform(r, -0.1, 0.3)}))
		p[geometry.Head] = r3.Add(mid, r3.Scale(b.neck, neck))

		for i := range ankle0 {
			o, s := geometry.Point(i), 1-2*float64(i)
			give := madeFootGive[name]
			flare := s*b.flare[i] + uniform(r, -give.swivelDeg, give.swivelDeg)
			if i == 1 && name == geometry.Finish {
				flare = uniform(r, 10, 50)
			}
			stand := r3.Add(ankle0[i], r3.Vec{X: uniform(r, -give.slideM, give.slideM), Z: uniform(r, -give.slideM, give.slideM)})
			fwd := rotY(-flare).Rotate(r3.Vec{Z: 1})
			lift := draw(r, po.heel[i])
			length := b.foot + 0.02
			up := math.Min(lift/length, 0.9)
			level := math.Sqrt(1 - up*up)
			toe := r3.Add(stand, r3.Scale(length-b.heelBack, fwd))
			toe.Y = b.soleH + b.shoe[i][1]
			heel := r3.Add(toe, r3.Add(r3.Scale(-length*level, fwd), r3.Vec{Y: length*up + b.shoe[i][0] - b.shoe[i][1]}))
			footUp := r3.Add(r3.Scale(up, fwd), r3.Vec{Y: level})
			along := r3.Unit(r3.Sub(toe, heel))
			p[geometry.LeadHeel+o], p[geometry.LeadToe+o] = heel, toe
			ankle := r3.Add(heel, r3.Add(r3.Scale(b.heelBack, along), r3.Scale(b.ankleH, footUp)))
			pole := r3.Add(r3.Add(r3.Scale(0.7, fwd), r3.Scale(0.3, pelvis(r3.Vec{Z: 1}))), r3.Vec{X: uniform(r, -0.3, 0.3)})
			k, a := bendJoint(p[geometry.LeadHip+o], ankle, b.thigh, b.shank, pole)
			// A leg that is too short lifts the foot; keep the foot rigid.
			shift := r3.Sub(a, ankle)
			p[geometry.LeadKnee+o], p[geometry.LeadAnkle+o] = k, a
			p[geometry.LeadHeel+o], p[geometry.LeadToe+o] = r3.Add(heel, shift), r3.Add(toe, shift)
		}

		jitter := func(s float64) r3.Vec {
			return r3.Vec{X: uniform(r, -s, s), Y: uniform(r, -s, s), Z: uniform(r, -s, s)}
		}
		hands := r3.Add(r3.Scale(b.h, po.hands), jitter(0.05))
		c := r3.Unit(r3.Add(po.club, jitter(0.1)))
		soled := func() { // the club at address, its head on the ground
			x := c.X
			for k := 0; k < 8; k++ {
				y := math.Max(-0.95, (0.02-(hands.Y-0.07*c.Y-0.01))/b.club)
				c = r3.Vec{X: x, Y: y, Z: math.Sqrt(1 - x*x - y*y)}
			}
		}
		switch {
		case name == geometry.Address:
			c.X = uniform(r, -0.15, 0.05)
			soled()
		case name == geometry.Impact:
			c = r3.Unit(r3.Vec{X: c.X, Y: -math.Sqrt(1-sq(c.X)) * 0.866, Z: math.Sqrt(1-sq(c.X)) * 0.5})
			hands = r3.Sub(r3.Add(addressHead, r3.Scale(0.2, jitter(0.05))), r3.Scale(b.club-0.09, c))
		}
		// Both hands hold the club: bring it to where both reach.
		arm := 0.995 * (b.upperArm + b.forearm)
		second := func() r3.Vec { return r3.Add(hands, r3.Add(r3.Scale(0.09, c), r3.Vec{X: -0.02, Z: 0.01})) }
		for k := 0; k < 200; k++ {
			if r3.Norm(r3.Sub(hands, p[geometry.LeadShoulder])) < arm && r3.Norm(r3.Sub(second(), p[geometry.TrailShoulder])) < arm {
				break
			}
			if name == geometry.Impact && k < 100 { // lean the club toward the shoulders, its head at the ball
				c = r3.Unit(r3.Add(c, r3.Scale(0.02, r3.Unit(r3.Sub(addressHead, mid)))))
				hands = r3.Sub(addressHead, r3.Scale(b.club-0.09, c))
				continue
			}
			hands = r3.Add(hands, r3.Scale(0.01, r3.Sub(mid, hands)))
			if name == geometry.Address {
				soled()
			}
		}
		// Where an elbow points is free, as it is in golfers: in the captured
		// swing it goes round by 50 degrees on the lead side, 90 on the trail.
		pole := func() r3.Vec {
			free := [2]float64{-0.6, 0.6}
			return r3.Vec{X: draw(r, free), Y: -1 + draw(r, free), Z: -0.2 + draw(r, free)}
		}
		lead, lw := bendJoint(p[geometry.LeadShoulder], hands, b.upperArm, b.forearm, pole())
		p[geometry.LeadElbow], p[geometry.LeadWrist] = lead, lw
		p[geometry.Grip] = r3.Add(lw, r3.Add(r3.Scale(-0.07, c), r3.Vec{Y: -0.01, Z: 0.02}))
		tw := second()
		te, twr := bendJoint(p[geometry.TrailShoulder], tw, b.upperArm, b.forearm, pole())
		p[geometry.TrailElbow], p[geometry.TrailWrist] = te, twr
		p[geometry.Clubhead] = r3.Add(p[geometry.Grip], r3.Scale(b.club, c))
		if name == geometry.Address {
			addressHead = p[geometry.Clubhead]
		}
		p[geometry.Ball] = r3.Vec{X: addressHead.X + 0.04, Y: 0.02135, Z: addressHead.Z + uniform(r, -0.01, 0.01)}
		pts = append(pts, p)
		facing = append(facing, [2]r3.Vec{pelvis(r3.Vec{Z: 1}), thorax(r3.Vec{Z: 1})})
	}
	// Ball and origin as at address.
	mid := r3.Scale(0.5, r3.Add(pts[0][geometry.LeadAnkle], pts[0][geometry.TrailAnkle]))
	mid.Y = 0
	for i := range pts {
		for k := range pts[i] {
			if geometry.Point(k) == geometry.Ball {
				pts[i][k] = pts[0][k]
			}
			if i > 0 || geometry.Point(k) != geometry.Ball {
				pts[i][k] = r3.Sub(pts[i][k], mid)
			}
		}
	}
	pts[0][geometry.Ball] = r3.Sub(pts[0][geometry.Ball], mid)
	for i := range pts {
		pts[i][geometry.Ball] = pts[0][geometry.Ball]
	}
	return pts, facing
}

// standing is the centre of mass of a golfer at address, per cent of the foot
// from the heel, by thirds of the body.
func standing(p [geometry.NumPoints]geometry.WorldPt) float64 {
	c := 0.43*(p[geometry.LeadShoulder].Z+p[geometry.TrailShoulder].Z)/2 + 0.42*(p[geometry.LeadHip].Z+p[geometry.TrailHip].Z)/2 + 0.15*(p[geometry.LeadKnee].Z+p[geometry.TrailKnee].Z)/2
	heel, toe := (p[geometry.LeadHeel].Z+p[geometry.TrailHeel].Z)/2, (p[geometry.LeadToe].Z+p[geometry.TrailToe].Z)/2
	return 100 * (c - heel) / (toe - heel)
}
