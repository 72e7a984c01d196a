package words

import "turngauge/geometry"

// ChangeWord says whether a change is real and, where there is a target range,
// whether it led toward it; called is what the range is called.
func ChangeWord(c *geometry.Change, before, now float64, target *geometry.Range, called string) string {
	if !c.Real {
		return "within the noise"
	}
	if target == nil {
		return "real"
	}
	outside := func(v float64) float64 { return max(target.Low-v, v-target.High, 0) }
	switch was, is := outside(before), outside(now); {
	case is < was:
		return "real: closer to " + called
	case is > was:
		return "real: farther from " + called
	}
	return "real"
}
