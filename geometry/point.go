package geometry

// Point names a place on the golfer, the club or the ground that a coach can
// mark. Body points are lead or trail, never left or right: the lead side is
// the one nearer the target at address.
//
// A joint is marked where its centre is taken to be, belt and chest on the cloth, a heel and a toe
// on the shoe. The pairs stand lead then trail, so that Opposite is a step of one and the side is
// the parity; HipClass and the other classes (ClassOf) say who is marked alike. NumBody of
// them are the golfer's own and the club's, which move, and come first.
type Point uint8

// The points of the lesson document, in the order in which they are listed.
const (
	Head Point = iota
	LeadShoulder
	TrailShoulder
	LeadElbow
	TrailElbow
	LeadWrist
	TrailWrist
	LeadHip
	TrailHip
	LeadKnee
	TrailKnee
	LeadAnkle
	TrailAnkle
	LeadHeel
	TrailHeel
	LeadToe
	TrailToe
	Buckle     // front centre of the belt
	Tailbone   // rear centre of the belt
	Breastbone // front of the chest, at the height of the arm pits
	UpperBack  // rear of the chest, at the same height
	Grip       // butt end of the club
	Clubhead
	Ball

	// NumPoints counts the points; a Point is an index below it.
	NumPoints = iota
	// NumBody counts those of the golfer and the club, which come before the ball.
	NumBody = int(Ball)
)

var pointNames = [NumPoints]string{
	"head",
	"lead shoulder", "trail shoulder",
	"lead elbow", "trail elbow",
	"lead wrist", "trail wrist",
	"lead hip", "trail hip",
	"lead knee", "trail knee",
	"lead ankle", "trail ankle",
	"lead heel", "trail heel",
	"lead toe", "trail toe",
	"buckle", "tailbone", "breastbone", "upper back",
	"grip", "clubhead", "ball",
}

// String returns the point's name as the lesson document spells it.
func (p Point) String() string {
	if int(p) < NumPoints {
		return pointNames[p]
	}
	return "unknown point"
}

// ParsePoint returns the point that the lesson document calls name.
func ParsePoint(name string) (p Point, ok bool) {
	for i, n := range pointNames {
		if n == name {
			return Point(i), true
		}
	}
	return 0, false
}

// Side says which half of the golfer a point belongs to.
type Side uint8

// The sides of a golfer; Middle also covers club and ball.
const (
	Middle Side = iota
	Lead
	Trail
)

// Side returns the half of the body the point belongs to.
func (p Point) Side() Side {
	if p >= LeadShoulder && p <= TrailToe {
		if (p-LeadShoulder)%2 == 0 {
			return Lead
		}
		return Trail
	}
	return Middle
}

// Opposite returns the same point on the other side of the body, or p itself
// for a middle point.
func (p Point) Opposite() Point {
	switch p.Side() {
	case Lead:
		return p + 1
	case Trail:
		return p - 1
	default:
		return p
	}
}

// Bones lists the pairs of points that are joined by a line when a golfer is
// drawn: the skeleton and the club.
var Bones = [][2]Point{
	{LeadShoulder, TrailShoulder},
	{LeadShoulder, LeadElbow}, {LeadElbow, LeadWrist},
	{TrailShoulder, TrailElbow}, {TrailElbow, TrailWrist},
	{LeadShoulder, LeadHip}, {TrailShoulder, TrailHip},
	{LeadHip, TrailHip},
	{LeadHip, LeadKnee}, {LeadKnee, LeadAnkle},
	{TrailHip, TrailKnee}, {TrailKnee, TrailAnkle},
	{LeadAnkle, LeadHeel}, {LeadHeel, LeadToe},
	{TrailAnkle, TrailHeel}, {TrailHeel, TrailToe},
	{Grip, Clubhead},
}
