package geometry

import (
	"context"
	"math"
	"sort"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/spatial/r3"
)

// seenSpot is one observation: a point in one frame, on the common clock.
type seenSpot struct {
	clip, pt int // pt indexes CurvePoints
	seconds  float64
	x, y     float64
	weight   float64 // 1/px²
}

// curveFit is the least-squares problem of the fit through time.
type curveFit struct {
	key      *Solution
	nC       int // clips
	times    []float64
	phases   []*phase // of the interval after each instant
	spots    []seenSpot
	shift    []float64
	keyTimes []float64
	keyNames []PositionName
	address  int // index into times
	pins     []pin

	// The border: cameras, lateness of the second clip, shape, and the offset
	// of each followed point in each clip.
	oLate, oShape, nG int
	oOffset           [][len(CurvePoints)]int // −1 for none
	offsetSigma       [][len(CurvePoints)]float64
	camInfo           []float64 // information of the cameras' prior
	lateSigma         float64
	stature           float64
	scaleSigma        float64 // of all lengths, relative
	keySigmas         []positionSigma
	legsLog           float64 // thigh and shank at first, logs added

	st, trial *curveState
	m         *band
	summary   Summary
	cautious  bool // see evaluator
}

// curveState is a value of all unknowns.
type curveState struct {
	x    [][]float64 // by instant, curveBlock each
	cams []Camera
	g    []float64 // the border; the cameras' part is how far they are from their prior
}

func (s *curveState) clone() *curveState {
	c := &curveState{cams: append([]Camera(nil), s.cams...), g: append([]float64(nil), s.g...)}
	for _, x := range s.x {
		c.x = append(c.x, append([]float64(nil), x...))
	}
	return c
}

// stepFrom makes s what o becomes by a step.
func (s *curveState) stepFrom(o *curveState, dX [][]float64, dG []float64) {
	for i := range s.x {
		for j, v := range o.x[i] {
			s.x[i][j] = v + dX[i][j]
		}
	}
	for j, v := range o.g {
		s.g[j] = v + dG[j]
	}
	for c := range s.cams {
		d, cam := dG[c*camUnknowns:], o.cams[c]
		cam.Position = r3.Add(cam.Position, r3.Vec{X: d[0], Y: d[1], Z: d[2]})
		cam.Rotation = rotateCamera(cam.Rotation, r3.Vec{X: d[3], Y: d[4], Z: d[5]})
		cam.FocalPx *= math.Exp(d[camLogFocal])
		cam.K1 += d[camK1]
		s.cams[c] = cam
	}
}

// The error model of what is followed.
const (
	// leastSpotPx is the least standard deviation of a spot.
	leastSpotPx = 0.3
	// clipPlacingM is how far apart the places are, on the body, that a coach
	// takes for one point in two clips: what is not shared of the misplacement.
	clipPlacingM = 0.004
	// lengthLasts is how long a segment that looks too long stays so, seconds.
	lengthLasts = 0.25
	jointSigmaM = 0.010
	trunkSigmaM = 0.020
	shapeSideM  = 0.010 // of buckle and the others out of the middle
	shapeUpM    = 0.030
	shapeFrontM = 0.022
	shapeGaugeM = 0.004 // buckle and tailbone are level in the pelvis's frame by definition
	firstPlaceM = 0.5
	firstAngle  = 1.0
	firstSpeed  = 0.3
)

func newCurveFit(in *CurveInput) (*curveFit, error) {
	f := &curveFit{key: in.Key, nC: len(in.Swing.Clips)}
	f.shift, _ = clipShifts(&in.Swing)
	f.stature = math.Exp(in.Key.st.g[in.Key.p.oStature])
	f.setTimes(in)
	f.layout(in)
	if len(f.spots) == 0 {
		return nil, &NoCurves{[]string{noTracks}}
	}
	f.limitTimes()
	f.start()
	f.pin()
	f.m = newBand(len(f.times), curveBlock, f.nG)
	f.trial = f.st.clone()
	return f, nil
}

// setTimes puts the key positions on the common clock, and says how far the
// clips may be apart in time: each impact lies anywhere within half a frame.
func (f *curveFit) setTimes(in *CurveInput) {
	for i := range in.Swing.Positions {
		p := &in.Swing.Positions[i]
		f.keyNames = append(f.keyNames, p.Name)
		sum, n := 0.0, 0
		for c := range in.Swing.Clips {
			if c < len(p.Seconds) && !math.IsNaN(p.Seconds[c]) {
				sum += p.Seconds[c] + f.shift[c]
				n++
			}
		}
		f.keyTimes = append(f.keyTimes, sum/float64(n))
		if p.Name == Impact {
			for _, s := range p.FrameSeconds {
				f.lateSigma += sq(s) / 12
			}
		}
	}
	f.lateSigma = math.Sqrt(f.lateSigma)
	if f.lateSigma < 1e-4 {
		f.lateSigma = 1.0 / 240 / math.Sqrt(6)
	}
}

