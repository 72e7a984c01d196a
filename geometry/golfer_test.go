package geometry

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// A made-up golfer for tests, filmed by made-up phones. Nothing here is drawn
// from the priors of the fit: proportions, turns and cameras come from uniform
// ranges of their own, bodies are built by their own kinematics, and marks are
// misplaced with fat tails.

type film struct {
	points [][NumPoints]WorldPt // true, by position
	cams   []Camera
	swing  Swing // marks with errors
	clean  Swing // the same marks without
	truth  map[string]float64
}

type filmOptions struct {
	views     []View
	positions []PositionName
	handed    Handed
	stick     bool
	stature   bool
	focal     bool // the focal length is known from the file
	clean     bool
	fatTails  bool
	wideHips  bool    // the coach marks the outside of the hips, 0.191 of stature
	heavy     float64 // share of marks placed 15-50 px off
}

func uniform(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

type madeBody struct {
	h                                        float64
	hipW, buckleF, buckleU, tailB, tailU     float64
	shW, breastF, chestD, backB              float64
	thigh, shank, upperArm, forearm          float64
	trunk, neck                              float64
	foot, heelBack, ankleH, soleH, stance    float64
	flare                                    [2]float64
	club                                     float64
	addrPelvis, addrTorso, addrBend, kneeDeg float64
}

func makeBody(r *rand.Rand) madeBody {
	h := uniform(r, 1.55, 1.95)
	k := func(f, spread float64) float64 { return h * f * uniform(r, 1-spread, 1+spread) }
	return madeBody{
		h: h, hipW: k(0.108, 0.15), buckleF: uniform(r, 0.08, 0.14), buckleU: uniform(r, 0.04, 0.11),
		tailB: uniform(r, 0.08, 0.13), tailU: uniform(r, 0.04, 0.11),
		shW: k(0.21, 0.13), breastF: uniform(r, 0.08, 0.14), chestD: uniform(r, 0.04, 0.12), backB: uniform(r, 0.08, 0.14),
		thigh: k(0.245, 0.09), shank: k(0.246, 0.09), upperArm: k(0.172, 0.09), forearm: k(0.146, 0.09),
		trunk: k(0.285, 0.09), neck: k(0.13, 0.2),
		foot: k(0.155, 0.09), heelBack: k(0.037, 0.2), ankleH: k(0.05, 0.12), soleH: uniform(r, 0.012, 0.03),
		stance:     uniform(r, 0.30, 0.56),
		flare:      [2]float64{uniform(r, 0, 35), uniform(r, -5, 28)},
		club:       uniform(r, 0.88, 1.15),
		addrPelvis: uniform(r, -8, 8), addrTorso: uniform(r, -8, 8), addrBend: uniform(r, 26, 46), kneeDeg: uniform(r, 12, 32),
	}
}

// madePose is the ranges of one position.
type madePose struct {
	pelvis, torso, bend, side, sway, lift, tilt [2]float64
	hands                                       r3.Vec // fractions of stature
	club                                        r3.Vec
	heel                                        [2][2]float64 // heel lift, metres
}

var madePoses = map[PositionName]madePose{
	Address:       {[2]float64{0, 0}, [2]float64{0, 0}, [2]float64{0, 0}, [2]float64{0, 9}, [2]float64{0, 0}, [2]float64{0, 0}, [2]float64{-2, 4}, r3.Vec{X: 0.02, Y: 0.43, Z: 0.21}, r3.Vec{Y: -0.87, Z: 0.5}, [2][2]float64{}},
	ClubLevelBack: {[2]float64{5, 32}, [2]float64{25, 60}, [2]float64{-3, 3}, [2]float64{-2, 8}, [2]float64{-0.05, 0.03}, [2]float64{-0.02, 0.01}, [2]float64{-6, 4}, r3.Vec{X: -0.21, Y: 0.50, Z: 0.17}, r3.Vec{X: -1, Y: 0.1, Z: 0.1}, [2][2]float64{{0, 0.01}, {0, 0}}},
	LeadArmLevel:  {[2]float64{15, 50}, [2]float64{45, 90}, [2]float64{-4, 4}, [2]float64{-4, 8}, [2]float64{-0.06, 0.03}, [2]float64{-0.02, 0.01}, [2]float64{-9, 3}, r3.Vec{X: -0.31, Y: 0.71, Z: 0.12}, r3.Vec{X: -0.2, Y: 0.9, Z: -0.35}, [2][2]float64{{0, 0.03}, {0, 0}}},
	Top:           {[2]float64{20, 68}, [2]float64{60, 118}, [2]float64{-5, 5}, [2]float64{-5, 8}, [2]float64{-0.06, 0.04}, [2]float64{-0.03, 0.02}, [2]float64{-12, 2}, r3.Vec{X: -0.2, Y: 0.90, Z: -0.04}, r3.Vec{X: 0.8, Y: 0.25, Z: 0.1}, [2][2]float64{{0, 0.06}, {0, 0}}},
	Delivery:      {[2]float64{-32, 5}, [2]float64{-5, 40}, [2]float64{-4, 4}, [2]float64{4, 20}, [2]float64{0, 0.08}, [2]float64{-0.04, 0.01}, [2]float64{0, 12}, r3.Vec{X: -0.08, Y: 0.48, Z: 0.17}, r3.Vec{X: -1, Y: 0.2, Z: -0.1}, [2][2]float64{{0, 0}, {0, 0.03}}},
	Impact:        {[2]float64{-58, -15}, [2]float64{-40, 0}, [2]float64{-6, 3}, [2]float64{8, 26}, [2]float64{0.01, 0.10}, [2]float64{-0.02, 0.03}, [2]float64{3, 15}, r3.Vec{X: 0.09, Y: 0.45, Z: 0.20}, r3.Vec{X: -0.15, Y: -0.86, Z: 0.48}, [2][2]float64{{0, 0}, {0, 0.06}}},
	Finish:        {[2]float64{-110, -70}, [2]float64{-150, -95}, [2]float64{-36, -22}, [2]float64{-4, 12}, [2]float64{0.04, 0.14}, [2]float64{0, 0.05}, [2]float64{-4, 8}, r3.Vec{X: 0.1, Y: 0.9, Z: -0.10}, r3.Vec{X: -0.5, Y: -0.2, Z: -0.8}, [2][2]float64{{0, 0}, {0.08, 0.18}}},
}

// madeTimes are the instants of the positions, seconds.
var madeTimes = map[PositionName]float64{Address: 0.2, ClubLevelBack: 0.6, LeadArmLevel: 0.75, Top: 1.0, Delivery: 1.2, Impact: 1.25, Finish: 1.9}

func draw(r *rand.Rand, x [2]float64) float64 { return uniform(r, x[0], x[1]) }

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
func makePoints(r *rand.Rand, b *madeBody, names []PositionName) (pts [][NumPoints]WorldPt, facing [][2]r3.Vec) {
	ankle0 := [2]r3.Vec{}
	for i, s := range [2]float64{1, -1} {
		ankle0[i] = r3.Vec{X: s * b.stance / 2, Y: b.ankleH + b.soleH}
	}
	hipBack := uniform(r, 0.05, 0.13) // mid-hip behind the ankles
	var addressClub, addressHead WorldPt
	for _, name := range names {
		po := madePoses[name]
		var p [NumPoints]WorldPt
		knee := b.kneeDeg * math.Pi / 180
		if name == Finish || name == Impact {
			knee *= 0.4
		}
		leg := math.Sqrt(sq(b.thigh) + sq(b.shank) + 2*b.thigh*b.shank*math.Cos(knee))
		dx := math.Abs(b.stance/2 - b.hipW/2)
		hip := r3.Vec{X: draw(r, po.sway), Z: -hipBack}
		if name == Finish {
			hip.Z = -0.03
		}
		hip.Y = b.ankleH + b.soleH + math.Sqrt(math.Max(sq(leg)-sq(dx)-sq(hip.Z), 0.2)) + draw(r, po.lift)
		pelvisTurn := b.addrPelvis + draw(r, po.pelvis)
		tilt, bendP := draw(r, po.tilt), uniform(r, 5, 22)
		pelvis := func(v r3.Vec) r3.Vec { // own tilt about the hip line, side tilt, then turn
			v = r3.NewRotation(bendP*math.Pi/180, r3.Vec{X: 1}).Rotate(v)
			v = r3.NewRotation(tilt*math.Pi/180, r3.Vec{Z: 1}).Rotate(v)
			return rotY(pelvisTurn).Rotate(v)
		}
		for i, s := range [2]float64{1, -1} {
			p[LeadHip+Point(i)] = r3.Add(hip, pelvis(r3.Vec{X: s * b.hipW / 2}))
		}
		p[Buckle] = r3.Add(hip, pelvis(r3.Vec{X: 0.004 * r.NormFloat64(), Y: b.buckleU, Z: b.buckleF}))
		p[Tailbone] = r3.Add(hip, pelvis(r3.Vec{X: 0.004 * r.NormFloat64(), Y: b.tailU, Z: -b.tailB}))

		bend, side := b.addrBend+draw(r, po.bend), draw(r, po.side)
		torsoTurn := b.addrTorso + draw(r, po.torso)
		thorax := func(v r3.Vec) r3.Vec { // turn about the spine, side bend, forward bend
			v = rotY(torsoTurn).Rotate(v)
			v = r3.NewRotation(side*math.Pi/180, r3.Vec{Z: 1}).Rotate(v)
			return r3.NewRotation(bend*math.Pi/180, r3.Vec{X: 1}).Rotate(v)
		}
		mid := r3.Add(hip, thorax(r3.Vec{Y: b.trunk * uniform(r, 0.97, 1.02)}))
		for i, s := range [2]float64{1, -1} {
			p[LeadShoulder+Point(i)] = r3.Add(mid, thorax(r3.Vec{X: s * b.shW / 2 * uniform(r, 0.96, 1.03), Z: uniform(r, -0.015, 0.02)}))
		}
		p[Breastbone] = r3.Add(mid, thorax(r3.Vec{X: 0.004 * r.NormFloat64(), Y: -b.chestD, Z: b.breastF}))
		p[UpperBack] = r3.Add(mid, thorax(r3.Vec{X: 0.004 * r.NormFloat64(), Y: -b.chestD, Z: -b.backB}))
		neck := r3.Unit(r3.Add(thorax(r3.Vec{Y: 1}), r3.Vec{Y: 0.3, Z: 0.1}))
		p[Head] = r3.Add(mid, r3.Scale(b.neck, neck))

		for i := range ankle0 {
			o, s := Point(i), 1-2*float64(i)
			flare := s * b.flare[i]
			if i == 1 && name == Finish {
				flare = uniform(r, 10, 50)
			}
			fwd := rotY(-flare).Rotate(r3.Vec{Z: 1})
			lift := draw(r, po.heel[i])
			length := b.foot + 0.02
			up := math.Min(lift/length, 0.9)
			level := math.Sqrt(1 - up*up)
			toe := r3.Add(ankle0[i], r3.Scale(length-b.heelBack, fwd))
			toe.Y = b.soleH
			heel := r3.Add(toe, r3.Add(r3.Scale(-length*level, fwd), r3.Vec{Y: length * up}))
			footUp := r3.Add(r3.Scale(up, fwd), r3.Vec{Y: level})
			along := r3.Unit(r3.Sub(toe, heel))
			p[LeadHeel+o], p[LeadToe+o] = heel, toe
			ankle := r3.Add(heel, r3.Add(r3.Scale(b.heelBack, along), r3.Scale(b.ankleH, footUp)))
			pole := r3.Add(r3.Scale(0.7, fwd), r3.Scale(0.3, pelvis(r3.Vec{Z: 1})))
			k, a := bendJoint(p[LeadHip+o], ankle, b.thigh, b.shank, pole)
			// A leg that is too short lifts the foot; keep the foot rigid.
			shift := r3.Sub(a, ankle)
			p[LeadKnee+o], p[LeadAnkle+o] = k, a
			p[LeadHeel+o], p[LeadToe+o] = r3.Add(heel, shift), r3.Add(toe, shift)
		}

		jitter := func(s float64) r3.Vec {
			return r3.Vec{X: uniform(r, -s, s), Y: uniform(r, -s, s), Z: uniform(r, -s, s)}
		}
		hands := r3.Add(r3.Scale(b.h, po.hands), jitter(0.05))
		c := r3.Unit(r3.Add(po.club, jitter(0.1)))
		if name == Impact || name == Address {
			c = r3.Unit(r3.Vec{X: c.X, Y: -math.Sqrt(1-sq(c.X)) * 0.866, Z: math.Sqrt(1-sq(c.X)) * 0.5})
			if name == Impact && addressClub != (WorldPt{}) {
				hands = r3.Sub(r3.Add(addressHead, r3.Scale(0.2, jitter(0.05))), r3.Scale(b.club-0.09, c))
			}
		}
		pole := r3.Vec{Y: -1, Z: -0.2}
		lead, lw := bendJoint(p[LeadShoulder], hands, b.upperArm, b.forearm, pole)
		p[LeadElbow], p[LeadWrist] = lead, lw
		p[Grip] = r3.Add(lw, r3.Add(r3.Scale(-0.07, c), r3.Vec{Y: -0.01, Z: 0.02}))
		tw := r3.Add(lw, r3.Add(r3.Scale(0.09, c), r3.Vec{X: -0.02, Z: 0.01}))
		te, twr := bendJoint(p[TrailShoulder], tw, b.upperArm, b.forearm, pole)
		p[TrailElbow], p[TrailWrist] = te, twr
		p[Clubhead] = r3.Add(p[Grip], r3.Scale(b.club, c))
		if name == Address {
			addressClub = p[Grip]
			addressHead = p[Clubhead]
			// Drop the club to the ground.
			t := math.Asin(math.Min(0.95, (p[Grip].Y-0.02)/b.club))
			p[Clubhead] = r3.Add(p[Grip], r3.Vec{Y: -math.Sin(t) * b.club, Z: math.Cos(t) * b.club})
			addressHead = p[Clubhead]
		}
		p[Ball] = r3.Vec{X: addressHead.X + 0.04, Y: ballRadiusM, Z: addressHead.Z + uniform(r, -0.01, 0.01)}
		pts = append(pts, p)
		facing = append(facing, [2]r3.Vec{pelvis(r3.Vec{Z: 1}), thorax(r3.Vec{Z: 1})})
	}
	// Ball and origin as at address.
	mid := r3.Scale(0.5, r3.Add(pts[0][LeadAnkle], pts[0][TrailAnkle]))
	mid.Y = 0
	for i := range pts {
		for k := range pts[i] {
			if Point(k) == Ball {
				pts[i][k] = pts[0][k]
			}
			if i > 0 || Point(k) != Ball {
				pts[i][k] = r3.Sub(pts[i][k], mid)
			}
		}
	}
	pts[0][Ball] = r3.Sub(pts[0][Ball], mid)
	for i := range pts {
		pts[i][Ball] = pts[0][Ball]
	}
	return pts, facing
}

// standing is the centre of mass of a golfer at address, per cent of the foot
// from the heel, by thirds of the body.
func standing(p [NumPoints]WorldPt) float64 {
	c := 0.43*(p[LeadShoulder].Z+p[TrailShoulder].Z)/2 + 0.42*(p[LeadHip].Z+p[TrailHip].Z)/2 + 0.15*(p[LeadKnee].Z+p[TrailKnee].Z)/2
	heel, toe := (p[LeadHeel].Z+p[TrailHeel].Z)/2, (p[LeadToe].Z+p[TrailToe].Z)/2
	return 100 * (c - heel) / (toe - heel)
}

func makeCamera(r *rand.Rand, v View) Camera {
	w, h := 1920, 1080
	long := 1920.0
	if r.IntN(2) == 0 {
		w, h = h, w
	}
	aim := r3.Vec{X: uniform(r, -0.15, 0.15), Y: uniform(r, 0.75, 1.05), Z: uniform(r, 0, 0.3)}
	dist := uniform(r, 3, 5.5)
	yaw := uniform(r, -7, 7) * math.Pi / 180
	pos := r3.Vec{X: dist * math.Sin(yaw), Z: dist * math.Cos(yaw)}
	if v == DownTheLine {
		pos = r3.Vec{X: -dist * math.Cos(yaw), Z: dist * math.Sin(yaw)}
		aim.X = 0
	}
	pos = r3.Add(pos, aim)
	pos.Y = uniform(r, 0.7, 1.4)
	return Camera{Position: pos, Rotation: LookAt(pos, aim, uniform(r, -2.5, 2.5)*math.Pi/180),
		FocalPx: uniform(r, 0.68, 0.86) * long, Width: w, Height: h}
}

// makeFilm makes a golfer, films and marks it.
func makeFilm(r *rand.Rand, o filmOptions) *film {
	f := &film{}
	var b madeBody
	var facing [][2]r3.Vec
	for try := 0; ; try++ {
		b = makeBody(r)
		if o.wideHips {
			b.hipW *= 0.191 / 0.108
		}
		f.points, facing = makePoints(r, &b, o.positions)
		if c := standing(f.points[0]); c > 25 && c < 75 || try > 100 {
			break // someone who would not fall over
		}
	}
	sw := Swing{Golfer: Golfer{Handed: o.handed}, ClubLengthM: b.club + 0.005*r.NormFloat64()}
	if o.stature {
		sw.Golfer.StatureM = b.h + 0.015*r.NormFloat64()
		sw.Golfer.StatureSigmaM = 0.015
	}
	for _, n := range o.positions {
		p := Position{Name: n}
		for range o.views {
			p.Seconds = append(p.Seconds, madeTimes[n])
			p.FrameSeconds = append(p.FrameSeconds, 1.0/240)
		}
		sw.Positions = append(sw.Positions, p)
	}
	stickYaw := 1.2 * r.NormFloat64() * math.Pi / 180
	stick := [2]r3.Vec{{X: uniform(r, -0.9, -0.4), Z: uniform(r, 0.25, 1.1)}}
	stick[1] = r3.Add(stick[0], r3.Vec{X: 1.22 * math.Cos(stickYaw), Z: 1.22 * math.Sin(stickYaw)})
	for _, v := range o.views {
		cam := makeCamera(r, v)
		f.cams = append(f.cams, cam)
		c := Clip{View: v, Width: cam.Width, Height: cam.Height}
		if o.focal {
			c.FocalPx, c.FocalRelSigma = cam.FocalPx*(1+0.05*r.NormFloat64()), 0.05
		}
		if o.stick {
			l := GroundLine{LengthM: 1.22, Along: AlongTargetLine}
			for i := range stick {
				e, _ := cam.Project(stick[i])
				e.X += clickSigmaPx * r.NormFloat64()
				e.Y += clickSigmaPx * r.NormFloat64()
				l.Ends[i] = e
			}
			c.GroundLines = []GroundLine{l}
		}
		sw.Clips = append(sw.Clips, c)
	}
	f.clean = sw
	for pos := range o.positions {
		for c, v := range o.views {
			for pt := Point(0); pt < NumPoints; pt++ {
				if pt == Ball && o.positions[pos] != Address {
					continue
				}
				if !seen(&f.cams[c], f.points[pos][pt], pt, facing[pos]) {
					continue
				}
				at, err := f.cams[c].Project(f.points[pos][pt])
				if err != nil {
					continue
				}
				m := Mark{Clip: c, Position: pos, Point: pt, At: at}
				f.clean.Marks = append(f.clean.Marks, m)
				z := f.cams[c].ToCamera(f.points[pos][pt]).Z
				sd := math.Hypot(2.5, 0.008*f.cams[c].FocalPx/z)
				if v == DownTheLine && pt.Side() == Lead {
					sd *= 2.2
				}
				tail := 1.0
				if o.fatTails { // Student t with 6 degrees of freedom, scaled to the same sd
					var chi float64
					for k := 0; k < 6; k++ {
						chi += sq(r.NormFloat64())
					}
					tail = math.Sqrt(6/chi) * math.Sqrt(4.0/6)
				}
				if !o.clean {
					m.At.X += sd * tail * r.NormFloat64()
					m.At.Y += sd * tail * r.NormFloat64()
				}
				if o.heavy > 0 && r.Float64() < o.heavy {
					a := uniform(r, 0, 2*math.Pi)
					d := uniform(r, 15, 50)
					m.At.X += d * math.Cos(a)
					m.At.Y += d * math.Sin(a)
				}
				sw.Marks = append(sw.Marks, m)
			}
		}
	}
	if o.handed == LeftHanded {
		mirrorSwing(&sw)
		mirrorSwing(&f.clean)
	}
	f.swing = sw
	f.truth = map[string]float64{}
	for _, m := range MeasuresOf(Golfer{StatureM: typicalOr(sw.Golfer.StatureM)}, sw.Positions, f.points) {
		f.truth[m.Name+" / "+string(m.Position)] = m.Value
	}
	return f
}

func typicalOr(h float64) float64 {
	if h > 0 {
		return h
	}
	return typicalStatureM
}

func mirrorSwing(sw *Swing) {
	sw.Golfer.Handed = LeftHanded
	sw.Marks = append([]Mark(nil), sw.Marks...)
	for i := range sw.Marks {
		sw.Marks[i].At.X = float64(sw.Clips[sw.Marks[i].Clip].Width) - sw.Marks[i].At.X
	}
	sw.Clips = append([]Clip(nil), sw.Clips...)
	for i := range sw.Clips {
		c := &sw.Clips[i]
		c.GroundLines = append([]GroundLine(nil), c.GroundLines...)
		for k := range c.GroundLines {
			for j := range c.GroundLines[k].Ends {
				c.GroundLines[k].Ends[j].X = float64(c.Width) - c.GroundLines[k].Ends[j].X
			}
		}
	}
}

// seen says whether a front or rear point of the trunk faces a camera; other
// points are always taken as visible.
func seen(c *Camera, at r3.Vec, pt Point, facing [2]r3.Vec) bool {
	var n r3.Vec
	switch pt {
	case Buckle:
		n = facing[0]
	case Tailbone:
		n = r3.Scale(-1, facing[0])
	case Breastbone:
		n = facing[1]
	case UpperBack:
		n = r3.Scale(-1, facing[1])
	default:
		return true
	}
	return r3.Dot(n, r3.Unit(r3.Sub(c.Position, at))) > 0.05
}

var bothViews = []View{FaceOn, DownTheLine}
