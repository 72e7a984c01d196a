package annotations

import (
	"math"

	"turngauge/geometry"
)

// unsureFactor widens the default standard deviation of a mark that the coach is
// not sure of. Common practice, no source: a coach who says "about there" is off
// by a couple of finger breadths rather than by a click.
const unsureFactor = 3

// UnsurePx is the standard deviation, pixels, of a mark in a view whose coach
// has said that he is unsure of it.
func UnsurePx(p geometry.Point, view geometry.View) float64 {
	return unsureFactor * geometry.DefaultSigmaPx(p, geometry.Placed, view)
}

// Unsure reports whether the coach has said that he is unsure of a mark.
func (m Mark) Unsure(view geometry.View) bool {
	const rounding = 0.01 // of a document, and more
	return m.State == geometry.Placed && math.Abs(m.SDPx-UnsurePx(m.Point, view)) < rounding
}

// LowConfidence reports whether a mark was taken where it was proposed, so that one by
// hand would be more exact.
func (m Mark) LowConfidence(view geometry.View) bool {
	return m.State == geometry.Placed && m.SDPx > 0 && !m.Unsure(view)
}
