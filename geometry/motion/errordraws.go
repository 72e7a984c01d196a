package motion

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
)

// errorDraws are draws of what the most probable motion is off by, if the errors are what
// they are and not what the weights take them for.
//
// What lasts over n frames, a mark's error that a track carries along, a patch whose depth is
// wrong, is weighed as n times its variance anew in each (see observe): right for where the golfer
// is, and for how fast he turns far too much, since what lasts does not come and go. The prior of the
// motion, too, takes accelerations to be new in each instant, where a golfer's last for some
// hundredths of a second. So speeds by H⁻¹ come out three to five times too wide.
//
// Near the solution the estimate is linear in the residuals, and the error e of all unknowns with
// the normal matrix H = Σ wᵣ jᵣ jᵣᵀ and the true errors εᵣ of the rows is
//
//	H e = Σ wᵣ jᵣ εᵣ,
//
// whatever the weights are (the sandwich covariance H⁻¹ (Σ J Wᵀ Cov ε W J) H⁻¹: White 1982,
// Econometrica 50:1). Here ε is drawn: anew for finding a point, by anchor and straight between two
// for clicks, as a first-order autoregression (an Ornstein-Uhlenbeck process) of the half life that the
// weights allow for in what drifts, and for the prior of the motion the accelerations of accelerate.
// One row's ε of each draw is a vector, so that a draw costs a multiplication for each derivative.
type errorDraws struct {
	n       int
	rnd     *rand.Rand
	x       [][]float64 // by instant, blockSize × n; first the right-hand sides, then the errors
	xG      []float64   // of the border, nG × n
	eps     []float64   // of the row in hand
	scratch []float64
	lasting map[[4]int]*lastingError
	accel   [numDofs][][]float64 // by degree of freedom and instant, n each
	// turned is by how much the clothes seem to have turned, radians, from turnedFrom on.
	turned     [][]float64
	turnedFrom float64
}

// lastingError is an error that lasts, of unit variance: its value in each draw, and when.
type lastingError struct {
	seconds float64
	value   []float64
}

// What errors are keyed by: a kind, and three numbers that tell one of a kind from the others.
const (
	byAnchor = iota
	byTrack
	byBody
	byPatch
)

// drawErrors draws n errors. The matrix must be factorised at the solution.
func (f *problem) drawErrors(n int) *errorDraws {
	d := &errorDraws{n: n, rnd: rand.New(rand.NewPCG(20, 26)), eps: make([]float64, n), scratch: make([]float64, n), lasting: map[[4]int]*lastingError{}}
	d.x, d.xG = f.m.Columns(n)
	f.accelerate(d)
	if f.cloth != nil {
		d.seemsTurned(f.cloth)
	}
	f.m.Clear()
	e := evaluator{problem: f, st: f.st, m: f.m, draws: d}
	e.all()
	f.drawCameras(d)
	f.m.Solve(d.x, d.xG, n)
	return d
}

