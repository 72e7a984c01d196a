package bench

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// ToldChange writes a change with half its 95 % interval: "+7° ± 5°".
func ToldChange(u geometry.Unit, c *geometry.Change, imperial bool) string {
	s := annotations.Told(u, c.Value, imperial)
	if c.Value > 0 && s != annotations.Told(u, 0, imperial) {
		s = "+" + s
	}
	return s + " ± " + annotations.Told(u, (c.High95-c.Low95)/2, imperial)
}

// ChangeWord says whether a change is real and, where there is a target range,
// whether it led toward it.
func ChangeWord(c *geometry.Change, before, now float64, target *geometry.Range) string {
	switch {
	case !c.Real:
		return "within the noise"
	case target == nil:
		return "real"
	}
	outside := func(v float64) float64 { return max(target.Low-v, v-target.High, 0) }
	switch was, is := outside(before), outside(now); {
	case is < was:
		return "real: closer to the target range"
	case is > was:
		return "real: farther from the target range"
	}
	return "real"
}
