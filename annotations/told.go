package annotations

import "turngauge/geometry"

// Told writes a value of a measure as a student is told it, with its unit,
// rounded to what can be seen: "31°". imperial writes lengths in inches.
func Told(u geometry.Unit, v float64, imperial bool) string { return speechOf(u, imperial).write(v) }

// ToldRange writes an interval or a target range likewise: "25 to 37°". An end
// may be infinite: "at most 3 cm".
func ToldRange(u geometry.Unit, low, high float64, imperial bool) string {
	return speechOf(u, imperial).span(low, high)
}
