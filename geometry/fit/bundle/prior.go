package bundle

import (
	"math"

	"turngauge/geometry"
)

// The prior knowledge that is not a segment length. Sigmas are standard
// deviations, wide enough that a golfer or a phone on a stand seldom lies outside
// two of them (common practice, no source, unless noted). They are there for what
// the marks leave open: next to a mark, which is good to a centimetre, most weigh a
// tenth or less. None may be zero, for then the normal matrix need not be
// positive definite.
//
// All normal, or t with priorNu degrees of freedom (t), of one number each:
//
//	stature, log           told ± 15 mm, else 1.73 m ± 5.5 %    adults', see below
//	segment over stature   SegmentPriors, 5.5 to 40 % (t)       Drillis & Contini 1966; ours
//	segment at a position  own length ± SegmentPriors.SigmaM    ours; its scale is learned
//	lead against trail     N(0, lasting misplacement)           ours
//	club, log              told ± 1.5 %, else 0.95 m ± 10 %     makers' lists
//	heels and toes, height 22 ± 12 mm, each ± 5.5 mm            ours: a shoe's sole and its marking
//	ankle, height          0.039 of stature + 25 ± 30 mm        Drillis & Contini 1966; sole ours
//	feet between positions plantedSigma, 2 mm to 25 cm          common practice
//	ball, height           21.35 ± 6 mm                         Equipment Rules, part 4
//	square at address      5.5 degrees, feet 4 (t)              common practice
//	balance at address     7 ± 4.5 cm before the ankles         common practice
//	shoulders to spine     5 degrees at address, else 7.5 (t)   captured swing, CMU
//	knees, belt, chest     3.5 to 7 cm about the usual place    ours
//	turn at a position     turnRange, hinges of 6 degrees       half as wide again as any golfer's
//	camera, place          1.05 ± 0.4 m high, 4 ± 2 m off, ± 0.5 m aside
//	camera, direction      roll 2.3, pitch 11, yaw 7 degrees    all ours: a phone on a stand
//	focal length           told ± 5 %, else 0.775 of the side ± 8 %
//	distortion k₁          0 ± 0.01                             phones correct their lenses
//	every point            template figure ± 0.5 m, hands 0.9   ours; keeps the matrix definite
//
// What the numbers rest on. Proportions, ankle heights and statures are published (beside
// each). How golfers stand and turn, where phones are put and how frames fall has no published
// spread that we know of; those numbers are what coaches take for usual, said as two standard
// deviations and halved. None was fitted to the golfers that the tests make up, whose ranges are
// uniform and others (film_test.go of package fit), nor to the demo's.
//
// A prior counts for what it says against the marks: one of 5.5 degrees on the pelvis at
// address, against marks that give it to 6, takes part by more than half of the information;
// against marks twice as good by a quarter. Changes since address see little of it, since it is
// the same golfer's at all positions.

// How a golfer stands at address.
const (
	// Pelvis and shoulders are about square to the target line, radians of
	// heading.
	squareSigmaRad = 5.5 * math.Pi / 180
	// The line between the ankles too, and better: most stand along a stick.
	stanceSigmaRad = 4 * math.Pi / 180
	// The origin is where the middle of the ankles is at address. This is the
	// gauge of the world frame along x and z; a sigma of zero would do as well.
	originSigmaM = 0.002
	// The clubhead rests on the ground: its marked place is about the middle of
	// the face.
	clubheadHeightM = 0.020
	clubheadSigmaM  = 0.015
	// Nobody stands with the centre of mass outside the feet. It is this far in
	// front of the ankles, which is about the middle of the foot.
	balanceM      = 0.07
	balanceSigmaM = 0.045
)

// The ground, which is the plane y = 0.
const (
	// Height of the marked heels and toes: of all of one golfer's, and of one of
	// them about their mean. A shoe is as thick at one end as at the other but
	// for a heel or a tongue that is taken for the toe.
	shoeHeightM      = 0.022
	shoeHeightSigmaM = 0.012
	shoeApartSigmaM  = 0.0055
	// Height of the ankle joint: a fraction of stature, barefoot (Drillis &
	// Contini 1966), and the sole.
	ankleFraction     = 0.039
	soleM             = 0.025
	ankleHeightSigmaM = 0.030
	// Half the least diameter of a ball, 42.67 mm (Rules of Golf, Equipment
	// Rules part 4), and how far grass or a low tee lifts it.
	ballRadiusM      = 0.02135
	ballHeightSigmaM = 0.006
)

// Where points lie on the body, beside the lengths between them, which leave
// mirror images.
const (
	// A point that nothing else holds stays this near to the template figure
	// (geometry.Stance); elbows, hands and the club go further.
	wideSigmaM     = 0.5
	wideHandSigmaM = 0.9
	// Breastbone and upper back lie this far below the middle of the shoulders,
	// along the spine.
	chestBelowM = 0.085
	ChestSigmaM = 0.035
	// The shoulder line against the square of the spine, radians: a captured
	// swing (CMU motion capture database, see mocap_test.go) is 2.5 degrees off
	// at address, 12 at the top and at impact, and 7.4 in root mean square over
	// the swing.
	shouldersAddressSigma = 0.09
	ShouldersSquareSigma  = 0.13
	// The belt lies this far above the hips: its front lower than its rear, as a
	// golfer tips the pelvis forward by some 15 degrees.
	buckleAboveM   = 0.055
	tailboneAboveM = 0.095
	beltSigmaM     = 0.045
	// A knee lies this far in front of the line from hip to ankle, toward the
	// toes, less as the legs straighten through the ball, and not far aside of it.
	kneeForwardM      = 0.08
	kneeStraightM     = 0.05
	kneeForwardSigmaM = 0.07
	kneeAsideSigmaM   = 0.05
)

