package golfer

import (
	"cmp"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lengths are the constant lengths of a golfer's body, metres.
type Lengths struct {
	Thigh, Shank, AnkleHeight          float64
	AnkleToHeel, AnkleToToe            float64 // along the foot, to the ends of the shoe
	Trunk                              float64 // mid-hip to mid-shoulder
	HipBreadth                         float64 // between the joint centres
	ShoulderBreadth                    float64 // between the joint centres
	UpperArm, Forearm, Hand            float64 // hand: wrist centre to its middle on the grip
	NeckToHead                         float64 // mid-shoulder to the centre of the head
	BeltUp, BeltFront, BeltRear        float64 // belt's centre over mid-hip, and its depth before and behind
	ChestDown, ChestFront, ChestRear   float64 // breastbone and upper back below and about mid-shoulder
	SoleHeight                         float64 // of the heel and toe points over the ground
	KneeHalfDepth                      float64 // knee centre to the back of the knee
	HeadBreadth, HeadDepth, HeadHeight float64 // half axes
}

// LengthsFor returns the lengths of a golfer of the given stature in metres.
//
// Fractions of stature: thigh 0.245, shank 0.246, ankle height 0.039, ankle
// to heel 0.035 and to toe 0.117, trunk 0.288, upper arm 0.186, forearm 0.146
// (Drillis and Contini 1966, via Winter). The distance between the hip joint
// centres, 173 mm at this size, is Harrington's (2007) for an ASIS breadth of
// 240 mm; the table's hip breadth, 0.191, is that of the outside and shapes
// the trousers only. The table's shoulder breadth 0.259 is likewise wider than
// the distance between the joint centres; 0.21 is ours. Wrist to knuckle is
// de Leva's (1996) 78.0 mm at 1.735 m. Depths of trunk and head are ours.
func LengthsFor(stature float64) Lengths {
	h := stature
	return Lengths{
		Thigh: 0.245 * h, Shank: 0.246 * h, AnkleHeight: 0.039 * h,
		AnkleToHeel: 0.035 * h, AnkleToToe: 0.117 * h,
		Trunk:      0.288 * h,
		HipBreadth: 0.1006 * h, ShoulderBreadth: 0.21 * h,
		UpperArm: 0.186 * h, Forearm: 0.146 * h, Hand: 0.045 * h,
		NeckToHead: 0.117 * h,
		BeltUp:     0.052 * h, BeltFront: 0.064 * h, BeltRear: 0.060 * h,
		ChestDown: 0.060 * h, ChestFront: 0.062 * h, ChestRear: 0.061 * h,
		SoleHeight:    0.020,
		KneeHalfDepth: 0.034 * h,
		HeadBreadth:   0.044 * h, HeadDepth: 0.056 * h, HeadHeight: 0.067 * h,
	}
}

// Lengths are the golfer's: those of the stature, with belt and chest as deep as the girth
// makes them. Joints lie as far apart as a slim golfer's.
func (p *Params) Lengths() Lengths {
	l, g := LengthsFor(p.Stature), cmp.Or(p.Girth, 1)
	l.BeltFront, l.BeltRear = g*l.BeltFront, g*l.BeltRear
	l.ChestFront, l.ChestRear = g*l.ChestFront, g*l.ChestRear
	return l
}

// Club describes the club as it is drawn and marked, metres. 37 inches and 62
// degrees are usual for a 7-iron.
type Club struct {
	Name       string
	Length     float64 // butt to the ground along the shaft, as clubs are measured
	LieDegrees float64 // between shaft and ground
	HeadUp     float64 // the head's centre over the sole
	HeadOut    float64 // and from the shaft's axis toward the toe, along the sole
	GripLead   float64 // butt to the middle of the lead hand
	GripGap    float64 // from there to the middle of the trail hand
}

// Params are what makes one golfer and one swing.
type Params struct {
	Stature float64 // metres
	// Girth is by how much deeper than slim the trunk is, about 1; 0 means 1.
	Girth float64
	// Size is by how much larger than at 1.72 m the ways of the hips are; 0 means 1.
	Size              float64
	MassKg            float64
	Club              Club
	StanceWidth       float64 // between the ankle centres, metres
	LeadFlareDegrees  float64
	TrailFlareDegrees float64
	// Turns at the top of the club's swing, degrees from address.
	PelvisTurnTopDegrees, TorsoTurnTopDegrees float64
	// SwayTop is how much further to the target than usual the hips are at the
	// top, metres, and Bend how much further the trunk bends until the strike,
	// degrees: what differs from swing to swing.
	SwayTop, Bend float64
	// Ball is the centre of the ball on the ground.
	Ball r3.Vec
	// BallSpeed, metres per second, and launch direction: up from the ground
	// and toward the ball side of the target, degrees.
	BallSpeed, LaunchDegrees, StartDegrees float64
}

// Times of the swing's phases in seconds. The backswing of 0.80 s and
// downswing of 0.27 s are a common tour tempo, 24 and 8 frames at 30 a second
// (Grober and Cholewicki, arXiv physics/0611291).
const (
	TopTime    = 0.80
	ImpactTime = 1.07
	FinishTime = 1.67

	takeawayTime  = 0.20
	extensionTime = 1.12
	releaseTime   = 1.19
)

// BallRadius is half the smallest diameter the Rules allow, metres.
const BallRadius = 0.02135

var sevenIron = Club{
	Name: "7-iron", Length: 0.94, LieDegrees: 62,
	HeadUp: 0.022, HeadOut: 0.033,
	GripLead: 0.060, GripGap: 0.075,
}

// MaraFirstVisit is the invented golfer of the demo lesson on her first
// visit: a 7-iron with a pelvis that turns 38 degrees.
func MaraFirstVisit() Params {
	return Params{
		Stature: 1.72, MassKg: 66,
		Club:             sevenIron,
		StanceWidth:      0.41,
		LeadFlareDegrees: 20, TrailFlareDegrees: 8,
		PelvisTurnTopDegrees: 38, TorsoTurnTopDegrees: 85,
		Ball:      r3.Vec{X: 0.03, Y: BallRadius, Z: 0.84},
		BallSpeed: 48, LaunchDegrees: 17, StartDegrees: -1,
	}
}

// MaraSecondVisit is the same golfer four weeks later: the pelvis turns 48
// degrees and the lead foot is flared a little more.
func MaraSecondVisit() Params {
	p := MaraFirstVisit()
	p.PelvisTurnTopDegrees, p.TorsoTurnTopDegrees = 48, 88
	p.LeadFlareDegrees = 25
	return p
}
