package bench

import (
	"fmt"
	"hash/fnv"
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
)

// Curves is the swing's motion between the key positions, as far as it was
// followed.
type Curves struct {
	// Of names the marks, positions and clips that it is of; see CurvesKey.
	Of       uint64
	Followed *curves.Followed
	// Fit is nil where there is none; Reasons then say why.
	Fit     *motion.Curves
	Reasons []string
	Names   []geometry.PositionName // of Fit.Positions
}

// CurvesKey changes whenever curves of the swing would: with a mark, a key
// position, a clip or what is known of the student, and not with a drawing or a
// title.
func CurvesKey(l *annotations.Lesson, swing int) uint64 {
	h := fnv.New64a()
	sw, _ := annotations.Problem(l, swing)
	_, _ = fmt.Fprintf(h, "%v", sw)
	s := &l.Swings[swing]
	for i := range s.Clips {
		_, _ = fmt.Fprintf(h, "|%s %s", s.Clips[i].ID, s.Clips[i].File)
	}
	for i := range s.Positions {
		_, _ = fmt.Fprintf(h, "|%v", s.Positions[i])
	}
	return h.Sum64()
}

// curvesNow is the key of the swing as it is, kept for its lesson.
type curvesNow struct {
	lesson *annotations.Lesson
	key    uint64
}

// CurvesKey returns the key of the swing as it is now.
func (b *Bench) CurvesKey() uint64 {
	if l := b.Lesson(); b.curvesNow.lesson != l {
		b.curvesNow = curvesNow{l, CurvesKey(l, l.SwingIndex(b.Swing().ID))}
	}
	return b.curvesNow.key
}

// SetCurves gives the bench what was followed and fitted.
func (b *Bench) SetCurves(c *Curves) { b.curves = c }

// Curves returns what SetCurves gave, or nil; current says that nothing it rests
// on has changed since.
func (b *Bench) Curves() (c *Curves, current bool) {
	return b.curves, b.curves != nil && b.curves.Of == b.CurvesKey()
}

// TrackedPoint is where a point was followed to in a frame.
type TrackedPoint struct {
	Point   geometry.Point
	At      geometry.ImagePt // upright pixels of the clip
	SigmaPx float64          // what following may have added, one coordinate
	Marked  bool             // it is a mark itself
}

// Tracked returns the points that could be followed to a frame of a clip, in the
// order of the points: between key positions the golfer can be drawn by them.
// It is empty where nothing was followed, or where what it rests on has changed.
func (b *Bench) Tracked(clip string, frame int) []TrackedPoint {
	c, current := b.Curves()
	if !current || c.Followed == nil {
		return nil
	}
	var out []TrackedPoint
	for i := range c.Followed.Clips {
		f := &c.Followed.Clips[i]
		if f.ID != clip {
			continue
		}
		for p := range geometry.Ball {
			if s, ok := f.At(p, frame); ok {
				out = append(out, TrackedPoint{Point: p, At: geometry.ImagePt{X: s.X, Y: s.Y}, SigmaPx: s.Sigma, Marked: s.Sigma == 0})
			}
		}
	}
	return out
}

// clipOn returns the followed clip that a stage shows, and its index.
func (b *Bench) clipOn(stage int) (*curves.Clip, int) {
	if b.curves == nil || b.curves.Followed == nil {
		return nil, 0
	}
	for i := range b.curves.Followed.Clips {
		if f := &b.curves.Followed.Clips[i]; f.ID == b.Stages[stage].Clip && f.ID != "" {
			return f, i
		}
	}
	return nil, 0
}

// CurveSeconds returns when the frame that a stage shows is, on the clock of the
// curves.
func (b *Bench) CurveSeconds(stage int) (seconds float64, ok bool) {
	f, i := b.clipOn(stage)
	n := b.Stages[stage].Frame
	if f == nil || b.curves.Fit == nil || n < 0 || n >= len(f.Seconds) {
		return 0, false
	}
	return f.Seconds[n] + b.curves.Fit.Shift[i], true
}

// GoToCurve shows, on both stages, the frames nearest to a time on the clock of
// the curves.
func (b *Bench) GoToCurve(seconds float64) {
	if b.curves == nil || b.curves.Fit == nil {
		return
	}
	for i := range b.Stages {
		f, clip := b.clipOn(i)
		st := &b.Stages[i]
		if f == nil || st.Film == nil || len(f.Seconds) == 0 {
			continue
		}
		best := 0
		at := seconds - b.curves.Fit.Shift[clip]
		for n, t := range f.Seconds {
			if math.Abs(t-at) < math.Abs(f.Seconds[best]-at) {
				best = n
			}
		}
		if st.Frame != best {
			st.Frame = clampFrame(best, st.Film)
			b.moved()
		}
	}
	if p, ok := b.PositionAt(b.Active); ok {
		b.Position = p
	}
}
