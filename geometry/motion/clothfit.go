package motion

import (
	"context"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/geometry/levmar"
)

// The gates of a match, by round: how alike the two must look, and by how much a patch
// may be seen beside where it was expected, pixels at 1080. In the first round the motion is that
// of the marks and their tracks, some degrees off; a degree is about 0.9 pixels. What it comes to is only
// the start of the next round, and need not be exact (loosely).
var clothRounds = [...]struct{ correlation, way, loosely float64 }{{0.75, 6, 100}, {0.85, 2, 1}}

const (
	// settleSigmaPx is the least standard deviation of a match, pixels at 1080.
	settleSigmaPx = 0.15
	// facetSigmaM is how far a patch may lie off what the nodes of the shell say: folds,
	// pockets, the belt's thickness.
	facetSigmaM = 0.004
	// leastMatches in a frame are asked for to say that it could be followed.
	leastMatches = 6
	// settled is the squared, whitened residual up to which a match belongs to what moves
	// with the pelvis.
	settled = 9
)

// followCloth adds what the clothes show to a problem that is at its minimum without
// them, and minimises it again: align, fit, and align anew where the fit then expects the
// patches. Where they do not show enough, or show something that the marks deny, the problem is
// left as it was.
func (f *problem) followCloth(ctx context.Context, in *Input, progress func(float64)) (Seen, error) {
	if in.Cloth == nil {
		return Seen{}, nil
	}
	before, summary := f.st.clone(), f.summary
	f.beginCloth()
	rho, slip := make([]float64, shellNodes), []float64(nil)
	var seen Seen
	for round, gate := range clothRounds {
		c, plan := f.planCloth(in, rho)
		ok, err := f.lookAt(ctx, in, c, plan, gate.correlation, gate.way)
		if err != nil {
			return seen, err
		}
		if seen = f.countSeen(c, plan); !ok || !seen.Used() {
			break
		}
		seen.Came = ClothLoose // if the next round comes to nothing
		f.takeCloth(c, rho, slip)
		f.loosely = gate.loosely
		if err := f.minimise(ctx, func(part float64) { progress((float64(round) + part) / float64(len(clothRounds))) }); err != nil {
			if ctx.Err() != nil {
				return seen, ctx.Err()
			}
			break
		}
		copy(rho, f.st.g[c.oShell:][:shellNodes])
		slip = append(slip[:0], f.st.g[c.oSlip:][:len(c.knots)]...)
		if round == len(clothRounds)-1 {
			seen = f.countSeen(c, plan)
		}
	}
	if seen.Used() && f.denied(before) {
		seen.Came = ClothDenied
	}
	if seen.Used() {
		return seen, nil
	}
	f.cloth, f.nG = nil, f.oCloth
	f.st, f.trial, f.summary = before, before.clone(), summary
	f.m = levmar.NewBand(len(f.times), blockSize, f.nG)
	f.dX, f.dG = f.m.Columns(1)
	return seen, f.finish()
}

// beginCloth holds cameras and clocks and says where in the border the clothes' unknowns
// begin.
func (f *problem) beginCloth() {
	f.oCloth = f.nG
	f.clothCameras = append([]geometry.Camera(nil), f.st.cams...)
	f.clothLag = make([]float64, f.nC)
	copy(f.clothLag[1:], f.st.g[f.oTime:][:f.nC-1])
}

