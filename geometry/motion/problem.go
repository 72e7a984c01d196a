package motion

import (
	"context"
	"math"
	"sort"

	"gonum.org/v1/gonum/blas/blas64"

	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/geometry/levmar"
)

// observation is one observation: a point in one frame, on the common clock.
type observation struct {
	clip, pt int // pt indexes Points
	seconds  float64
	x, y     float64
	weight   float64 // 1/px²
}

// problem is the least-squares problem of the fit through time.
type problem struct {
	key          *fit.Solution
	nC           int // clips
	times        []float64
	phases       []*phase // of the interval after each instant
	observations []observation
	shift        []float64
	keyTimes     []float64
	keyNames     []geometry.PositionName
	address      int // index into times
	keyPriors    []keyPrior

	// The border: cameras, time offset of the second clip, shape, and the offset
	// of each followed point in each clip.
	oTime, oShape, nG int
	oOffset           [][len(Points)]int // −1 for none
	offsetSigma       [][len(Points)]float64
	camInfo           []float64 // information of the cameras' prior
	timeSigma         float64
	stature           float64
	scaleSigma        float64 // of all lengths, relative
	keySigmas         []positionSigma
	legsLog           float64 // thigh and shank at first, logs added

	st, trial *state
	dX        [][]float64 // the step, by instant
	dG        []float64   // and of the border
	m         *levmar.Band
	summary   geometry.Summary
	cautious  bool // see evaluator
}

// state is a value of all unknowns.
type state struct {
	x    [][]float64 // by instant, blockSize each
	cams []geometry.Camera
	g    []float64 // the border; the cameras' part is how far they are from their prior
}

func (s *state) clone() *state {
	c := &state{cams: append([]geometry.Camera(nil), s.cams...), g: append([]float64(nil), s.g...)}
	for _, x := range s.x {
		c.x = append(c.x, append([]float64(nil), x...))
	}
	return c
}

// stepFrom makes s what o becomes by a step.
func (s *state) stepFrom(o *state, dX [][]float64, dG []float64) {
	for i := range s.x {
		for j, v := range o.x[i] {
			s.x[i][j] = v + dX[i][j]
		}
	}
	for j, v := range o.g {
		s.g[j] = v + dG[j]
	}
	for c := range s.cams {
		s.cams[c] = o.cams[c]
		s.cams[c].Move(dG[c*geometry.CameraUnknowns:])
	}
}

// The error model of what is followed.
const (
	// leastSpotPx is the least standard deviation of a spot.
	leastSigmaPx = 0.3
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

func newProblem(in *Input) (*problem, error) {
	f := &problem{key: in.Key, nC: len(in.Swing.Clips)}
	f.shift, _ = clipShifts(&in.Swing)
	f.stature = in.Key.Body().StatureM
	f.setTimes(in)
	f.layout(in)
	if len(f.observations) == 0 {
		return nil, &NoCurves{[]Lack{{What: NoTracks}}}
	}
	f.limitTimes()
	f.start()
	f.takeKeyPriors()
	f.m = levmar.NewBand(len(f.times), blockSize, f.nG)
	f.trial = f.st.clone()
	return f, nil
}

// setTimes puts the key positions on the common clock, and says how far the
// clips may be apart in time: each impact lies anywhere within half a frame.
func (f *problem) setTimes(in *Input) {
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
		if p.Name == geometry.Impact {
			for _, s := range p.FrameSeconds {
				f.timeSigma += sq(s) / 12
			}
		}
	}
	f.timeSigma = math.Sqrt(f.timeSigma)
	if f.timeSigma < 1e-4 {
		f.timeSigma = 1.0 / 240 / math.Sqrt(6)
	}
}

func (f *problem) keyTime(name geometry.PositionName) float64 {
	for i, n := range f.keyNames {
		if n == name {
			return f.keyTimes[i]
		}
	}
	return math.NaN()
}

