package annotations

import "turngauge/geometry"

// Report is what was measured of a lesson. Marshalled, it is the output of
// "turngauge measure --json". Numbers are rounded to a ten-thousandth of their
// unit.
type Report struct {
	Version int           `json:"version"`
	Lesson  string        `json:"lesson,omitempty"` // the lesson's ID
	Swings  []SwingReport `json:"swings"`
}

// SwingReport is what was measured of one swing.
type SwingReport struct {
	ID       string          `json:"id"`
	Label    string          `json:"-"`
	Fit      *FitReport      `json:"fit,omitempty"` // absent where nothing could be fitted
	Measures []MeasureReport `json:"measures"`
	Missing  []MissingReport `json:"missing"`
}

// FitReport says how the fit of a swing ended.
type FitReport struct {
	Status       geometry.Status `json:"status"`
	Iterations   int             `json:"iterations"`
	Cost         float64         `json:"cost"`
	Observations int             `json:"observations"`
	Unknowns     int             `json:"unknowns"`
	Rank         int             `json:"rank"`
	Cameras      []CameraReport  `json:"cameras"`
	Suspects     []SuspectReport `json:"suspect_marks"`
}

// CameraReport is a fitted camera in the golfer's own frame; for a left-hander
// it is the camera of the mirrored picture.
type CameraReport struct {
	Clip      string     `json:"clip"`
	PositionM [3]float64 `json:"position_m"`
	FocalPx   float64    `json:"focal_px"`
}

// SuspectReport is a mark that does not agree with the others.
type SuspectReport struct {
	Mark       int                   `json:"mark"` // index in the swing's marks
	Clip       string                `json:"clip"`
	Position   geometry.PositionName `json:"position"`
	Point      string                `json:"point"`
	ResidualPx float64               `json:"residual_px"`
	Reason     string                `json:"reason"`
}

// MeasureReport is one measured number. Low95 and High95 bound its 95 %
// interval; SD and they are in Unit.
type MeasureReport struct {
	Name       string                `json:"name"`
	Definition string                `json:"definition"`
	Position   geometry.PositionName `json:"position"`
	Group      geometry.Group        `json:"-"`
	Value      float64               `json:"value"`
	Unit       geometry.Unit         `json:"unit"`
	SD         float64               `json:"sd"`
	Low95      float64               `json:"low95"`
	High95     float64               `json:"high95"`
	Method     string                `json:"method"`
	Target     *TargetReport         `json:"target,omitempty"`
	Verdict    geometry.Verdict      `json:"verdict,omitempty"` // absent without a target
	// Probability is the posterior one that the verdict is true; absent where it
	// can't be told.
	Probability float64 `json:"probability,omitempty"`
	Advice      string  `json:"advice,omitempty"` // where the verdict is not two-sided
}

// TargetReport is a target range; an open end is absent.
type TargetReport struct {
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Source string   `json:"source"`
}

// MissingReport says why a measure is not there and what to mark for it.
type MissingReport struct {
	Name     string                `json:"name,omitempty"` // absent where the whole swing is meant
	Position geometry.PositionName `json:"position,omitempty"`
	Reason   string                `json:"reason"`
}

// Measured reports whether there is a number at all.
func (r *Report) Measured() bool {
	for i := range r.Swings {
		if len(r.Swings[i].Measures) > 0 {
			return true
		}
	}
	return false
}
