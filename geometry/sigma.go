package geometry

import "math"

// How well a coach marks, used where nothing better is known.
const (
	// ClickSigmaPx is how far a placed mark strays from the place the coach
	// means, one coordinate.
	ClickSigmaPx = 2.5
	// PlacingSigmaM is how far that place strays from the point of the body,
	// seen in one picture.
	PlacingSigmaM = 0.008
	// FarSideFactor is how much worse both are for the lead side seen down
	// the line, which the trail side hides.
	FarSideFactor = 2.2
	// trackedFactor and proposedFactor multiply the click error of marks the
	// program made.
	trackedFactor  = 1.6
	proposedFactor = 2.5
	// TypicalPxPerM is the scale assumed when the camera is not known: a
	// phone's main camera in a 1920 pixel picture from four metres.
	TypicalPxPerM = 360
)

// DefaultSigmaPx is the standard deviation, in pixels, of one coordinate of a
// mark whose own is not given: 2.5 px of click error and 8 mm of misplacement
// at a usual filming distance, 2.2 times as much for the lead side seen down
// the line, more for marks that the program proposed or tracked. The fit
// itself uses the scale of the fitted camera instead of a usual one. Source:
// this project's marking model (../shared/design/measurement.md).
func DefaultSigmaPx(p Point, st MarkState, v View) float64 {
	return SigmaPxAt(p, st, v, TypicalPxPerM, ClickSigmaPx)
}

// SigmaPxAt is DefaultSigmaPx at a given scale and click error.
func SigmaPxAt(p Point, st MarkState, v View, pxPerM, clickPx float64) float64 {
	switch st {
	case Tracked:
		clickPx *= trackedFactor
	case Proposed:
		clickPx *= proposedFactor
	}
	s := math.Hypot(clickPx, PlacingSigmaM*pxPerM)
	if v == DownTheLine && p.Side() == Lead {
		s *= FarSideFactor
	}
	return s
}
