package fit

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
)

// Where each phone stood. A camera is taken to stand on the line that its view is named
// after, give or take half a metre and seven degrees. One that stood far off it draws the
// whole fit aside, or keeps it from settling, though its marks are right. Where such a
// camera explains the marks better, it is found from several starts round the golfer, and
// the numbers are those of where it stood.

// offLineGain is the least logarithm of the odds at which a camera is said to have stood
// off its line. It is less than mistakeGain because nothing is withheld for it: one that
// is said wrongly costs some width of the intervals. Ours.
const offLineGain = 4

// offLineStarts are the turns about the golfer, radians, from which a camera that stood off
// its line is looked for, 52 degrees apart: on the walker any of them leads to where it
// stood.
var offLineStarts = [...]float64{0, 0.9, -0.9}

// aside returns how far a camera stood off its view's line as seen from above, radians,
// by its axis: positive toward the target of face-on, toward the ball of down the line.
//
// It is the azimuth of the axis and not of the place: a camera that stands off the line and looks
// at the golfer has both, and one that stands on it and looks past him is told apart from it by
// where he is in the picture.
func aside(cam *geometry.Camera, v geometry.View) float64 {
	f := cam.Rotation[2]
	if v == geometry.DownTheLine {
		return math.Atan2(-f[2], f[0])
	}
	return math.Atan2(-f[0], -f[2])
}

// asideSigma is the standard deviation of aside, radians: that of turning the camera about
// the vertical.
//
// A small turn ω of the camera turns its axis about the vertical by ω·n, n the vertical in the
// camera's own axes, the second column of the rotation; its variance is nᵀ C n.
func (s *Solution) asideSigma(clip int) float64 {
	c := s.post.RotationCovariance(clip)
	// The vertical in the camera's own axes, in which its turns are unknowns.
	m := &s.st.Cameras[clip].Rotation
	up := [3]float64{m[0][1], m[1][1], m[2][1]}
	v := 0.0
	for i := range up {
		for k := range up {
			v += up[i] * c[i][k] * up[k]
		}
	}
	return math.Sqrt(math.Max(v, 0))
}

// strayed reports whether a fitted camera stands so far off its line, for one that was
// taken to stand on it, that another place is to be tried.
//
// 2.2 standard deviations of the prior are 15 degrees. The prior still draws such a camera back,
// so that it stands further off than it is found; a sound one is found there in a few lessons of
// a hundred, and then only costs the time of another fit.
func (s *Solution) strayed() bool {
	const sigmas = 2.2
	for c := range s.p.Clips {
		if !s.p.Clips[c].OffLine && math.Abs(aside(&s.st.Cameras[c], s.p.Views[c])) > sigmas*bundle.CameraYawSigma {
			return true
		}
	}
	return false
}

// leastGain is the gain at which a mistake is said.
func leastGain(what geometry.MistakeKind) float64 {
	if what == geometry.CameraOffLine {
		return offLineGain
	}
	return mistakeGain
}

// placed is where a cold solve begins: the best of what follows from several places of the
// cameras that stood off their line, else from the lines themselves.
//
// To the costs that are compared each mark adds log σ², the normalisation of two coordinates:
// a start that puts a camera twice as far away halves the pixels that a millimetre is worth, and
// with them σ, so that costs alone, in units of σ, would not compare.
func (s *Solver) placed(ctx context.Context, sw geometry.Swing, p *bundle.Problem) (*beginning, error) {
	turns := [][]float64{make([]float64, len(p.Clips))}
	for c := range p.Clips {
		if !p.Clips[c].OffLine {
			continue
		}
		var more [][]float64
		for _, t := range turns {
			for _, by := range offLineStarts {
				u := append([]float64(nil), t...)
				u[c] = by
				more = append(more, u)
			}
		}
		turns = more
	}
	best := &beginning{sw: sw, cost: math.Inf(1)}
	iterations := 0
	s.engine = bundle.NewMinimiser(p, s.engine)
	for _, t := range turns {
		st, r, n, err := s.engine.Begin(ctx, sw, t)
		if err != nil {
			return nil, err
		}
		iterations += n
		cost := r
		for pos := range p.Marks { // a camera far away has its marks mean more
			for k := range p.Marks[pos] {
				cost += 2 * math.Log(p.Marks[pos][k].Sigma)
			}
		}
		if best.st == nil || cost < best.cost {
			best.st, best.cost = st, cost
		}
	}
	best.iterations = iterations
	return best, nil
}