func (f *curveFit) keyTime(name PositionName) float64 {
	for i, n := range f.keyNames {
		if n == name {
			return f.keyTimes[i]
		}
	}
	return math.NaN()
}

// layout numbers the border's unknowns and turns tracks into observations.
func (f *curveFit) layout(in *CurveInput) {
	n := camUnknowns * f.nC
	f.oLate = n
	n += f.nC - 1
	f.oShape = n
	n += shapeUnknowns
	index := map[Point]int{}
	for i, pt := range CurvePoints {
		index[pt] = i
	}
	f.oOffset = make([][len(CurvePoints)]int, f.nC)
	f.offsetSigma = make([][len(CurvePoints)]float64, f.nC)
	for c := range f.oOffset {
		for i := range CurvePoints {
			f.oOffset[c][i] = -1
		}
	}
	tracks := append([]CurveTrack(nil), in.Tracks...)
	sort.SliceStable(tracks, func(a, b int) bool {
		if tracks[a].Clip != tracks[b].Clip {
			return tracks[a].Clip < tracks[b].Clip
		}
		return tracks[a].Point < tracks[b].Point
	})
	for k := range tracks {
		t := &tracks[k]
		i, ok := index[t.Point]
		if !ok || t.Clip < 0 || t.Clip >= f.nC || len(t.Anchors) == 0 || f.oOffset[t.Clip][i] >= 0 {
			continue
		}
		f.oOffset[t.Clip][i] = n
		n += 3
		f.observe(in, t, i)
	}
	f.nG = n
}

// observe adds the spots of a track between its anchors, freed of the anchors'
// errors: those are what the fit at key positions leaves.
func (f *curveFit) observe(in *CurveInput, t *CurveTrack, pt int) {
	marks := in.Key.marksOf(t)
	type anchor struct{ x, y, variance float64 }
	anchors := make([]anchor, len(marks))
	for i, k := range marks {
		anchors[i].variance = sq(in.Key.clickSigma(t, k))
		if k < 0 {
			continue
		}
		pos := in.Key.sw.Marks[k].Position
		pr, ok := in.Key.projection(t.Clip, pos, t.Point)
		if !ok {
			continue
		}
		at := f.upright(in, t, t.Anchors[i].Spot)
		c := in.Key.post.pixelCovariance(&pr, t.Clip, pos, t.Point, 0)
		anchors[i] = anchor{at.X - pr.x, at.Y - pr.y, (c[0][0] + c[1][1]) / 2}
	}
	address, top := f.swingTimes()
	side := 1.0
	if in.Swing.Clips[t.Clip].View == DownTheLine && t.Point.Side() == Lead {
		side = farSideFactor
	}
	f.offsetSigma[t.Clip][pt] = clipPlacingM * side
	for i := range t.Spots {
		s := &t.Spots[i]
		a, b, w := t.around(i)
		if t.Anchors[a].Spot == i && marks[a] >= 0 {
			continue // the fit at key positions has it
		}
		was := f.upright(in, t, i)
		x := was.X - (1-w)*anchors[a].x - w*anchors[b].x
		y := was.Y - (1-w)*anchors[a].y - w*anchors[b].y
		// What lasts over frames counts once for as long as it lasts: half the
		// way from anchor to anchor, or what the fit averages over.
		at := s.Seconds + f.shift[t.Clip]
		lasts := math.Min(float64(t.between(a, b))/2, phaseAt(at, address, top).lasts*t.rate())
		drift := sq(s.DriftPx) + (1-w)*anchors[a].variance + w*anchors[b].variance
		v := sq(math.Max(s.SigmaPx, leastSpotPx)) + drift*math.Max(lasts, 1)
		if !finite(x, y, v, s.Seconds) {
			continue
		}
		f.spots = append(f.spots, seenSpot{t.Clip, pt, at, x, y, 1 / v})
	}
}

// upright is where a spot lies in the picture as the fit sees it: mirrored for a
// left-hander.
func (f *curveFit) upright(in *CurveInput, t *CurveTrack, spot int) ImagePt {
	at := t.Spots[spot].At
	if in.Swing.Golfer.Handed == LeftHanded {
		at.X = float64(in.Swing.Clips[t.Clip].Width) - at.X
	}
	return at
}

// swingTimes returns when the swing starts and turns round, as far as known.
func (f *curveFit) swingTimes() (address, top float64) {
	address, top = f.keyTime(Address), f.keyTime(Top)
	if !finite(top) {
		top = -usualDown
	}
	return address, top
}

// rate is how many spots there are in a second.
func (t *CurveTrack) rate() float64 {
	n := len(t.Spots)
	if n < 2 {
		return 1
	}
	return float64(n-1) / math.Max(t.Spots[n-1].Seconds-t.Spots[0].Seconds, 1e-3)
}

