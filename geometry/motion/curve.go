package motion

import (
	"context"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// Observation is where a point was followed to in one frame.
type Observation struct {
	Seconds float64          // of the frame, on the clip's own clock
	At      geometry.ImagePt // upright pixels of the clip as filmed
	SigmaPx float64          // standard deviation of finding it in this frame, anew in each; one coordinate
	DriftPx float64          // standard deviation of what following adds, which lasts over frames
	// Part is how far, from 0 to 1, the observation leans on the anchor after it rather
	// than on the one before: a track that is bent to pass through its anchors
	// carries (1 − Part) of the error of the one before and Part of the other's.
	Part float64
}

// Anchor is a mark that a track passes through.
type Anchor struct {
	Observation int // index into Observations; its time is that of the mark's frame
	// Missed is by how much, in pixels, following from this anchor came out
	// beside the next one, and MissSigmaPx the standard deviation of that but for
	// the two clicks; 0 where it is not known.
	Missed      geometry.ImagePt
	MissSigmaPx float64
}

// Track is one point of the golfer followed through one clip, from its marks: a
// sequence of observations, some of which are anchors. Frames in which the
// point was lost are left out. Clocks are the clip's own and places those of
// the clip as filmed; a left-hander's are mirrored by the fit.
type Track struct {
	Clip         int // index into Swing.Clips
	Point        geometry.Point
	Observations []Observation // in order of time
	Anchors      []Anchor      // in order of time
}

// Value is a measure at one instant, in the unit of its Curve, and its change
// per second. Sigmas are standard deviations, intervals those of a normal
// distribution.
type Value struct {
	// Known says that there is a value. Where the tracks were lost for too long
	// there is none.
	Known      bool
	Value      float64
	Sigma      float64 // standard deviation of Value
	Rate       float64 // change per second
	RateSigma  float64
	Low95      float64
	High95     float64
	RateLow95  float64
	RateHigh95 float64
}

// Curve is a measure over the swing.
type Curve struct {
	Name       string // as in Definitions
	Definition string
	Positive   string
	Unit       geometry.Unit
	Values     []Value // one for each of Curves.Seconds
	// Lost says that there is no value at all: the points that it needs could not
	// be followed well enough.
	Lost bool
}

// Curves is the result of a fit through time. It does not change after Fit
// returns, and its methods may be called from several goroutines.
type Curves struct {
	// Seconds are the instants, ascending, on a clock that reads 0 at impact.
	Seconds []float64
	// Shift is what is added to each clip's own clock to come to that one.
	Shift []float64
	// Positions are the key positions on it; NaN where no frame is set.
	Positions []float64
	Curves    []Curve
	Reversal  Reversal
	Peak      Peak
	Summary   geometry.Summary
	Seen      Seen

	positionNames []geometry.PositionName
	problem       *problem
}

// Input is what the fit through time starts from.
type Input struct {
	Swing  geometry.Swing
	Key    *fit.Solution // of the same swing, converged
	Tracks []Track
	// Cloth, which may be nil, looks at the golfer's clothes.
	Cloth Cloth
	// Progress, which may be nil, is called with the part done, from 0 to 1.
	Progress func(part float64)
}

// names are the measures that are drawn over time.
var names = [numCurves]string{
	curvePelvis: "pelvis turn", curveTorso: "torso turn", curveSeparation: "separation", curveSway: "sway",
	curveLeadKnee: "lead knee flex", curveTrailKnee: "trail knee flex", curveBend: "forward bend",
}

// Measured reports whether a measure, by its name, is among the curves.
func Measured(name string) bool { return slices.Contains(names[:], name) }

// Indices of Curves.Curves.
const (
	curvePelvis = iota
	curveTorso
	curveSeparation
	curveSway
	curveLeadKnee
	curveTrailKnee
	curveBend
	numCurves
)

// Points are the points whose tracks the fit through time uses.
var Points = [...]geometry.Point{
	geometry.LeadHip, geometry.TrailHip, geometry.Buckle, geometry.Tailbone, geometry.LeadShoulder, geometry.TrailShoulder, geometry.Breastbone, geometry.UpperBack,
	geometry.LeadKnee, geometry.TrailKnee, geometry.LeadAnkle, geometry.TrailAnkle,
}

// clipShifts returns what to add to each clip's clock so that impact is at 0.
// ok is false unless every clip has a frame of impact: nothing else ties the
// two clocks together to within a frame.
//
// Impact is the one instant that is sharp in every clip: the ball leaves. What is left is
// that a frame shows it up to half a frame late or early, an unknown of the border.
func clipShifts(sw *geometry.Swing) ([]float64, bool) {
	for i := range sw.Positions {
		p := &sw.Positions[i]
		if p.Name != geometry.Impact || len(p.Seconds) < len(sw.Clips) {
			continue
		}
		out := make([]float64, len(sw.Clips))
		for c := range sw.Clips {
			if math.IsNaN(p.Seconds[c]) {
				return nil, false
			}
			out[c] = -p.Seconds[c]
		}
		return out, true
	}
	return nil, false
}

// Fit fits the golfer's motion to tracked points: the poses of pelvis and
// chest, the knees and the ankles at every instant, with the shape of each
// segment, the cameras and the misplacement of each landmark shared by all.
//
// First the marks of the key positions are made one by what following says of
// them (see fuse), and fitted anew. That fit says where the golfer is at the
// key positions, and the tracks how he gets from each to the next. The most
// probable motion is
//
//	argmin ½ Σ motion² + Σ robust(observations) + ½ Σ bodies² + ½ Σ key positions² + ½ xGᵀ Λ xG,
//
// the motion prior between neighbouring instants (prior.go), each observation
// in its picture (residual.go), lengths and joints at every instant (body.go),
// the normal priors of the key positions (keyprior.go) and those of the border
// (border.go). Each term touches at most two neighbouring instants and the
// border, so that the normal matrix is a levmar.Band: its
// factorisation takes a time in proportion to the number of instants, some 150.
//
// It returns *NoCurves when something is missing, ctx.Err() when ctx ends
// first, and ErrNotConverged where no answer is to be trusted. The same input
// gives the same output, bit for bit.
func Fit(ctx context.Context, in Input) (*Curves, error) {
	if lacks := Missing(&in.Swing); len(lacks) > 0 {
		return nil, &NoCurves{lacks}
	}
	if in.Key == nil || in.Key.Summary.Status != geometry.Converged || !in.Key.Determined() {
		return nil, &NoCurves{[]Lack{{What: NoKeyFit}}}
	}
	marked := in.Key
	sharp, err := fit.NewSolver().Solve(ctx, fuse(marked, in.Tracks))
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err == nil && sharp.Summary.Status == geometry.Converged:
		in.Key = sharp
	}
	f, err := newProblem(&in)
	if err != nil {
		return nil, err
	}
	// How sure the curves can be is by the marks as they were, too: fusing them
	// has used the tracks already.
	f.takeKeySigmas(marked)
	progress := func(part float64) {
		if in.Progress != nil {
			in.Progress(part)
		}
	}
	if err := f.minimise(ctx, func(part float64) { progress(0.4 * part) }); err != nil {
		return nil, err
	}
	seen, err := f.followCloth(ctx, &in, func(part float64) { progress(0.4 + 0.3*part) })
	if err != nil {
		return nil, err
	}
	out := &Curves{Seen: seen, Seconds: f.times, Shift: f.shift, Positions: f.keyTimes, Summary: f.summary, problem: f, positionNames: f.keyNames}
	if err := out.evaluate(ctx); err != nil {
		return nil, err
	}
	progress(0.85)
	if err := out.draw(ctx); err != nil {
		return nil, err
	}
	progress(1)
	return out, nil
}
