package geometry

// PointClass groups the points whose marks err alike: one variance component of
// the marking model each. Pixels and millimetres can't be told apart (2.5 px are
// 7 mm at every distance filmed from), so one scale a class is all there is.
//
// A class is what a coach finds as hard at all positions: joints under cloth, points on cloth,
// thin things that move fast. Fewer classes would mix what differs by a factor of several; more
// would each have too few marks in a swing to learn a scale from (a class has 14 to 84 marks in a
// full swing of two views).
type PointClass uint8

// The classes of points.
const (
	FootClass PointClass = iota // ankles, heels, toes
	KneeClass
	HipClass
	BeltClass // buckle, tailbone
	ShoulderClass
	ChestClass // breastbone, upper back
	ArmClass   // elbows, wrists
	HeadClass
	ClubClass // grip, clubhead

	// NumClasses counts the classes; a PointClass is an index below it.
	NumClasses = iota
)

var classNames = [NumClasses]string{"foot", "knee", "hip", "belt", "shoulder", "chest", "arm", "head", "club"}

// String returns the name of the class as the measure output spells it.
func (c PointClass) String() string {
	if int(c) < NumClasses {
		return classNames[c]
	}
	return "unknown class"
}

// ClassOf returns the class of a point of the golfer or the club; ok is false
// for the ball, which lies still and is plain to see.
func ClassOf(p Point) (c PointClass, ok bool) {
	switch p {
	case LeadAnkle, TrailAnkle, LeadHeel, TrailHeel, LeadToe, TrailToe:
		return FootClass, true
	case LeadKnee, TrailKnee:
		return KneeClass, true
	case LeadHip, TrailHip:
		return HipClass, true
	case Buckle, Tailbone:
		return BeltClass, true
	case LeadShoulder, TrailShoulder:
		return ShoulderClass, true
	case Breastbone, UpperBack:
		return ChestClass, true
	case LeadElbow, TrailElbow, LeadWrist, TrailWrist:
		return ArmClass, true
	case Head:
		return HeadClass, true
	case Grip, Clubhead:
		return ClubClass, true
	default:
		return 0, false
	}
}

// NumMarkComponents counts the variance components of the marks: one for each
// class and, last, the one of the far side down the line.
const NumMarkComponents = NumClasses + 1
