package words

import (
	"fmt"

	"turngauge/geometry"
)

// Agreement says how well the marks of a swing agree, pixels with their 95 %
// interval: "your marks agree to 1.9 px (1.3 to 2.8)".
func Agreement(px, low, high float64) string {
	decimals := 1
	if px >= 10 {
		decimals = 0
	}
	return fmt.Sprintf("your marks agree to %s px (%s to %s)", digits(px, decimals), digits(low, decimals), digits(high, decimals))
}

// classes names the classes of points in a sentence.
var classes = [geometry.NumClasses]string{
	geometry.FootClass: "the feet", geometry.KneeClass: "the knees", geometry.HipClass: "the hips",
	geometry.BeltClass: "buckle and tailbone", geometry.ShoulderClass: "the shoulders", geometry.ChestClass: "breastbone and upper back",
	geometry.ArmClass: "elbows and wrists", geometry.HeadClass: "the head", geometry.ClubClass: "grip and clubhead",
}

// Misfit says how much less well a class of points fits at one position: "the hips
// at impact fit one body 2.4 times less well than the rest".
func Misfit(sw *geometry.Swing, m *geometry.Misfit) string {
	fit := "fit"
	if m.Class == geometry.HeadClass {
		fit = "fits"
	}
	return fmt.Sprintf("%s %s %s one body %s times less well than the rest",
		classes[m.Class], sw.Positions[m.Position].Name.At(), fit, digits(m.Times, 1))
}
