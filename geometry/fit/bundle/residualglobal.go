package bundle

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// globalTerms adds what touches the shared unknowns alone: lengths, cameras,
// the ground, the ball and the feet's shared places.
//
// Lengths are logarithms. Body proportions hang on stature h, so that the prior
// of a segment of the golfer is
//
//	log L − log h ~ N(log fraction, logSigma²),  log h ~ N(log of what is said, …),
//
// and one long thigh says a little of the other lengths through h. The club's
// is by itself.
//
// With a stature that is told, σ 15 mm, lengths are known to the spread of proportions, 4 to
// 10 per cent; with none, an adult's is known to 5.5 per cent and the scale of the picture
// comes mostly from the club or a stick: distances are then good to that, and angles hardly
// suffer.
//
// Heel and toe heights of one golfer are N(mean, shoeApart²) about a mean that is N(shoeHeight,
// shoeHeight²): the same shoes, on the same ground, clicked by the same hand. The residual of
// point k is yₖ − Σyⱼ/4, whose derivatives are 1 − 1/4 by its own height and −1/4 by the other
// three. The four of them sum to zero, so that one is a combination of the others; together
// with the term of the mean they still have full rank.
func (e *evaluator) globalTerms() {
	st := e.st
	stature := st.g[e.oStature]
	e.r.Reset()
	e.r.Global(e.oStature, 1)
	e.emit(-1, stature-math.Log(e.statureM), e.statureLog)
	for l := range geometry.SegmentPriors {
		prior := &geometry.SegmentPriors[l]
		e.r.Reset()
		e.r.Global(e.oLengths+l, 1)
		if l == geometry.SegmentClub {
			e.emit(-1, st.g[e.oLengths+l]-math.Log(e.clubM), e.clubLog)
			continue
		}
		e.r.Global(e.oStature, -1)
		e.emitHeavy(-1, st.g[e.oLengths+l]-stature-math.Log(prior.Fraction), prior.LogSigma)
	}
	// Heights of the feet's shared places. Those of an ankle are by stature;
	// those of heels and toes hang together as y = mean + own, the mean a
	// quarter of each.
	for k, pt := range plantedPoints {
		o := e.oPlanted + 3*k
		e.r.Reset()
		e.r.Global(o+1, 1)
		switch pt {
		case geometry.LeadAnkle, geometry.TrailAnkle:
			h := ankleFraction * math.Exp(stature)
			e.r.Global(e.oStature, -h)
			e.emit(-1, st.g[o+1]-h-soleM, ankleHeightSigmaM)
		default: // heels and toes: one shoe, with something of its own at each
			e.r.Reset()
			var mean float64
			for j := 2; j < len(plantedPoints); j++ {
				share := 0.25
				if j == k {
					share -= 1
				}
				y := e.oPlanted + 3*j + 1
				mean += st.g[y] / 4
				e.r.Global(y, -share)
			}
			e.emit(-1, st.g[o+1]-mean, shoeApartSigmaM)
		}
		for _, i := range [2]int{0, 2} {
			e.r.Reset()
			e.r.Global(o+i, 1)
			e.emit(-1, st.g[o+i], wideSigmaM)
		}
	}
	e.r.Reset()
	var mean float64
	for j := 2; j < len(plantedPoints); j++ {
		y := e.oPlanted + 3*j + 1
		mean += st.g[y] / 4
		e.r.Global(y, 0.25)
	}
	e.emit(-1, mean-shoeHeightM, shoeHeightSigmaM)
	e.sideTerms()
	e.ballTerms()
	e.timeOffsetTerms()
	e.sharedBiasTerms()
	for c := range e.Clips {
		e.cameraTerms(c)
		for k := range e.Clips[c].GroundLines {
			e.lineTerms(c, k)
		}
	}
}

// ballTerms places the ball: on the ground, in front of the golfer and a little toward the
// target from the middle of the stance (common practice, no source), all but its height
// loosely. It does not move before impact, so that one unknown, metres in the world,
// serves all positions, and its marks tie the ground to the cameras.
func (e *evaluator) ballTerms() {
	st := e.st
	ball := r3.Vec{X: st.g[e.oBall], Y: st.g[e.oBall+1], Z: st.g[e.oBall+2]}
	want := r3.Vec{X: 0.08, Y: ballRadiusM, Z: 0.65}
	sigma := [3]float64{0.3, ballHeightSigmaM, 0.3}
	d := r3.Sub(ball, want)
	for i, v := range [3]float64{d.X, d.Y, d.Z} {
		e.r.Reset()
		e.r.Global(e.oBall+i, 1)
		e.emit(-1, v, sigma[i])
	}
	for i := range e.BallMarks {
		m := &e.BallMarks[i]
		e.pixel(-1, m, ball, func(d r3.Vec) {
			e.r.Global(e.oBall, d.X)
			e.r.Global(e.oBall+1, d.Y)
			e.r.Global(e.oBall+2, d.Z)
		})
	}
}

