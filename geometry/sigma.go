package geometry

import "math"

// How well a coach marks, used where nothing better is known.
const (
	// clickSigmaPx is how far a placed mark strays from the place the coach
	// means, one coordinate.
	clickSigmaPx = 2.5
	// placingSigmaM is how far that place strays from the point of the body,
	// seen in one picture.
	placingSigmaM = 0.008
	// farSideFactor is how much worse both are for the lead side seen down
	// the line, which the trail side hides.
	farSideFactor = 2.2
	// trackedFactor and proposedFactor multiply the click error of marks the
	// program made.
	trackedFactor  = 1.6
	proposedFactor = 2.5
	// typicalPxPerM is the scale assumed when the camera is not known: a
	// phone's main camera in a 1920 pixel picture from four metres.
	typicalPxPerM = 360
)

// DefaultSigmaPx is the standard deviation, in pixels, of one coordinate of a
// mark whose own is not given: 2.5 px of click error and 8 mm of misplacement
// at a usual filming distance, 2.2 times as much for the lead side seen down
// the line, more for marks that the program proposed or tracked. The fit
// itself uses the scale of the fitted camera instead of a usual one. Source:
// this project's marking model (../shared/design/measurement.md).
func DefaultSigmaPx(p Point, st MarkState, v View) float64 {
	return sigmaAt(p, st, v, typicalPxPerM, clickSigmaPx)
}

// sigmaAt is DefaultSigmaPx at a given scale and click error.
func sigmaAt(p Point, st MarkState, v View, pxPerM, clickPx float64) float64 {
	switch st {
	case Tracked:
		clickPx *= trackedFactor
	case Proposed:
		clickPx *= proposedFactor
	}
	s := math.Hypot(clickPx, placingSigmaM*pxPerM)
	if v == DownTheLine && p.Side() == Lead {
		s *= farSideFactor
	}
	return s
}

// pointSpeed is about how fast a point moves at a position, m/s: what one
// frame's difference between two clips is worth (common practice, no source).
// At address, top and finish the golfer is as good as still, and impact is the
// same instant in both clips.
func pointSpeed(name PositionName, p Point) float64 {
	const (
		body = iota
		arm
		club
	)
	part := body
	switch p {
	case LeadElbow, TrailElbow, LeadWrist, TrailWrist:
		part = arm
	case Grip, Clubhead:
		part = club
	}
	switch name {
	case Address, Impact, Finish:
		return 0
	case Top:
		return [3]float64{0.1, 0.3, 1}[part]
	case Delivery:
		return [3]float64{1, 6, 25}[part]
	default:
		return [3]float64{0.5, 2, 6}[part]
	}
}
