package geometry

import "strings"

// UsualSpread is the standard deviation of a measure from swing to swing of one
// golfer, in the measure's unit, as it is assumed where it was not estimated from
// swings of his own. 2 to 3 degrees are told of the turns of pelvis and torso at the
// top for skilled golfers, 3 to 6 for beginners (from memory); that times vary least
// of all is in Gryc et al. 2019, Clinician and Technology Journal 49:87-91. The others
// are this project's own, of the same size. 0 for what is no measure.
func UsualSpread(name string, unit Unit) float64 {
	switch {
	case unit == Degrees && (strings.Contains(name, "turn") || name == "separation"):
		return 3
	case unit == Degrees:
		return 2
	case unit == Centimetres:
		return 1
	case unit == Percent:
		return 3
	case unit == Seconds:
		return 0.02
	case name == "tempo":
		return 0.1
	case unit == Ratio:
		return 0.03
	default:
		return 0
	}
}