// between counts the spots from one anchor to the next, or to the end of the
// track where there is no other.
func (t *CurveTrack) between(a, b int) int {
	switch {
	case a != b:
		return t.Anchors[b].Spot - t.Anchors[a].Spot
	case a+1 < len(t.Anchors):
		return t.Anchors[a+1].Spot - t.Anchors[a].Spot
	case a > 0:
		return t.Anchors[a].Spot - t.Anchors[a-1].Spot
	default:
		return len(t.Spots)
	}
}

// limitTimes lays out the instants over the time that is seen.
func (f *curveFit) limitTimes() {
	first, last := math.Inf(1), math.Inf(-1)
	for i := range f.spots {
		first, last = math.Min(first, f.spots[i].seconds), math.Max(last, f.spots[i].seconds)
	}
	for _, t := range f.keyTimes {
		if finite(t) {
			first, last = math.Min(first, t), math.Max(last, t)
		}
	}
	address, top := f.swingTimes()
	f.times = instants(first, last, address, top, f.keyTimes)
	for i := range f.times {
		mid := f.times[i]
		if i+1 < len(f.times) {
			mid = (f.times[i] + f.times[i+1]) / 2
		}
		f.phases = append(f.phases, phaseAt(mid, address, top))
		if math.Abs(f.times[i]-address) < math.Abs(f.times[f.address]-address) {
			f.address = i
		}
	}
}

// Limits of the iteration.
const maxCurveIterations = 60

// minimise runs Levenberg-Marquardt to the most probable motion.
func (f *curveFit) minimise(ctx context.Context, progress func(float64)) error {
	dX, dG := f.m.columns(1)
	cost := f.total(f.st, nil)
	lambda, grow, slow := 1e-3, 4.0, 0
	f.summary = Summary{Status: NotConverged, Observations: 2 * len(f.spots), Unknowns: f.nG + curveBlock*len(f.times)}
	for iter := range maxCurveIterations {
		progress(float64(iter) / (float64(iter) + 6))
		f.summary.Iterations = iter
		f.m.clear()
		f.total(f.st, f.m)
		for {
			if err := ctx.Err(); err != nil {
				return err
			}
			if !(lambda <= lmMaxLambda) {
				return ErrNotConverged
			}
			if !f.m.factor(lambda) {
				lambda *= 10
				continue
			}
			expected := f.solveStep(dX, dG)
			if !(expected >= 0) || math.IsInf(expected, 0) {
				lambda *= 10
				continue
			}
			if expected < curveTolerance {
				f.summary.Status, f.summary.Cost = Converged, cost
				return f.finish()
			}
			f.trial.stepFrom(f.st, dX, dG)
			c := f.total(f.trial, nil)
			// Where the cost bends more than its linear model knows, the lowest
			// place along the step lies before its end.
			if part := expected / (c - cost + 2*expected); part > 0.05 && part < 0.8 {
				for i := range dX {
					blas64.Scal(part, vec(dX[i]))
				}
				blas64.Scal(part, vec(dG))
				f.trial.stepFrom(f.st, dX, dG)
				c = f.total(f.trial, nil)
			}
			if c <= cost && !math.IsInf(cost, 0) {
				gain := (cost - c) / expected
				f.st, f.trial = f.trial, f.st
				if cost-c > curveSlow {
					slow = 0
				} else if slow++; slow == 3 {
					f.summary.Status, f.summary.Cost = Converged, c
					return f.finish()
				}
				cost = c
				lambda = math.Max(lambda*math.Max(0.1, 1-math.Pow(2*gain-1, 3)), 1e-9)
				grow = 4
				break
			}
			lambda *= grow
			grow *= 2
		}
	}
	return ErrNotConverged
}

// curveTolerance ends the iteration when the cost is not expected to fall by
// more: the step is then a fourteenth of a standard deviation in any direction.
// So do three steps that each lower it by less than curveSlow.
const curveTolerance, curveSlow = 2.5e-3, 5e-3

// solveStep solves for the step and returns by how much it should lower the
// cost.
func (f *curveFit) solveStep(dX [][]float64, dG []float64) (expected float64) {
	for i := range dX {
		copy(dX[i], f.m.rhs[i])
	}
	copy(dG, f.m.rhsG)
	f.m.solve(dX, dG, 1)
	for i := range dX {
		for j, v := range dX[i] {
			expected += 0.5 * v * f.m.rhs[i][j]
		}
	}
	for j, v := range dG {
		expected += 0.5 * v * f.m.rhsG[j]
	}
	return expected
}

// finish factorises the normal matrix at the solution, as the covariance needs.
func (f *curveFit) finish() error {
	f.cautious = true
	f.m.clear()
	f.total(f.st, f.m)
	if !f.m.factor(0) && !f.m.factor(1e-9) {
		return ErrNotConverged
	}
	f.summary.Rank = f.summary.Unknowns
	return nil
}