// drawCameras draws what the cameras' prior is off by: with its information Λ = L Lᵀ the
// right-hand side is Λ ε = L z, z standard normal.
func (f *problem) drawCameras(d *errorDraws) {
	free := geometry.CameraUnknowns*f.nC - heldUnknowns
	info := mat.NewSymDense(free, nil)
	for i := range free {
		for j := i; j < free; j++ {
			info.SetSym(i, j, f.camInfo.At(heldUnknowns+i, heldUnknowns+j))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return
	}
	var l mat.TriDense
	chol.LTo(&l)
	for j := range free {
		d.fresh(1)
		for i := j; i < free; i++ {
			blas64.Axpy(l.At(i, j), d.vector(d.eps), d.vector(d.xG[(heldUnknowns+i)*d.n:][:d.n]))
		}
	}
}

func (d *errorDraws) vector(x []float64) blas64.Vector {
	return blas64.Vector{N: d.n, Inc: 1, Data: x}
}

// fresh makes eps errors of their own, of a standard deviation.
func (d *errorDraws) fresh(sigma float64) {
	for k := range d.eps {
		d.eps[k] = sigma * d.rnd.NormFloat64()
	}
}

// lastingAt is an error of unit variance that goes over into another one within lasts
// seconds; +Inf for one that stays. Times of one key come in order, forth or back.
//
// The mean of an Ornstein-Uhlenbeck process with the time constant τ over T ≫ τ has the variance
// 2τ/T, that of errors that are new every L seconds L/T: so τ = L/2.
func (d *errorDraws) lastingAt(key [4]int, seconds, lasts float64) []float64 {
	l := d.lasting[key]
	if l == nil {
		l = &lastingError{seconds, make([]float64, d.n)}
		for k := range l.value {
			l.value[k] = d.rnd.NormFloat64()
		}
		d.lasting[key] = l
		return l.value
	}
	if dt := math.Abs(seconds - l.seconds); dt > 0 && !math.IsInf(lasts, 1) {
		a := math.Exp(-2 * dt / math.Max(lasts, 1e-4))
		b := math.Sqrt(1 - a*a)
		for k := range l.value {
			l.value[k] = a*l.value[k] + b*d.rnd.NormFloat64()
		}
	}
	l.seconds = seconds
	return l.value
}

// plus adds a lasting error times k to eps.
func (d *errorDraws) plus(k float64, lasting []float64) {
	blas64.Axpy(k, d.vector(lasting), d.vector(d.eps))
}

// followed makes eps the error of an observation along an axis of the picture.
func (d *errorDraws) followed(s *observation, axis int) {
	e := &s.errs
	d.fresh(e.own)
	d.plus(e.drift, d.lastingAt([4]int{byTrack, s.clip, s.pt, axis}, s.seconds, e.lasts))
	for k, anchor := range e.anchors {
		if e.carried[k] != 0 {
			d.plus(e.carried[k], d.lastingAt([4]int{byAnchor, s.clip*len(Points) + s.pt, anchor, axis}, 0, math.Inf(1)))
		}
	}
}

// aligned makes eps the whitened error of a match of the patch, along either axis of the
// whitening: half of its variance is the patch's own and lasts.
func (d *errorDraws) aligned(patch int, m *match, axis int) {
	sigma := math.Sqrt(0.5 / m.lasts)
	d.fresh(sigma)
	d.plus(sigma, d.lastingAt([4]int{byPatch, patch, axis}, m.seconds, m.lastsSeconds))
}

// seemsTurned draws by how much the clothes turn on the pelvis, and seem to by what all
// patches err in alike, over time: slipSigma, which comes and goes with slipLasts. The slip's unknowns
// go straight between key positions, which for how fast the clothes turn is too little.
func (d *errorDraws) seemsTurned(c *clothFit) {
	from := c.begin - clothBefore
	d.turnedFrom = from
	a := math.Exp(-turnedStep / slipLasts)
	b := math.Sqrt(1 - a*a)
	for at := from; at < clothAfter+turnedStep; at += turnedStep {
		now := make([]float64, d.n)
		for k := range now {
			now[k] = d.rnd.NormFloat64()
			if i := len(d.turned); i > 0 {
				now[k] = a*d.turned[i-1][k] + b*now[k]
			}
		}
		d.turned = append(d.turned, now)
	}
	for i, now := range d.turned {
		blas64.Scal(c.slipSigma(from+turnedStep*float64(i)), d.vector(now))
	}
}

// turnedStep is how far apart seemsTurned draws, seconds.
const turnedStep = 0.004

// turnedAt is what seemsTurned drew for the time next to this one.
func (d *errorDraws) turnedAt(t float64) []float64 {
	i := int(math.Round((t - d.turnedFrom) / turnedStep))
	return d.turned[min(max(i, 0), len(d.turned)-1)]
}

// add adds w ε j to the right-hand sides, for a row of instant i and the next one, as
// levmar.Band.Add adds its residual.
func (d *errorDraws) add(e *evaluator, i int, w float64) {
	index, value := e.r.Locals()
	for a, k := range index {
		blk := i
		if k >= blockSize {
			blk, k = i+1, k-blockSize
		}
		blas64.Axpy(w*value[a], d.vector(d.eps), d.vector(d.x[blk][k*d.n:][:d.n]))
	}
	index, value = e.r.Globals()
	for a, k := range index {
		blas64.Axpy(w*value[a], d.vector(d.eps), d.vector(d.xG[k*d.n:][:d.n]))
	}
}

// steadySeconds are how long a golfer's acceleration lasts in the downswing, half of its variance
// each, and by how much slower it is longer in the other parts: what a sharp fit misses is the quick
// part, and what one of few points misses the slow one (ours; see the captured golfer of curve_test.go).
var steadySeconds = [2]float64{0.02, 0.08}

// accelerationNear is over how long, to either side, accelerations are taken to be of one
// size, seconds.
const accelerationNear = 0.08

// accelerate draws accelerations: of the size that the fitted motion has about each instant,
// lasting for steadySeconds.
func (f *problem) accelerate(d *errorDraws) {
	n := len(f.times)
	rate := make([]float64, n)
	var unit [len(steadySeconds)][]float64
	for s := range unit {
		unit[s] = make([]float64, d.n)
	}
	for dof := range numDofs {
		for i := range n - 1 {
			rate[i] = (f.st.x[i+1][numDofs+dof] - f.st.x[i][numDofs+dof]) / (f.times[i+1] - f.times[i])
		}
		rate[n-1] = rate[n-2]
		d.accel[dof] = make([][]float64, n)
		for i := range n {
			var square, count float64
			for j := range n {
				if math.Abs(f.times[j]-f.times[i]) <= accelerationNear {
					square, count = square+sq(rate[j]), count+1
				}
			}
			size := math.Sqrt(square / count / float64(len(unit)))
			now := make([]float64, d.n)
			for s := range unit {
				a := 0.0
				if i > 0 {
					a = math.Exp(-(f.times[i] - f.times[i-1]) / (steadySeconds[s] * f.phases[i].lasts / down.lasts))
				}
				b := math.Sqrt(1 - a*a)
				for k := range now {
					unit[s][k] = a*unit[s][k] + b*d.rnd.NormFloat64()
					now[k] += size * unit[s][k]
				}
			}
			d.accel[dof][i] = now
		}
	}
}

// moves makes eps what the two residuals of the motion prior between instant i and the next
// are off by for a degree of freedom: with an acceleration that goes evenly from a to b,
//
//	v₁ − v₀ = dt (a + b)/2,   x₁ − x₀ − dt (v₀ + v₁)/2 = dt² (a − b)/12.
func (d *errorDraws) moves(dof, i int, dt float64, speed bool) {
	a, b := d.accel[dof][i], d.accel[dof][i+1]
	for k := range d.eps {
		if speed {
			d.eps[k] = dt * (a[k] + b[k]) / 2
		} else {
			d.eps[k] = dt * dt * (a[k] - b[k]) / 12
		}
	}
}

// rateSigma is the standard deviation of a rate with the derivatives by, by an instant's
// values and speeds.
func (d *errorDraws) rateSigma(i int, by *[blockSize]float64) float64 {
	sum := d.scratch
	clear(sum)
	for a, k := range by {
		if k != 0 {
			blas64.Axpy(k, d.vector(d.x[i][a*d.n:][:d.n]), d.vector(sum))
		}
	}
	var square float64
	for _, v := range sum {
		square += v * v
	}
	return math.Sqrt(square / float64(d.n))
}