// offLine solves a swing again with the camera of a mistake found where it stood, and tells
// where that is and what it costs. nil where that does not settle.
//
// Its cost is told by filming the same golfer from where the camera should have stood: the marks
// of the fit's own points as that camera would see them, off by as much as the real ones were,
// solved anew.
func (s *Solver) offLine(ctx context.Context, given geometry.Swing, m *geometry.Mistake) (*Solution, error) {
	mended, _ := m.Mend(given)
	sw := mended.Mirrored()
	other := NewSolver()
	sol, err := other.cold(ctx, sw, bundle.NewProblem(&sw))
	if sol, err = other.keep(ctx, sol, err); err != nil || sol == nil || sol.Summary.Status != geometry.Converged {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, nil
	}
	told := *m
	sol.Mistake = &told
	*s = *other
	cam := &sol.st.Cameras[m.Clip]
	told.Degrees, told.DegreesSigma = aside(cam, sol.p.Views[m.Clip])*180/math.Pi, sol.asideSigma(m.Clip)*180/math.Pi
	square, err := s.without(ctx, sol.square(m.Clip))
	if err != nil {
		return nil, err
	}
	for _, want := range costliest {
		now, lack := sol.Measure(want.name, want.at)
		if lack != nil || square == nil {
			continue
		}
		if then, lack := square.Measure(want.name, want.at); lack == nil {
			told.Costs = &geometry.OffLineCost{Measure: want.name, At: want.at, HalfWidth: geometry.Z95 * now.Sigma, SquareHalfWidth: geometry.Z95 * then.Sigma}
			break
		}
	}
	return sol, nil
}

// costliest are the measures that a camera's place costs most, the first that there is.
var costliest = [...]struct {
	name string
	at   geometry.PositionName
}{{"pelvis turn", geometry.Top}, {"torso turn", geometry.Top}, {"pelvis turn", geometry.Impact}, {"torso turn", geometry.Impact}, {"pelvis turn", geometry.Address}, {"torso turn", geometry.Address}}

// square is the swing as the fit has it, as one camera would have filmed it from its own
// line, as far from the golfer and as high.
func (s *Solution) square(clip int) geometry.Swing {
	sw := s.sw
	sw.Clips = append([]geometry.Clip(nil), sw.Clips...)
	sw.Clips[clip].OffLine = false
	sw.Clips[clip].GroundLines = nil
	cam := s.st.Cameras[clip]
	aim := r3.Vec{Y: 0.85, Z: 0.15}
	d := r3.Sub(cam.Position, aim)
	away := math.Hypot(d.X, d.Z)
	at := r3.Vec{X: aim.X, Y: cam.Position.Y, Z: aim.Z + away}
	if s.p.Views[clip] == geometry.DownTheLine {
		at = r3.Vec{X: aim.X - away, Y: cam.Position.Y, Z: aim.Z}
	}
	cam.Position, cam.Rotation = at, geometry.LookAt(at, aim, 0)
	sw.Marks = nil
	for _, m := range s.sw.Marks {
		if m.State == geometry.Hidden {
			continue
		}
		if m.Clip == clip {
			at := s.p.Ball(s.st)
			if m.Point != geometry.Ball {
				at = s.st.At(m.Position, m.Point)
			}
			was, err := s.st.Cameras[clip].Project(at)
			px, err2 := cam.Project(at)
			if err != nil || err2 != nil {
				continue
			}
			// It is marked as well as it was.
			m.At = geometry.ImagePt{X: m.At.X + px.X - was.X, Y: m.At.Y + px.Y - was.Y}
		}
		sw.Marks = append(sw.Marks, m)
	}
	return sw.Mirrored() // back to how it was given
}
