package geometry

// Segment masses (per cent of body mass) and centres of mass (per cent of the
// way from the first-named end to the second) after P. de Leva, Adjustments to
// Zatsiorsky-Seluyanov's segment inertia parameters, J Biomech 29:1223-1230
// (1996). The head's centre is taken at the marked head and the hand's at the
// wrist. The trunk row is the one between the middles of shoulders and hips.

// Part is a segment of the body of the mass table.
//
// The trunk's centre differs by five per cent of its length between the sexes, which moves the
// body's by a centimetre; the other rows hardly differ.
type Part struct {
	Name          string
	MassPercent   float64 // of the body, one side where there are two
	CentrePercent float64 // from the first-named end
	Paired        bool
}

// partIndex names the rows of the tables below.
const (
	partHead = iota
	partTrunk
	partUpperArm
	partForearm
	partHand
	partThigh
	partShank
	partFoot
	numParts
)

var partsMale = [numParts]Part{
	{"head and neck", 6.94, 0, false},
	{"trunk, middle of shoulders to middle of hips", 43.46, 43.10, false},
	{"upper arm, shoulder to elbow", 2.71, 57.72, true},
	{"forearm, elbow to wrist", 1.62, 45.74, true},
	{"hand", 0.61, 0, true},
	{"thigh, hip to knee", 14.16, 40.95, true},
	{"shank, knee to ankle", 4.33, 43.95, true},
	{"foot, heel to toe", 1.37, 44.15, true},
}

var partsFemale = [numParts]Part{
	{"head and neck", 6.68, 0, false},
	{"trunk, middle of shoulders to middle of hips", 42.57, 37.82, false},
	{"upper arm, shoulder to elbow", 2.55, 57.54, true},
	{"forearm, elbow to wrist", 1.38, 45.59, true},
	{"hand", 0.56, 0, true},
	{"thigh, hip to knee", 14.78, 36.12, true},
	{"shank, knee to ankle", 4.81, 43.52, true},
	{"foot, heel to toe", 1.29, 40.14, true},
}

// MassTable returns the segment table for a sex; SexUnset gives the mean of
// both. Masses are per cent of body mass and add up to 100 with the paired
// segments counted twice (99.99 for women, as published).
func MassTable(s Sex) []Part {
	out := make([]Part, numParts)
	for i := range out {
		switch s {
		case Male:
			out[i] = partsMale[i]
		case Female:
			out[i] = partsFemale[i]
		default:
			out[i] = partsMale[i]
			out[i].MassPercent = (partsMale[i].MassPercent + partsFemale[i].MassPercent) / 2
			out[i].CentrePercent = (partsMale[i].CentrePercent + partsFemale[i].CentrePercent) / 2
		}
	}
	return out
}

// centreOfMass is the whole-body centre of mass of the points that at gives.
//
// It is Σ mᵢ cᵢ / Σ mᵢ over the segments, each centre cᵢ on the line between its ends, metres
// in the world. Where the table's parts don't add up to 100 the sum is what they are divided
// by. As a sum it is linear in the points, so that its uncertainty is propagated exactly.
func centreOfMass(s Sex, at func(Point) dvec) dvec {
	t := MassTable(s)
	var sum dvec
	var total float64
	put := func(part int, a, b dvec) {
		w := t[part].MassPercent
		sum = sum.add(along(a, b, t[part].CentrePercent/100).scale(w))
		total += w
	}
	put(partHead, at(Head), at(Head))
	put(partTrunk, midpoint(at(LeadShoulder), at(TrailShoulder)), midpoint(at(LeadHip), at(TrailHip)))
	for o := Point(0); o < 2; o++ {
		put(partUpperArm, at(LeadShoulder+o), at(LeadElbow+o))
		put(partForearm, at(LeadElbow+o), at(LeadWrist+o))
		put(partHand, at(LeadWrist+o), at(LeadWrist+o))
		put(partThigh, at(LeadHip+o), at(LeadKnee+o))
		put(partShank, at(LeadKnee+o), at(LeadAnkle+o))
		put(partFoot, at(LeadHeel+o), at(LeadToe+o))
	}
	return sum.scale(1 / total)
}
