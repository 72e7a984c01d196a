package bench

import (
	"math"

	"turngauge/geometry"
)

// Box is a part of a clip's upright picture, in its pixels.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Empty reports whether there is nothing in the box.
func (b Box) Empty() bool { return b.X1 <= b.X0 || b.Y1 <= b.Y0 }

// in returns the part of the box that lies in a picture.
func (b Box) in(picture Size) Box {
	return Box{math.Max(b.X0, 0), math.Max(b.Y0, 0), math.Min(b.X1, picture.W), math.Min(b.Y1, picture.H)}
}

// How far a swing reaches around a golfer at address, in parts of the height from
// the feet to the head in the picture, which is about 1.5 m there. Hands and club
// are at their highest with the shaft upright and the hands at the chest, and at
// their widest with the shaft level at either side (from the lengths of a 7-iron
// and an arm; common practice, no source). The ball lies below the feet face-on.
const (
	reachAbove = 0.48
	reachBelow = 0.16
	reachAside = 0.98
)

// Reach returns the part of a picture that a golfer and the club take in a whole
// swing, from where head and feet are at address.
func Reach(head, feet, middle float64, picture Size) Box {
	h := feet - head
	return Box{middle - reachAside*h, head - reachAbove*h, middle + reachAside*h, feet + reachBelow*h}.in(picture)
}

// Golfer returns the part of a stage's picture in which the golfer swings: from the
// marks at address, else from what was seen when the clip was opened.
func (s *Show) Golfer(stage int) (Box, bool) {
	st := &s.Stages[stage]
	if b, ok := s.markedGolfer(stage); ok {
		return b, true
	}
	return st.Seen, !st.Seen.Empty()
}

// markedGolfer is Golfer from the marks at address alone.
func (s *Show) markedGolfer(stage int) (Box, bool) {
	st, sw := &s.Stages[stage], s.swingOn(stage)
	if sw == nil || st.Clip == "" {
		return Box{}, false
	}
	var head, feet, left, right float64
	var hasHead, hasFeet bool
	for i := range sw.Marks {
		m := &sw.Marks[i]
		if m.Clip != st.Clip || m.Position != geometry.Address || m.State == geometry.Hidden {
			continue
		}
		switch m.Point {
		case geometry.Head:
			head, hasHead = m.At.Y, true
		case geometry.LeadAnkle, geometry.TrailAnkle, geometry.LeadToe, geometry.TrailToe, geometry.LeadHeel, geometry.TrailHeel:
			if !hasFeet {
				feet, left, right, hasFeet = m.At.Y, m.At.X, m.At.X, true
			}
			feet, left, right = math.Max(feet, m.At.Y), math.Min(left, m.At.X), math.Max(right, m.At.X)
		}
	}
	if !hasHead || !hasFeet || feet <= head {
		return Box{}, false
	}
	return Reach(head, feet, (left+right)/2, st.Picture), true
}

// Around shows a part of a picture whole, and as much of what lies around it as
// there is room for; beyond the picture's edges nothing is shown as long as there
// is picture on the other side.
func Around(part Box, picture, stage Size) Viewport {
	scale := clampScale(math.Min(stage.W/(part.X1-part.X0), stage.H/(part.Y1-part.Y0)))
	middle := func(low, high, whole, shown float64) float64 {
		if shown >= whole {
			return whole / 2
		}
		return math.Min(math.Max((low+high)/2, shown/2), whole-shown/2)
	}
	return Viewport{
		PicturePt{
			middle(part.X0, part.X1, picture.W, stage.W/scale),
			middle(part.Y0, part.Y1, picture.H, stage.H/scale),
		}, scale,
	}
}