// lookAt has the patches aligned and makes matches of what passes the gates. ok is false
// where nothing does.
//
// The covariance of a match is that of the alignment, what it settles no better than, and
// what its depth, off the nodes' by facetSigmaM, moves it by:
//
//	C = Λ⁻¹ + σ² I + σ_f² g gᵀ.
//
// What is wrong with a patch, its depth, its shading, its weave, is wrong in each frame
// that it is found in, so that C is multiplied as for tracks by the number of those that the
// motion prior averages over (see observe).
func (f *problem) lookAt(ctx context.Context, in *Input, c *clothFit, plan []planned, correlation, way float64) (ok bool, err error) {
	looks := make([]Look, len(plan))
	for i := range plan {
		looks[i] = plan[i].look
		if in.Swing.Flipped(plan[i].clip) {
			looks[i].Into = append([]Warp(nil), looks[i].Into...)
			looks[i].mirror(float64(in.Swing.Clips[plan[i].clip].Width))
		}
	}
	sights, err := in.Cloth.Align(ctx, looks)
	if err != nil {
		return false, err
	}
	_, top := f.swingTimes()
	address := f.keyTime(geometry.Address)
	for i := range plan {
		p := &plan[i]
		clip := &in.Swing.Clips[p.clip]
		size := float64(min(clip.Width, clip.Height)) / 1080
		for k := range p.into {
			s := sights[i][k]
			if in.Swing.Flipped(p.clip) {
				s.mirror()
			}
			if !s.Found || s.Correlation < correlation || !(math.Hypot(s.DX, s.DY) <= way*size) {
				continue
			}
			det := s.XX*s.YY - s.XY*s.XY
			if !(det > 0) {
				continue
			}
			g := p.byDepth[k]
			least, off := sq(settleSigmaPx*size), sq(facetSigmaM)
			xx, xy, yy := s.YY/det+least+off*g[0]*g[0], -s.XY/det+off*g[0]*g[1], s.XX/det+least+off*g[1]*g[1]
			step := looksBack
			if p.into[k].common > top-turnBefore {
				step = looksDown
			}
			lasts := math.Max(math.Min(phaseAt(p.into[k].common, address, top).lasts/step, float64(len(p.into))/2), 1)
			det = (xx*yy - xy*xy) * lasts
			ixx, ixy, iyy := yy/det, -xy/det, xx/det
			w := p.look.Into[k].At
			m := match{frame: p.into[k].frame, seconds: p.into[k].common, x: w.X + s.DX, y: w.Y + s.DY, lasts: lasts, lastsSeconds: lasts * step}
			m.w00 = math.Sqrt(ixx)
			m.w01 = ixy / m.w00
			m.w11 = math.Sqrt(math.Max(iyy-m.w01*m.w01, 0))
			if geometry.Finite(m.w00, m.w01, m.w11, m.x, m.y) {
				p.matches = append(p.matches, m)
			}
		}
		if len(p.matches) > 0 {
			c.patches = append(c.patches, p.patch)
		}
	}
	return len(c.patches) > 0, nil
}

// takeCloth puts the clothes' unknowns behind the others.
func (f *problem) takeCloth(c *clothFit, rho, slip []float64) {
	g := append(f.st.g[:f.oCloth:f.oCloth], make([]float64, c.size())...)
	f.st.g = g
	for i, v := range c.views {
		h := f.hermiteAt(v.seconds + c.lag[v.clip])
		var speed [segmentDofs]float64
		h.mix(f.st.x, 0, segmentDofs, g[c.oPose+segmentDofs*i:][:segmentDofs], speed[:])
	}
	copy(g[c.oShell:], rho)
	copy(g[c.oSlip:], slip)
	f.cloth, f.nG, f.cautious = c, len(g), false
	f.m = levmar.NewBand(len(f.times), blockSize, f.nG)
	f.trial = f.st.clone()
}

// countSeen counts the frames that were looked at and those that enough was found in,
// as far as it belongs to what moves with the pelvis once that is fitted.
func (f *problem) countSeen(c *clothFit, plan []planned) Seen {
	type frame struct{ clip, n int }
	found, when := map[frame]int{}, map[frame]float64{}
	for i := range plan {
		for _, t := range plan[i].into {
			k := frame{plan[i].clip, t.frame}
			found[k] += 0
			when[k] = t.common
		}
	}
	c.seen = c.seen[:0]
	matches, good := 0, 0
	for i := range c.patches {
		p := &c.patches[i]
		for k := range p.matches {
			matches++
			if p.matches[k].s < settled {
				good++
				found[frame{p.clip, p.matches[k].frame}]++
			}
		}
	}
	var s Seen
	share := make([][2]int, f.nC)
	for k, n := range found {
		s.Frames++
		share[k.clip][0]++
		if n >= leastMatches {
			s.Followed++
			share[k.clip][1]++
			c.seen = append(c.seen, when[k])
		}
	}
	slices.Sort(c.seen)
	views := 0
	for _, n := range share { // one view alone is three times less sure
		if 2*n[1] >= n[0] && n[1] > 0 {
			views++
		}
	}
	switch {
	case s.Frames == 0:
	case views == 0:
		s.Came = ClothUnseen
	case views < f.nC:
		s.Came = ClothOneView
	case good*2 <= matches:
		s.Came = ClothLoose
	default:
		s.Came = ClothUsed
	}
	return s
}

// denied reports whether the clothes turn the pelvis at a key position to where the
// marks say that it is not.
func (f *problem) denied(before *state) bool {
	turn := func(st *state, t float64) float64 {
		h := f.hermiteAt(t)
		var x, v [segmentDofs]float64
		h.mix(st.x, 0, segmentDofs, x[:], v[:])
		return x[dofTurn]
	}
	home := f.keyTime(geometry.Address)
	for _, t := range f.cloth.knots {
		off := (turn(f.st, t) - turn(f.st, home) - turn(before, t) + turn(before, home)) * toDegrees
		if math.Abs(off) > 3*math.Hypot(f.keySigma(curvePelvis, t), f.cloth.slipSigma(t)*toDegrees) {
			return true
		}
	}
	return false
}
