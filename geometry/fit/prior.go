package fit

import (
	"math"

	"turngauge/geometry"
)

// The prior knowledge that is not a segment length. All are standard
// deviations, wide enough that a golfer or a phone on a stand seldom lies
// outside two of them (common practice, no source, unless noted).
const (
	squareSigmaRad    = 5.5 * math.Pi / 180 // pelvis and shoulders at address
	stanceSigmaRad    = 4 * math.Pi / 180   // the line between the ankles
	originSigmaM      = 0.002               // the origin is where the ankles are at address
	shoeHeightM       = 0.022               // of the marked heel and toe above the ground
	shoeHeightSigmaM  = 0.012
	shoeApartSigmaM   = 0.0055 // of one of them about their mean
	ankleFraction     = 0.039  // Drillis & Contini, of stature, barefoot
	soleM             = 0.025
	ankleHeightSigmaM = 0.030
	ballRadiusM       = 0.02135 // Rules of Golf: diameter not below 42.67 mm
	ballHeightSigmaM  = 0.006   // grass, or a low tee
	clubheadHeightM   = 0.020   // at address, soled
	clubheadSigmaM    = 0.015
	wideSigmaM        = 0.5 // of a point about its place in the template figure
	wideHandSigmaM    = 0.9
	hingeSigma        = 0.02  // m, of a constraint such as "knees bend forward"
	chestBelowM       = 0.085 // breastbone and upper back below the shoulders, along the spine
	ChestSigmaM       = 0.035
	// The shoulder line against the spine, radians: a captured swing (CMU
	// motion capture database, see mocap_test.go) is 2.5 degrees off square at
	// address, 12 at the top and at impact, and 7.4 in root mean square over
	// the swing.
	shouldersAddressSigma = 0.09
	ShouldersSquareSigma  = 0.13
	// The belt above the hips: its front lower than its rear, as a golfer tips
	// the pelvis forward by some 15 degrees.
	buckleAboveM       = 0.055
	tailboneAboveM     = 0.095
	beltSigmaM         = 0.045
	turnHingeSigmaRad  = 6 * math.Pi / 180
	kneeForwardM       = 0.08 // in front of the line hip to ankle, toward the toes
	kneeStraightM      = 0.05 // as the legs straighten through the ball
	kneeForwardSigmaM  = 0.07
	kneeAsideSigmaM    = 0.05
	cameraRollSigma    = 0.04
	cameraPitchSigma   = 0.20
	cameraYawSigma     = 0.12
	cameraHeightM      = 1.05
	cameraHeightSigmaM = 0.40
	cameraSideSigmaM   = 0.50
	offLineSideM       = 3.0 // of a camera that is said to be off its line
	offLineYaw         = 0.6
	cameraAwayM        = 4.0
	cameraAwaySigmaM   = 2.0
	k1Sigma            = 0.01
	// A phone's main camera has 26 mm equivalent, 0.751 of the long side of
	// the picture (diagonal rule), and the crop for stabilising adds up to a
	// fifth.
	phoneFocal         = 0.775
	phoneFocalSigma    = 0.08
	metadataFocalSigma = 0.05
	// The balance prior: nobody stands at address with the centre of mass
	// outside the feet.
	balanceM      = 0.07 // in front of the ankles: about the middle of the foot
	balanceSigmaM = 0.045
)

// How well statures and club lengths are known.
const (
	typicalStatureLogSigma = 0.055 // of adults about TypicalStatureM
	statedStatureSigmaM    = 0.015 // of a stature the student states
	clubLengthLogSigma     = 0.015 // of a club length from a maker's list
)

// plantedSigma is how far a point of a foot strays from its shared place at a
// position: sideways and in height (metres, one standard deviation). Heels
// rise, and at the finish the trail foot turns on its toe.
func plantedSigma(name geometry.PositionName, pt geometry.Point) (across, up float64) {
	if name == geometry.Address {
		return 0.002, 0.002
	}
	toe := pt == geometry.LeadToe || pt == geometry.TrailToe
	trail := pt.Side() == geometry.Trail
	switch name {
	case geometry.ClubLevelBack, geometry.LeadArmLevel, geometry.Top:
		switch {
		case toe:
			return 0.010, 0.006
		case trail:
			return 0.012, 0.010
		default:
			return 0.02, 0.05
		}
	case geometry.Delivery, geometry.Impact:
		switch {
		case toe:
			return 0.016, 0.012
		case trail:
			return 0.05, 0.05
		default:
			return 0.02, 0.03
		}
	default:
		switch {
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
func (p *problem) heelRise(pos int, pt geometry.Point) float64 {
	if p.names[pos] == geometry.Address || pt == geometry.LeadToe || pt == geometry.TrailToe {
		return 0
	}
	lift := stanceFor(p.names[pos]).heelLift
	if pt.Side() == geometry.Trail {
		return lift[1] * p.statureM / 2
	}
	return lift[0] * p.statureM / 2
}

// turnRange is how far, in degrees from square, pelvis and torso may be turned
// at a position before the fit holds against it: outside, a mirror image is
// meant. The ranges are half as wide again as any golfer's (common practice,
// no source). ok is false where nothing is known.
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
