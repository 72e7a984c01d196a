package motion

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/geometry/levmar"
)

// observation is one observation: a point in one frame, on the common clock.
//
// x and y are pixels of the picture as the fit sees it, a left-hander's mirrored; the weight is
// that of one coordinate, what a track's errors in common count for taken out (observation.go).
type observation struct {
	clip, pt int // pt indexes Points
	seconds  float64
	x, y     float64
	weight   float64 // 1/px²
	errs     trackError
}

// trackError is what an observation of a track errs in: own anew in each frame, drift for
// lasts seconds, and what the anchors about it carry; standard deviations, pixels.
type trackError struct {
	own, drift, lasts float64
	anchors           [2]int
	carried           [2]float64 // of each of them, its part taken in
}

// problem is the least-squares problem of the fit through time: what was
// observed, the instants at which the pose is sought, the layout of the
// unknowns, the state and the normal matrix. It is a levmar.Problem (solve.go).
//
// Each instant has a block of blockSize unknowns, the degrees of freedom and
// their speeds (pose.go). The border has, in this order,
//
//	cameras   CameraUnknowns a clip  how far they are from their prior; the first's place and direction are held
//	times     1 a clip but the first seconds: by how much its clock is off at impact
//	shape     17                     metres and logarithms (pose.go)
//	offsets   3 a track              metres: where on the body the coach takes the point to be in this clip
type problem struct {
	// What the fit at key positions hands over, and the common clock: seconds
	// with impact at 0; shift is what is added to each clip's own.
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
	// First indices into the border, and its size.
	oTime, oShape, nG int
	oOffset           [][len(Points)]int // −1 for none
	offsetSigma       [][len(Points)]float64
	camInfo           mat.SymDense // information of the cameras' prior
	timeSigma         float64
	stature           float64
	scaleSigma        float64 // of all lengths, relative
	keySigmas         []positionSigma
	legsLog           float64 // thigh and shank at first, logs added

	cloth        *clothFit // nil without
	oCloth       int       // where its unknowns begin in the border
	clothCameras []geometry.Camera
	clothLag     []float64
	// loosely multiplies the tolerances of the iteration: 1 but for a round that only serves
	// the next one.
	loosely float64

	st, trial *state
	dX        [][]float64 // the step, by instant
	dG        []float64   // and of the border
	m         *levmar.Band
	summary   geometry.Summary
	cautious  bool // see evaluator
	draws     *errorDraws
}

// newProblem lays out the unknowns, turns tracks into observations and makes
// the first state. The swing must lack nothing (Missing).
func newProblem(in *Input) (*problem, error) {
	f := &problem{key: in.Key, nC: len(in.Swing.Clips), loosely: 1}
	f.shift, _ = clipShifts(&in.Swing)
	f.stature = in.Key.Body().StatureM
	f.setTimes(in)
	f.layout(in)
	if len(f.observations) == 0 {
		return nil, &NoCurves{[]Lack{{What: NoTracks}}}
	}
	f.limitTimes()
	if err := f.start(); err != nil {
		return nil, err
	}
	f.takeKeyPriors()
	f.m = levmar.NewBand(len(f.times), blockSize, f.nG)
	f.trial = f.st.clone()
	return f, nil
}

// setTimes puts the key positions on the common clock, the mean of what the
// clips say, and says how far the clips may be apart in time: each impact lies
// anywhere within half a frame, with a variance of a twelfth of a frame
// squared, and so does the difference of the two with the sum. Where no frame
// lasts any time known, 240 frames a second are assumed.
//
// A uniform distribution over a frame has the variance frame²/12; the difference of two is
// their sum, f₁²/12 + f₂²/12.
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

// keyTime is when a key position is on the common clock, NaN where it is not
// set.
func (f *problem) keyTime(name geometry.PositionName) float64 {
	for i, n := range f.keyNames {
		if n == name {
			return f.keyTimes[i]
		}
	}
	return math.NaN()
}

// layout numbers the border's unknowns and turns tracks into observations.
// Tracks are taken in order of clip and point, so that the result does not hang
// on the order in which they were followed; of two of one point in one clip the
// first counts.
//
// The offsets' prior is N(0, offsetSigma²) along each axis of the body: where on the hip a coach
// clicks is one choice for a whole clip, since following carries it along.
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

// limitTimes lays out the instants over the time that is seen, from the first
// observation or key position to the last, and says which is the address.
//
// Beyond the first and last thing seen the prior alone would speak.
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

// sq is the square of a number.
func sq(x float64) float64 { return x * x }
