package motion

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// start makes the first state: the golfer of the fit at key positions, moved
// evenly from one to the next.
//
// The key positions' poses are joined by straight lines, angles on the branch a golfer can
// reach; speeds are those of the lines, which is what the motion prior starts from. The
// shape of a segment is the mean over the key positions of its points in its frame.
//
// An angle has no start of its own if its branch is wrong by a full turn: the motion prior would
// have to go round. From 135 degrees toward the target to 225 away is what a golfer reaches
// before the finish, 315 toward to 45 away there (geometry's turnBranch, for the same reason).
// Breastbone and upper back are put at one height on the chest by definition, and so are buckle
// and tailbone on the pelvis: tipped frames would fit the same points.
func (f *problem) start() error {
	key := f.key
	st := &state{g: make([]float64, f.nG)}
	for i := range key.Cameras {
		st.cams = append(st.cams, key.Cameras[i].Camera)
	}
	body := key.Body()
	f.st = st
	type at struct {
		t float64
		x [numDofs]float64
	}
	var knots []at
	shape := make([]float64, shapeUnknowns)
	for pos := range f.keyNames {
		if !geometry.Finite(f.keyTimes[pos]) {
			continue
		}
		k := at{t: f.keyTimes[pos]}
		p := func(pt geometry.Point) r3.Vec { return key.Points[pos][pt].At }
		pelvis := dofsOf(p(geometry.LeadHip), p(geometry.TrailHip), r3.Sub(p(geometry.Buckle), p(geometry.Tailbone)))
		chest := dofsOf(p(geometry.LeadShoulder), p(geometry.TrailShoulder), r3.Sub(p(geometry.Breastbone), p(geometry.UpperBack)))
		copy(k.x[:], pelvis[:])
		copy(k.x[segmentDofs:], chest[:])
		for i, pt := range [4]geometry.Point{geometry.LeadKnee, geometry.TrailKnee, geometry.LeadAnkle, geometry.TrailAnkle} {
			v := p(pt)
			copy(k.x[dofLeadKnee+3*i:], []float64{v.X, v.Y, v.Z})
		}
		for _, d := range [2]int{dofTurn, segmentDofs + dofTurn} {
			least := -135 * math.Pi / 180
			if f.keyNames[pos] == geometry.Finish {
				least = -315 * math.Pi / 180
			}
			for k.x[d] < least {
				k.x[d] += 2 * math.Pi
			}
			for k.x[d] >= least+2*math.Pi {
				k.x[d] -= 2 * math.Pi
			}
		}
		j := len(knots)
		for j > 0 && knots[j-1].t > k.t {
			j--
		}
		knots = append(knots[:j], append([]at{k}, knots[j:]...)...)
		for _, pt := range Points[:8] {
			c := carrierOf(pt)
			pose := poseOf(k.x[c.dof:])
			q := pose.inFrame(p(pt))
			n := 1 / float64(len(f.keyNames))
			if c.side != 0 {
				shape[c.shape] += n * c.side * q[0] / 2
				continue
			}
			for i := range q {
				shape[c.shape+i] += n * q[i]
			}
		}
	}
	for _, c := range [2]int{shapeBuckle, shapeBreastbone} { // level by definition
		mean := (shape[c+1] + shape[c+4]) / 2
		shape[c+1], shape[c+4] = mean, mean
	}
	for i, l := range [3]int{geometry.SegmentThigh, geometry.SegmentShank, geometry.SegmentTrunk} {
		shape[shapeThigh+i] = body.LogLengths[l]
	}
	f.legsLog = shape[shapeThigh] + shape[shapeShank]
	copy(st.g[f.oShape:], shape)
	for _, t := range f.times {
		x := make([]float64, blockSize)
		j := 0
		for j+2 < len(knots) && knots[j+1].t < t {
			j++
		}
		a, b := &knots[j], &knots[min(j+1, len(knots)-1)]
		part := 0.0
		if b.t > a.t {
			part = math.Min(math.Max((t-a.t)/(b.t-a.t), 0), 1)
		}
		for d := range numDofs {
			x[d] = (1-part)*a.x[d] + part*b.x[d]
			if part > 0 && part < 1 {
				x[numDofs+d] = (b.x[d] - a.x[d]) / (b.t - a.t)
			}
		}
		st.x = append(st.x, x)
	}
	return f.cameraPrior()
}

// cameraInflation multiplies the cameras' covariance as it comes from the fit at key
// positions: that has used the same marks, and what golfers usually look like, so
// that its errors and those of the tracks are not quite independent. From the
// captured golfer of the tests.
const cameraInflation = 2

// cameraPrior takes the cameras' covariance from the fit at key positions (see
// fit.Solution.CameraCovariance). The distance between the cameras is the measure of
// all lengths.
//
// The distance d = |c₁ − c₂| has the variance uᵀ Cov(c₁ − c₂) u, u the direction between
// them: the scale of everything in the picture, relative scaleSigma, is known no better.
//
// Cameras are not held: a track of hundreds of frames tells of them too. Their prior enters as
// the inverse covariance, CameraUnknowns a clip square, about where the fit has them.
func (f *problem) cameraPrior() error {
	cov := f.key.CameraCovariance()
	if f.nC > 1 {
		d := r3.Sub(f.key.Cameras[1].Camera.Position, f.key.Cameras[0].Camera.Position)
		by := [3]float64{d.X, d.Y, d.Z}
		var v float64
		for i := range by {
			for j := range by {
				a, b := geometry.CameraUnknowns+i, geometry.CameraUnknowns+j
				v += by[i] * by[j] * (cov.At(i, j) + cov.At(a, b) - cov.At(i, b) - cov.At(a, j))
			}
		}
		f.scaleSigma = math.Sqrt(v) / r3.Norm2(d)
	}
	cov.ScaleSym(cameraInflation, cov)
	var chol mat.Cholesky
	if !chol.Factorize(cov) || chol.InverseTo(&f.camInfo) != nil {
		return geometry.ErrNotConverged
	}
	return nil
}
