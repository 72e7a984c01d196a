package geometry

import (
	"context"
	"fmt"
	"math"
)

// TrackSpot is where a point was followed to in one frame.
type TrackSpot struct {
	Seconds float64 // of the frame, on the clip's own clock
	At      ImagePt // upright pixels of the clip as filmed
	SigmaPx float64 // standard deviation of finding it in this frame, anew in each; one coordinate
	DriftPx float64 // standard deviation of what following adds, which lasts over frames
	// Part is how far, from 0 to 1, the spot leans on the anchor after it rather
	// than on the one before: a track that is bent to pass through its anchors
	// carries (1 − Part) of the error of the one before and Part of the other's.
	Part float64
}

// TrackAnchor is a mark that a track passes through.
type TrackAnchor struct {
	Spot int // index into Spots; its time is that of the mark's frame
	// Missed is by how much, in pixels, following from this anchor came out
	// beside the next one, and MissSigmaPx the standard deviation of that but for
	// the two clicks; 0 where it is not known.
	Missed      ImagePt
	MissSigmaPx float64
}

// CurveTrack is one point of the golfer followed through one clip, from its
// marks. Frames in which it was lost are left out.
type CurveTrack struct {
	Clip    int // index into Swing.Clips
	Point   Point
	Spots   []TrackSpot   // in order of time
	Anchors []TrackAnchor // in order of time
}

// CurveValue is a measure at one instant.
type CurveValue struct {
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
	Unit       Unit
	Values     []CurveValue // one for each of Curves.Seconds
	// Missing says why there is no value at all, or is empty.
	Missing string
}

// Curves is the result of a fit through time.
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
	Summary   Summary

	names []PositionName
	fit   *curveFit
}

// CurveInput is what the fit through time starts from.
type CurveInput struct {
	Swing  Swing
	Key    *Solution // of the same swing, converged
	Tracks []CurveTrack
	// Progress, which may be nil, is told the part done, from 0 to 1.
	Progress func(part float64)
}

// curveNames are the measures that are drawn over time.
var curveNames = [numCurves]string{
	curvePelvis: "pelvis turn", curveTorso: "torso turn", curveSeparation: "separation", curveSway: "sway",
	curveLeadKnee: "lead knee flex", curveTrailKnee: "trail knee flex", curveBend: "forward bend",
}

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

// CurvePoints are the points whose tracks the fit through time uses.
var CurvePoints = [...]Point{
	LeadHip, TrailHip, Buckle, Tailbone, LeadShoulder, TrailShoulder, Breastbone, UpperBack,
	LeadKnee, TrailKnee, LeadAnkle, TrailAnkle,
}

// NoCurves says why there are no curves, in sentences that say what to do.
type NoCurves struct{ Reasons []string }

// Error joins the reasons.
func (e *NoCurves) Error() string {
	s := "there are no curves"
	for i, r := range e.Reasons {
		sep := "; "
		if i == 0 {
			sep = ": "
		}
		s += sep + r
	}
	return s
}

// CurvesMissing returns what has to be marked before curves can be had of a
// swing, as sentences without a full stop, or nil.
func CurvesMissing(sw *Swing) []string {
	var out []string
	views := map[View]bool{}
	for i := range sw.Clips {
		views[sw.Clips[i].View] = true
	}
	if !views[FaceOn] || !views[DownTheLine] {
		out = append(out, "two clips of the swing are needed, one face-on and one down the line")
	}
	at := map[PositionName]int{}
	for i := range sw.Positions {
		at[sw.Positions[i].Name] = i + 1
	}
	if _, ok := clipShifts(sw); !ok && len(out) == 0 {
		out = append(out, "set impact in both clips: it is what puts them on one clock")
	}
	for _, name := range []PositionName{Address, Top} {
		i := at[name]
		if i == 0 {
			out = append(out, fmt.Sprintf("set %s in both clips", name))
			continue
		}
		for c := range sw.Clips {
			var have [numBody]bool
			for _, m := range sw.Marks {
				if m.Clip == c && m.Position == i-1 && int(m.Point) < numBody && m.State != Hidden {
					have[m.Point] = true
				}
			}
			view := sw.Clips[c].View
			one := func(a, b Point, what string) {
				if !have[a] && !have[b] {
					out = append(out, fmt.Sprintf("mark %s %s %s", what, atPosition(name), view))
				}
			}
			if view == FaceOn {
				if !have[LeadHip] || !have[TrailHip] {
					out = append(out, fmt.Sprintf("mark both hips %s %s", atPosition(name), view))
				}
				if !have[LeadShoulder] && !have[Breastbone] || !have[TrailShoulder] && !have[Breastbone] {
					out = append(out, fmt.Sprintf("mark both shoulders %s %s", atPosition(name), view))
				}
				continue
			}
			one(LeadHip, TrailHip, "a hip")
			one(LeadShoulder, TrailShoulder, "a shoulder")
		}
	}
	return out
}

// clipShifts returns what to add to each clip's clock so that impact is at 0.
func clipShifts(sw *Swing) ([]float64, bool) {
	for i := range sw.Positions {
		p := &sw.Positions[i]
		if p.Name != Impact || len(p.Seconds) < len(sw.Clips) {
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

// FitCurves fits the golfer's motion to tracked points: the poses of pelvis and
// chest, the knees and the ankles at every instant, with the shape of each
// segment, the cameras and the misplacement of each landmark shared by all.
//
// First the marks of the key positions are made one by what following says of them
// (see Solution.Levelled), and fitted anew. That fit says where the golfer is at
// the key positions, and the tracks how he gets from each to the next.
//
// It returns *NoCurves when something is missing, ctx.Err() when ctx ends first,
// and ErrNotConverged where no answer is to be trusted. The same input gives the
// same output, bit for bit.
func FitCurves(ctx context.Context, in CurveInput) (*Curves, error) {
	if reasons := CurvesMissing(&in.Swing); len(reasons) > 0 {
		return nil, &NoCurves{reasons}
	}
	if in.Key == nil || in.Key.Summary.Status != Converged || in.Key.post == nil || in.Key.post.m == nil {
		return nil, &NoCurves{[]string{"the marks at the key positions give no fit to start from: check them first"}}
	}
	marked := in.Key
	sharp, err := NewSolver().Solve(ctx, marked.Levelled(in.Tracks))
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err == nil && sharp.Summary.Status == Converged:
		in.Key = sharp
	}
	f, err := newCurveFit(&in)
	if err != nil {
		return nil, err
	}
	f.takeKeySigmas(marked)
	progress := func(part float64) {
		if in.Progress != nil {
			in.Progress(part)
		}
	}
	if err := f.minimise(ctx, func(part float64) { progress(0.7 * part) }); err != nil {
		return nil, err
	}
	out := &Curves{Seconds: f.times, Shift: f.shift, Positions: f.keyTimes, Summary: f.summary, fit: f, names: f.keyNames}
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

const noTracks = "no point could be followed through the clips"
