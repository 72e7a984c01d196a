package geometry

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// start makes the first state: the golfer of the fit at key positions, moved
// evenly from one to the next.
func (f *curveFit) start() {
	key := f.key
	st := &curveState{cams: append([]Camera(nil), key.st.cams...), g: make([]float64, f.nG)}
	f.st = st
	type at struct {
		t float64
		x [curveDofs]float64
	}
	var knots []at
	shape := make([]float64, shapeUnknowns)
	for pos := range key.p.names {
		if !finite(f.keyTimes[pos]) {
			continue
		}
		k := at{t: f.keyTimes[pos]}
		p := func(pt Point) r3.Vec { return key.st.at(pos, pt) }
		pelvis := dofsOf(p(LeadHip), p(TrailHip), r3.Sub(p(Buckle), p(Tailbone)))
		chest := dofsOf(p(LeadShoulder), p(TrailShoulder), r3.Sub(p(Breastbone), p(UpperBack)))
		copy(k.x[:], pelvis[:])
		copy(k.x[segmentDofs:], chest[:])
		for i, pt := range [4]Point{LeadKnee, TrailKnee, LeadAnkle, TrailAnkle} {
			v := p(pt)
			copy(k.x[dofLeadKnee+3*i:], []float64{v.X, v.Y, v.Z})
		}
		for _, d := range [2]int{dofTurn, segmentDofs + dofTurn} {
			least := -135 * math.Pi / 180
			if key.p.names[pos] == Finish {
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
		for _, pt := range CurvePoints[:8] {
			c := carrierOf(pt)
			pose := poseOf(k.x[c.dof:])
			q := pose.inFrame(p(pt))
			n := 1 / float64(len(key.p.names))
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
	for i, l := range [3]int{lenThigh, lenShank, lenTrunk} {
		shape[shapeThigh+i] = key.st.g[key.p.oLengths+l]
	}
	f.legsLog = shape[shapeThigh] + shape[shapeShank]
	copy(st.g[f.oShape:], shape)
	for _, t := range f.times {
		x := make([]float64, curveBlock)
		j := 0
		for j+2 < len(knots) && knots[j+1].t < t {
			j++
		}
		a, b := &knots[j], &knots[min(j+1, len(knots)-1)]
		part := 0.0
		if b.t > a.t {
			part = math.Min(math.Max((t-a.t)/(b.t-a.t), 0), 1)
		}
		for d := range curveDofs {
			x[d] = (1-part)*a.x[d] + part*b.x[d]
			if part > 0 && part < 1 {
				x[curveDofs+d] = (b.x[d] - a.x[d]) / (b.t - a.t)
			}
		}
		st.x = append(st.x, x)
	}
	f.cameraPrior()
}

// keptLeastShare is the least share of the misplacement that is taken to stay
// with the body, for what the fit at key positions hands on.
const keptLeastShare = 0.5

// handedOn multiplies the cameras' covariance as it comes from the fit at key
// positions: that has used the same marks, and what golfers usually look like, so
// that its errors and those of the tracks are not quite independent. From the
// captured golfer of the tests.
const handedOn = 2

// cameraPrior takes the cameras' covariance from the fit at key positions, and
// adds what misplacements that stay with the body do to it: they are the same at
// all positions and do not average out (see Solution.markingVariance).
func (f *curveFit) cameraPrior() {
	n := camUnknowns * f.nC
	cov := make([]float64, n*n)
	s := f.key
	q := s.post
	kept := make([][numBody][3]float64, n)
	unit := make([]float64, q.m.nG)
	for i := range n {
		copy(cov[i*n:][:n], q.covG[i*q.m.nG:][:n])
		clear(unit)
		unit[i] = 1
		q.solveFor(&gradient{pos: [numSlots]int{-1, -1, -1}, g: unit}, true)
		for k := range s.pulls {
			u := &s.pulls[k]
			c := covarianceWith(&u.pr, u.clip, q.xP[u.pos][3*u.pt:], q.xG)
			for j := range kept[i][u.pt] {
				kept[i][u.pt][j] += c[0]*u.axes[0][j] + c[1]*u.axes[1][j]
			}
		}
	}
	share := math.Max(s.p.kept, keptLeastShare) * sq(placingSigmaM)
	for i := range n {
		for j := range n {
			for pt := range kept[i] {
				for k := range kept[i][pt] {
					cov[i*n+j] += share * kept[i][pt][k] * kept[j][pt][k]
				}
			}
		}
	}
	if f.nC > 1 { // the distance between the cameras is the measure of all lengths
		d := r3.Sub(f.key.st.cams[1].Position, f.key.st.cams[0].Position)
		by := [3]float64{d.X, d.Y, d.Z}
		var v float64
		for i := range by {
			for j := range by {
				a, b := camUnknowns+i, camUnknowns+j
				v += by[i] * by[j] * (cov[i*n+j] + cov[a*n+b] - cov[i*n+b] - cov[a*n+j])
			}
		}
		f.scaleSigma = math.Sqrt(v) / r3.Norm2(d)
	}
	for i := range cov {
		cov[i] *= handedOn
	}
	f.camInfo = inverseOf(cov, n)
}