// layout numbers the border's unknowns and turns tracks into observations.
func (f *problem) layout(in *Input) {
	n := geometry.CameraUnknowns * f.nC
	f.oTime = n
	n += f.nC - 1
	f.oShape = n
	n += shapeUnknowns
	index := map[geometry.Point]int{}
	for i, pt := range Points {
		index[pt] = i
	}
	f.oOffset = make([][len(Points)]int, f.nC)
	f.offsetSigma = make([][len(Points)]float64, f.nC)
	for c := range f.oOffset {
		for i := range Points {
			f.oOffset[c][i] = -1
		}
	}
	tracks := append([]Track(nil), in.Tracks...)
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
func (f *problem) observe(in *Input, t *Track, pt int) {
	marks := t.marksOf(in.Key)
	type anchor struct{ x, y, variance float64 }
	anchors := make([]anchor, len(marks))
	for i, k := range marks {
		anchors[i].variance = sq(in.Key.ClickSigmaPx(t.Clip, t.Point, k))
		if k < 0 {
			continue
		}
		want, variance, ok := in.Key.Expected(t.Clip, in.Key.Swing().Marks[k].Position, t.Point)
		if !ok {
			continue
		}
		at := f.upright(in, t, t.Anchors[i].Observation)
		anchors[i] = anchor{at.X - want.X, at.Y - want.Y, variance}
	}
	address, top := f.swingTimes()
	side := 1.0
	if in.Swing.Clips[t.Clip].View == geometry.DownTheLine && t.Point.Side() == geometry.Lead {
		side = geometry.FarSideFactor
	}
	f.offsetSigma[t.Clip][pt] = clipPlacingM * side
	for i := range t.Observations {
		s := &t.Observations[i]
		a, b, w := t.around(i)
		if t.Anchors[a].Observation == i && marks[a] >= 0 {
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
		v := sq(math.Max(s.SigmaPx, leastSigmaPx)) + drift*math.Max(lasts, 1)
		if !geometry.Finite(x, y, v, s.Seconds) {
			continue
		}
		f.observations = append(f.observations, observation{t.Clip, pt, at, x, y, 1 / v})
	}
}

// upright is where a spot lies in the picture as the fit sees it: mirrored for a
// left-hander.
func (f *problem) upright(in *Input, t *Track, spot int) geometry.ImagePt {
	at := t.Observations[spot].At
	if in.Swing.Golfer.Handed == geometry.LeftHanded {
		at.X = float64(in.Swing.Clips[t.Clip].Width) - at.X
	}
	return at
}

// swingTimes returns when the swing starts and turns round, as far as known.
func (f *problem) swingTimes() (address, top float64) {
	address, top = f.keyTime(geometry.Address), f.keyTime(geometry.Top)
	if !geometry.Finite(top) {
		top = -usualDown
	}
	return address, top
}

// rate is how many spots there are in a second.
func (t *Track) rate() float64 {
	n := len(t.Observations)
	if n < 2 {
		return 1
	}
	return float64(n-1) / math.Max(t.Observations[n-1].Seconds-t.Observations[0].Seconds, 1e-3)
}

// between counts the spots from one anchor to the next, or to the end of the
// track where there is no other.
func (t *Track) between(a, b int) int {
	switch {
	case a != b:
		return t.Anchors[b].Observation - t.Anchors[a].Observation
	case a+1 < len(t.Anchors):
		return t.Anchors[a+1].Observation - t.Anchors[a].Observation
	case a > 0:
		return t.Anchors[a].Observation - t.Anchors[a-1].Observation
	default:
		return len(t.Observations)
	}
}

// limitTimes lays out the instants over the time that is seen.
func (f *problem) limitTimes() {
	first, last := math.Inf(1), math.Inf(-1)
	for i := range f.observations {
		first, last = math.Min(first, f.observations[i].seconds), math.Max(last, f.observations[i].seconds)
	}
	for _, t := range f.keyTimes {
		if geometry.Finite(t) {
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

// Settings of the iteration. It ends when the cost is not expected to fall by more
// than tolerance: the step is then a fourteenth of a standard deviation in any
// direction. So do slowSteps steps that each lower it by less than slow.
const (
	maxIterations = 60
	firstLambda   = 1e-3
	tolerance     = 2.5e-3
	slow          = 5e-3
	slowSteps     = 3
)

// minimise runs Levenberg-Marquardt to the most probable motion.
func (f *problem) minimise(ctx context.Context, progress func(float64)) error {
	f.dX, f.dG = f.m.Columns(1)
	r, err := levmar.Minimise(ctx, f, levmar.Settings{FirstLambda: firstLambda, MaxIterations: maxIterations,
		Tolerance: tolerance, Slow: slow, SlowSteps: slowSteps, Shorten: true,
		Progress: func(i int) { progress(float64(i) / (float64(i) + 6)) }})
	if err != nil {
		return err
	}
	f.summary = geometry.Summary{Status: geometry.NotConverged, Iterations: r.Iterations, Observations: 2 * len(f.observations), Unknowns: f.nG + blockSize*len(f.times)}
	if !r.Converged {
		return geometry.ErrNotConverged
	}
	f.summary.Status, f.summary.Cost = geometry.Converged, r.Cost
	return f.finish()
}

// Cost is the cost of the current state, one of the methods of a levmar.Problem.
func (f *problem) Cost() float64 { return f.total(f.st, nil) }

// Linearise sums the normal matrix.
func (f *problem) Linearise() {
	f.m.Clear()
	f.total(f.st, f.m)
}

// Factor factorises it.
func (f *problem) Factor(lambda float64) bool { return f.m.Factor(lambda) }

// Step solves for the step.
func (f *problem) Step() float64 { return f.m.Step(f.dX, f.dG) }

// Scale multiplies the step by k.
func (f *problem) Scale(k float64) {
	for _, x := range f.dX {
		blas64.Scal(k, blas64.Vector{N: len(x), Inc: 1, Data: x})
	}
	blas64.Scal(k, blas64.Vector{N: len(f.dG), Inc: 1, Data: f.dG})
}

// Try moves the trial state.
func (f *problem) Try() float64 {
	f.trial.stepFrom(f.st, f.dX, f.dG)
	return f.total(f.trial, nil)
}

// Accept takes the trial state over.
func (f *problem) Accept() { f.st, f.trial = f.trial, f.st }

// finish factorises the normal matrix at the solution, as the covariance needs.
func (f *problem) finish() error {
	f.cautious = true
	f.Linearise()
	if !f.m.Factor(0) && !f.m.Factor(1e-9) {
		return geometry.ErrNotConverged
	}
	f.summary.Rank = f.summary.Unknowns
	return nil
}

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