// One-sided constraints: the cost is that of a normal prior outside, and none
// inside.
const (
	// What bends or lies only one way, metres: knees, front points.
	hingeSigma = 0.02
	// Headings outside turnRange, radians.
	turnHingeSigmaRad = 6 * math.Pi / 180
)

// Cameras: a phone on a stand, filming by the book.
const (
	// Directions of the camera, radians: the right direction is level, the axis
	// looks down as much as the nominal camera's and runs along the view's own
	// line.
	cameraRollSigma  = 0.04
	cameraPitchSigma = 0.20
	CameraYawSigma   = 0.12
	// Places of the lens: height above the ground, distance along the view's line
	// from the aim and off that line, metres.
	cameraHeightM      = 1.05
	cameraHeightSigmaM = 0.40
	cameraAwayM        = 4.0
	cameraAwaySigmaM   = 2.0
	cameraSideSigmaM   = 0.50
	// The same of a camera that is said to be off its line (geometry.Clip.OffLine).
	offLineSideM = 3.0
	offLineYaw   = 0.6
	// The radial term of phones, which correct their lenses themselves.
	k1Sigma = 0.01
	// Focal length as a fraction of the long side of the picture, and relative
	// standard deviations. A phone's main camera has 26 mm equivalent. By the
	// diagonal rule (43.27 mm for 35 mm film) that is 26/34.6 = 0.751 of the long
	// side of its 4:3 sensor, the whole of which a 16:9 video keeps; the crop for
	// stabilising adds up to a fifth.
	phoneFocal         = 0.775
	phoneFocalSigma    = 0.08
	metadataFocalSigma = 0.05
)

// How well statures and club lengths are known.
const (
	// Logarithm of an adult's stature about TypicalStatureM.
	typicalStatureLogSigma = 0.055
	// A stature that the student states, metres.
	statedStatureSigmaM = 0.015
	// Logarithm of a club length from a maker's list.
	clubLengthLogSigma = 0.015
)

// plantedSigma is how far a point of a foot strays from its shared place at a
// position: sideways and in height (metres, one standard deviation). Heels
// rise, and at the finish the trail foot turns on its toe.
func plantedSigma(name geometry.PositionName, pt geometry.Point) (across, up float64) {
	// The shared place is where the foot is at address, but for its own marks.
	if name == geometry.Address {
		return 0.002, 0.002
	}
	toe := pt == geometry.LeadToe || pt == geometry.TrailToe
	trail := pt.Side() == geometry.Trail
	switch name {
	case geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top:
		switch {
		// Back: the lead heel may lift, the trail foot bears the weight.
		case toe:
			return 0.010, 0.006
		case trail:
			return 0.012, 0.010
		default:
			return 0.02, 0.05
		}
	case geometry.Delivery, geometry.Impact:
		switch {
		// Through: the trail heel lifts and the foot rolls in.
		case toe:
			return 0.016, 0.012
		case trail:
			return 0.05, 0.05
		default:
			return 0.02, 0.03
		}
	default:
		switch {
		// Finish, or a position of the coach's own: the trail foot is on its
		// toe and may have swivelled by a quarter.
		case toe && trail:
			return 0.10, 0.05
		case trail:
			return 0.25, 0.20
		default:
			return 0.06, 0.04
		}
	}
}

// heelRise is by how much, metres, a heel or an ankle stands above its place at
// address: half of what the template figure lifts it by, since a heel may stay
// down and never sinks.
func (p *Problem) heelRise(pos int, pt geometry.Point) float64 {
	if p.Names[pos] == geometry.Address || pt == geometry.LeadToe || pt == geometry.TrailToe {
		return 0
	}
	lift := geometry.StanceFor(p.Names[pos]).HeelLift
	if pt.Side() == geometry.Trail {
		return lift[1] * p.statureM / 2
	}
	return lift[0] * p.statureM / 2
}

// turnRange is how far, in degrees from square and positive away from the
// target, pelvis and torso may be turned at a position before the fit holds
// against it: outside, a mirror image is meant. The ranges are half as wide
// again as any golfer's (common practice, no source), so that they exclude the
// wrong minimum of a position that one picture shows and say next to nothing
// within the right one. Without them the marks of a fully turned chest seen
// face-on fit a chest turned as far the other way as well. ok is false where
// nothing is known, as at a position of the coach's own.
func turnRange(name geometry.PositionName) (pelvis, torso [2]float64, ok bool) {
	switch name {
	case geometry.ClubLevelBack:
		return [2]float64{-15, 60}, [2]float64{-5, 95}, true
	case geometry.LeadArmLevel:
		return [2]float64{-5, 85}, [2]float64{15, 125}, true
	case geometry.Top:
		return [2]float64{0, 100}, [2]float64{30, 155}, true
	case geometry.Delivery:
		return [2]float64{-75, 40}, [2]float64{-50, 85}, true
	case geometry.Impact:
		return [2]float64{-95, 10}, [2]float64{-80, 30}, true
	case geometry.Finish:
		return [2]float64{-155, -25}, [2]float64{-190, -45}, true
	default:
		return pelvis, torso, false
	}
}

// OffLineWiderPrior is the logarithm of how much wider the prior of a camera off its line
// is, over its two unknowns.
var OffLineWiderPrior = math.Log(offLineSideM/cameraSideSigmaM) + math.Log(offLineYaw/CameraYawSigma)
