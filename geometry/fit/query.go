package fit

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// What a fit that goes on from a solution asks of it. Pictures and marks are here
// as the fit sees them: a left-hander's mirrored.

// Swing returns the swing as it was fitted, a left-hander's mirrored. Its slices
// are the solution's own and must not be changed.
func (s *Solution) Swing() geometry.Swing { return s.sw }

// Determined reports whether the normal matrix could be factorised, so that
// covariances are known.
func (s *Solution) Determined() bool { return s.post != nil && s.post.Determined() }

// Marked reports whether a point is marked, in any clip, at a position.
func (s *Solution) Marked(position int, p geometry.Point) bool { return s.p.Marked[position][p] }

// Body is the golfer's size as fitted.
type Body struct {
	StatureM float64
	// LogLengths holds the natural logarithm of each segment's length in metres.
	LogLengths [geometry.NumSegments]float64
}

// Body returns the golfer's size.
func (s *Solution) Body() Body {
	stature, lengths := s.p.Size(s.st)
	return Body{math.Exp(stature), lengths}
}

// Expected returns where the fit expects the picture of a point of the golfer in
// a clip at a position, upright pixels, and the variance of one coordinate of it,
// px²; ok is false for a point behind the camera.
func (s *Solution) Expected(clip, position int, p geometry.Point) (at geometry.ImagePt, variance float64, ok bool) {
	pr, ok := s.projection(clip, position, p)
	if !ok {
		return at, 0, false
	}
	c := s.post.PixelCovariance(&pr, clip, position, p)
	return geometry.ImagePt{X: pr.X, Y: pr.Y}, (c[0][0] + c[1][1]) / 2, true
}

// ClickSigmaPx is the standard deviation, pixels, of what errs in one mark of a
// point in a clip alone, of one coordinate. mark is an index into Swing.Marks, or
// −1 for what is usual of one.
//
// At least the click itself remains, however careful the marks have come out.
func (s *Solution) ClickSigmaPx(clip int, p geometry.Point, mark int) float64 {
	if mark >= 0 && s.sw.Marks[mark].SigmaPx > 0 {
		return s.sw.Marks[mark].OwnSigmaPx()
	}
	click := s.sw.ClickSigmaPx
	if click <= 0 {
		click = geometry.ClickSigmaPx
	}
	cam := &s.st.Cameras[clip]
	scale := float64(geometry.TypicalPxPerM)
	if mark >= 0 {
		scale = cam.FocalPx / math.Max(cam.ToCamera(s.st.At(s.sw.Marks[mark].Position, p)).Z, geometry.NearestM)
	}
	return math.Sqrt(math.Max(s.p.MarkVariance(p, geometry.Placed, s.p.Views[clip], scale, click), sq(click)))
}

// LinearCovariance returns the covariance of linear functions of the golfer's
// points at one position: by holds for each its derivatives by the coordinates of
// all points, 3·NumBody of them, per metre.
//
// With A the rows of by, the result is A C Aᵀ, len(by) square, in the squares of the
// functions' units. One solve for each row: C itself is never formed.
func (s *Solution) LinearCovariance(position int, by [][]float64) *mat.SymDense {
	out := mat.NewSymDense(len(by), nil)
	for d := range by {
		s.post.SolveFor(bundle.PositionGradient(position, by[d]), false)
		for c := range d + 1 {
			var v float64
			for j, w := range by[c] {
				if w != 0 {
					v += w * s.post.CovarianceWithPosition(position)[j]
				}
			}
			out.SetSym(c, d, v)
		}
	}
	return out
}

// CameraCovariance returns the covariance of the unknowns of all cameras, in the
// order of CameraUnknowns. To the posterior's it adds what misplacements that stay
// with the body do to the cameras: they are the same at all positions and do not
// average out.
//
// An error of a landmark that stays moves camera unknown i by common[i], in its unit per metre
// along each of the landmark's three axes; over independent landmarks the products add up with
// the variances of LastingSigmaM. The order is that of the clips, CameraUnknowns each; units are
// metres, radians, and none for log focal and k₁.
func (s *Solution) CameraCovariance() *mat.SymDense {
	n := geometry.CameraUnknowns * len(s.p.Clips)
	q := s.post
	common := make([][geometry.NumBody][3]float64, n)
	for i := range n {
		q.SolveForCamera(i)
		for k := range s.influences {
			u := &s.influences[k]
			c := q.CovarianceWith(u.pr, u.clip, u.pos, u.pt)
			for j := range common[i][u.pt] {
				common[i][u.pt][j] += c[0]*u.axes[0][j] + c[1]*u.axes[1][j]
			}
		}
	}
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := q.CameraCovariance(i, j)
			for pt := range common[i] {
				for k := range common[i][pt] {
					v += sq(bundle.LastingSigmaM(geometry.Point(pt))) * common[i][pt][k] * common[j][pt][k]
				}
			}
			cov.SetSym(i, j, v)
		}
	}
	return cov
}
