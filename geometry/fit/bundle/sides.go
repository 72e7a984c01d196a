package bundle

import (
	"math"
	"slices"

	"turngauge/geometry"
)

// Lead and trail segments are as long as each other, but the marks that end them
// are not placed alike: half the difference of each pair is an unknown of its own,
// in units of its standard deviation, the same at all positions. Without it, marks
// that differ between the sides turn the pelvis.

// sidedLengths are the lengths that occur on both sides.
var sidedLengths = [...]int{geometry.SegmentHipBuckle, geometry.SegmentHipTailbone, geometry.SegmentShoulderBreastbone, geometry.SegmentShoulderUpperBack,
	geometry.SegmentThigh, geometry.SegmentShank, geometry.SegmentAnkleHeel, geometry.SegmentHeelToe, geometry.SegmentAnkleToe, geometry.SegmentUpperArm, geometry.SegmentForearm}

// segmentSide says which of the unknown differences a segment has, −1 for one in
// the middle, and what one unit of it adds to its length, metres: the standard
// deviation that lasting misplacements of both ends give it, negative on the
// trail side.
//
// A mark that is off by d at all positions moves its end of the segment by d; along the segment
// that has the standard deviation LastingSigmaM of the point, and for two ends, whose errors
// are independent, the root of the sum of squares. The mean of lead and trail is the length
// that the pair shares, half their difference has 1/√2 of that: √(s²+s²)/2.
type segmentSide struct {
	k      int
	metres float64
}

var segmentSides = func() []segmentSide {
	out := make([]segmentSide, len(geometry.BodySegments))
	for i, l := range geometry.BodySegments {
		out[i].k = slices.Index(sidedLengths[:], l.Segment)
		if out[i].k < 0 {
			continue
		}
		out[i].metres = math.Hypot(LastingSigmaM(l.A), LastingSigmaM(l.B)) / math.Sqrt2
		if l.A.Side() == geometry.Trail {
			out[i].metres = -out[i].metres
		}
	}
	return out
}()

// partial is a derivative by a global unknown.
type partial struct {
	at int
	by float64
}

// segmentLength is the golfer's own length of segment k of bodyLengths with its
// derivatives; the second is 0 for a segment in the middle.
func (p *Problem) segmentLength(st *State, k int) (length float64, by [2]partial) {
	o := p.oLengths + geometry.BodySegments[k].Segment
	length = math.Exp(st.g[o])
	by[0] = partial{o, length}
	if side := &segmentSides[k]; side.k >= 0 {
		length += side.metres * st.g[p.oSides+side.k]
		by[1] = partial{p.oSides + side.k, side.metres}
	}
	return length, by
}

// sideTerms say how much lead and trail likely differ.
func (e *evaluator) sideTerms() {
	for k := range sidedLengths {
		e.r.Reset()
		e.r.Global(e.oSides+k, 1)
		e.emit(-1, e.st.g[e.oSides+k], 1)
	}
}
