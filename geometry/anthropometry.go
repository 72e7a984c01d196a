package geometry

// Lengths of body segments as fractions of stature.
//
// Where it says D&C the number is that of R. Drillis and R. Contini, Body
// Segment Parameters (1966), as tabled by D. A. Winter, Biomechanics and Motor
// Control of Human Movement. The other numbers are this project's own, for
// distances between the points a coach marks that no handbook tables; they
// only need to be right within the standard deviation beside them, since each
// golfer's own lengths are estimated.

// The segments whose lengths the fit shares over all key positions.
const (
	SegmentHipWidth = iota
	SegmentHipBuckle
	SegmentHipTailbone
	SegmentBuckleTailbone
	SegmentShoulderWidth
	SegmentShoulderBreastbone
	SegmentShoulderUpperBack
	SegmentBreastboneUpperBack
	SegmentTrunk
	SegmentThigh
	SegmentShank
	SegmentAnkleHeel
	SegmentHeelToe
	SegmentAnkleToe
	SegmentUpperArm
	SegmentForearm
	SegmentHead
	SegmentLeadWristGrip
	SegmentTrailWristGrip
	SegmentWrists
	SegmentClub
	NumSegments
)

// SegmentPrior is what is known of a segment before anything is marked.
//
// The golfer's own length is lognormal about Fraction times his stature; each position's
// length is normal about that with SigmaM. The first says how people differ, the second how
// well a segment between marked points keeps its length while its owner swings: skin and
// cloth slide, a collar bone swings, the marks of its ends are not of the same bone.
type SegmentPrior struct {
	Fraction float64 // of stature; of one metre for the club
	LogSigma float64 // of the golfer's own length about that
	SigmaM   float64 // of one position's length about the golfer's own: cloth, marking, joints that give
}

var SegmentPriors = [NumSegments]SegmentPrior{
	SegmentHipWidth:            {0.120, 0.22, 0.005}, // hip joint centres 0.10 (Harrington 2007, Bell 1990), seat of the trousers wider
	SegmentHipBuckle:           {0.098, 0.18, 0.006},
	SegmentHipTailbone:         {0.095, 0.18, 0.006},
	SegmentBuckleTailbone:      {0.125, 0.18, 0.007},
	SegmentShoulderWidth:       {0.218, 0.13, 0.012}, // D&C 0.259 is the breadth over the shoulders; joint centres are nearer. A collar bone of 15 cm that swings 20 degrees to the front gives 9 mm
	SegmentShoulderBreastbone:  {0.135, 0.16, 0.020},
	SegmentShoulderUpperBack:   {0.135, 0.16, 0.020},
	SegmentBreastboneUpperBack: {0.130, 0.16, 0.012},
	SegmentTrunk:               {0.288, 0.055, 0.012}, // D&C; a captured swing (mocap_test.go) keeps it within 4 mm
	SegmentThigh:               {0.245, 0.07, 0.005},  // D&C
	SegmentShank:               {0.246, 0.07, 0.005},  // D&C
	SegmentAnkleHeel:           {0.055, 0.25, 0.006},  // D&C: 0.035 back and 0.039 down
	SegmentHeelToe:             {0.165, 0.07, 0.006},  // D&C 0.152, and the shoe
	SegmentAnkleToe:            {0.132, 0.12, 0.007},  // D&C: 0.117 forward and 0.039 down
	SegmentUpperArm:            {0.176, 0.10, 0.010},  // D&C 0.186 from the acromion
	SegmentForearm:             {0.146, 0.09, 0.008},  // D&C
	SegmentHead:                {0.135, 0.25, 0.025},
	SegmentLeadWristGrip:       {0.055, 0.40, 0.020},
	SegmentTrailWristGrip:      {0.095, 0.40, 0.020},
	SegmentWrists:              {0.060, 0.40, 0.020},
	SegmentClub:                {0.95, 0.10, 0.012},
}

// TypicalStatureM is the stature assumed when it is not given: of an adult, either
// sex.
const TypicalStatureM = 1.73

// BodySegment ties two points to a shared length.
type BodySegment struct {
	A, B    Point
	Segment int
}

// BodySegments lists the segments of the golfer and the club. The trunk and the
// head hang from midpoints and are treated apart.
var BodySegments = []BodySegment{
	{LeadHip, TrailHip, SegmentHipWidth},
	{LeadHip, Buckle, SegmentHipBuckle}, {TrailHip, Buckle, SegmentHipBuckle},
	{LeadHip, Tailbone, SegmentHipTailbone}, {TrailHip, Tailbone, SegmentHipTailbone},
	{Buckle, Tailbone, SegmentBuckleTailbone},
	{LeadShoulder, TrailShoulder, SegmentShoulderWidth},
	{LeadShoulder, Breastbone, SegmentShoulderBreastbone}, {TrailShoulder, Breastbone, SegmentShoulderBreastbone},
	{LeadShoulder, UpperBack, SegmentShoulderUpperBack}, {TrailShoulder, UpperBack, SegmentShoulderUpperBack},
	{Breastbone, UpperBack, SegmentBreastboneUpperBack},
	{LeadHip, LeadKnee, SegmentThigh}, {TrailHip, TrailKnee, SegmentThigh},
	{LeadKnee, LeadAnkle, SegmentShank}, {TrailKnee, TrailAnkle, SegmentShank},
	{LeadAnkle, LeadHeel, SegmentAnkleHeel}, {TrailAnkle, TrailHeel, SegmentAnkleHeel},
	{LeadHeel, LeadToe, SegmentHeelToe}, {TrailHeel, TrailToe, SegmentHeelToe},
	{LeadAnkle, LeadToe, SegmentAnkleToe}, {TrailAnkle, TrailToe, SegmentAnkleToe},
	{LeadShoulder, LeadElbow, SegmentUpperArm}, {TrailShoulder, TrailElbow, SegmentUpperArm},
	{LeadElbow, LeadWrist, SegmentForearm}, {TrailElbow, TrailWrist, SegmentForearm},
	{LeadWrist, Grip, SegmentLeadWristGrip}, {TrailWrist, Grip, SegmentTrailWristGrip},
	{LeadWrist, TrailWrist, SegmentWrists},
	{Grip, Clubhead, SegmentClub},
}