// cameraTerms are the priors of one camera: a phone on a stand, level within
// a few degrees, near the line its view is named after.
//
// With the rows of R the camera's right, down and forward directions r₀, r₁, r₂ in the world, a
// small rotation ω in the camera's own frame changes R by [ω]×R:
//
//	dr₀ = ω₁ r₂ − ω₂ r₁,   dr₁ = ω₂ r₀ − ω₀ r₂,   dr₂ = ω₀ r₁ − ω₁ r₀.
//
// Roll is r₀·y, the sine of the tilt of the picture; pitch r₂·y less the nominal camera's; yaw
// the part of r₂ across the view's line, x face-on and z down the line. As sines of small
// angles they are linear in ω to the third order, and have no branch to jump over.
func (e *evaluator) cameraTerms(c int) {
	cam, nom := &e.st.Cameras[c], &e.nominal[c]
	o := c * geometry.CameraUnknowns
	pos := [3]float64{cam.Position.X, cam.Position.Y, cam.Position.Z}
	want := [3]float64{nom.Position.X, nom.Position.Y, nom.Position.Z}
	side, yaw := cameraSideSigmaM, CameraYawSigma
	if e.Clips[c].OffLine {
		side, yaw = offLineSideM, offLineYaw
	}
	sigma := [3]float64{side, cameraHeightSigmaM, cameraAwaySigmaM}
	if e.Views[c] == geometry.DownTheLine {
		sigma[0], sigma[2] = cameraAwaySigmaM, side
	}
	for i := range pos {
		e.r.Reset()
		e.r.Global(o+i, 1)
		e.emit(-1, pos[i]-want[i], sigma[i])
	}
	m := &cam.Rotation
	// A small rotation w turns row 0 (right) into row0 + w2·row2 − … ; see
	// Rotate: the rows change as d(row0) = w1 row2 − w2 row1,
	// d(row2) = w0 row1 − w1 row0.
	e.r.Reset() // roll: the right direction is level
	e.r.Global(o+geometry.CameraRotation+1, m[2][1])
	e.r.Global(o+geometry.CameraRotation+2, -m[1][1])
	e.emit(-1, m[0][1], cameraRollSigma)

	e.r.Reset() // pitch
	e.r.Global(o+geometry.CameraRotation, m[1][1])
	e.r.Global(o+geometry.CameraRotation+1, -m[0][1])
	e.emit(-1, m[2][1]-nom.Rotation[2][1], cameraPitchSigma)

	k := 0 // yaw: the part of the axis across the view's own line
	if e.Views[c] == geometry.DownTheLine {
		k = 2
	}
	e.r.Reset()
	e.r.Global(o+geometry.CameraRotation, m[1][k])
	e.r.Global(o+geometry.CameraRotation+1, -m[0][k])
	e.emit(-1, m[2][k], yaw)

	focalSigma := phoneFocalSigma
	if clip := &e.Clips[c]; clip.FocalPx > 0 {
		focalSigma = clip.FocalRelSigma
		if focalSigma <= 0 {
			focalSigma = metadataFocalSigma
		}
	}
	e.r.Reset()
	e.r.Global(o+geometry.CameraLogFocal, 1)
	e.emit(-1, math.Log(cam.FocalPx/nom.FocalPx), focalSigma)
	e.r.Reset()
	e.r.Global(o+geometry.CameraK1, 1)
	e.emit(-1, cam.K1, k1Sigma)
}

// The ground stick: how well its length and direction are known.
//
// Lengths of sticks are read off a label; directions
// are those of a stick laid by eye toward a target (both ours, no source). Ends are marked as
// points are. A stick shorter in the fit than lineMinDirectionM, metres, has no direction to
// speak of, and the derivative of its heading grows as the inverse of that.
const (
	lineLengthSigmaM  = 0.006
	lineDirSigmaRad   = 1.5 * 3.141592653589793 / 180
	lineWideSigmaM    = 3.0
	lineDefaultSigma  = 2.5 // px
	lineMinDirectionM = 0.05
)

// lineTerms adds a stick or mat edge: two ends on the ground, seen in its
// clip, with their known distance and direction.
//
// The ends are unknowns on the ground, so that a stick is an object among others and not
// an axiom: its marks, its length and its direction each have an error. A stick half a
// metre off the golfer's line tells the camera's heading as well as one on it.
func (e *evaluator) lineTerms(c, k int) {
	st, line := e.st, &e.Clips[c].GroundLines[k]
	o := e.lineOffset[c][k]
	sigma := line.SigmaPx
	if sigma <= 0 {
		sigma = lineDefaultSigma
	}
	for i := 0; i < 2; i++ {
		x := o + 2*i
		for j := 0; j < 2; j++ {
			e.r.Reset()
			e.r.Global(x+j, 1)
			e.emit(-1, st.g[x+j], lineWideSigmaM)
		}
		w := r3.Vec{X: st.g[x], Z: st.g[x+1]}
		end := Mark{Clip: c, X: line.Ends[i].X, Y: line.Ends[i].Y, Sigma: sigma}
		e.pixel(-1, &end, w, func(d r3.Vec) {
			e.r.Global(x, d.X)
			e.r.Global(x+1, d.Z)
		})
	}
	dx, dz := st.g[o+2]-st.g[o], st.g[o+3]-st.g[o+1]
	rho := math.Hypot(dx, dz)
	if rho < lineMinDirectionM {
		return
	}
	if line.LengthM > 0 {
		e.r.Reset()
		e.r.Global(o, -dx/rho)
		e.r.Global(o+1, -dz/rho)
		e.r.Global(o+2, dx/rho)
		e.r.Global(o+3, dz/rho)
		e.emit(-1, rho-line.LengthM, lineLengthSigmaM)
	}
	if line.Along == geometry.DirectionUnset {
		return
	}
	// The heading modulo a half turn, relative to the wanted direction.
	// ∂ψ/∂(dx, dz) = (−dz, dx)/ρ², as in evaluator.heading. A stick has no front end:
	// modulo a half turn.
	h := math.Atan2(dz, dx)
	if line.Along == geometry.AcrossTargetLine {
		h -= math.Pi / 2
	}
	h -= math.Pi * math.Round(h/math.Pi)
	gx, gz := -dz/(rho*rho), dx/(rho*rho)
	e.r.Reset()
	e.r.Global(o, -gx)
	e.r.Global(o+1, -gz)
	e.r.Global(o+2, gx)
	e.r.Global(o+3, gz)
	e.emit(-1, h, lineDirSigmaRad)
}
