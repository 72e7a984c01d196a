package annotations

import (
	"math"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Cautions is shown wherever measures are printed.
const Cautions = "Pain or an injury: stop, and see a licensed professional. A coach's judgement comes first. " +
	"These numbers are estimates from video, not the output of a medical device."

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
	// Noise is how well each class of points is marked; 1 is the usual error.
	Noise []ScaleReport `json:"noise,omitempty"`
	// ToldPx is how well the marks agree, pixels, with its 95 % interval; absent
	// where they are too few to say.
	ToldPx     *float64       `json:"told_px,omitempty"`
	ToldLow95  *float64       `json:"told_px_low95,omitempty"`
	ToldHigh95 *float64       `json:"told_px_high95,omitempty"`
	Misfits    []MisfitReport `json:"misfits,omitempty"` // worst first
	Mistake    *MistakeReport `json:"mistake,omitempty"`
}

// ScaleReport is how well one class of points is marked: the factor on the usual
// marking error, with its 95 % interval.
type ScaleReport struct {
	Class  string  `json:"class"`
	Scale  float64 `json:"scale"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

// MisfitReport is a class of points that fits the body less well at one position
// than the rest, by the factor Times.
type MisfitReport struct {
	Class    string                `json:"class"`
	Position geometry.PositionName `json:"position"`
	Times    float64               `json:"times"`
	Reason   string                `json:"reason"`
}

// MistakeReport is a mistake of the whole swing. Ask says what mends it.
type MistakeReport struct {
	What     geometry.MistakeKind  `json:"what"`
	Ask      string                `json:"ask"`
	Reason   string                `json:"reason"`
	Clip     string                `json:"clip,omitempty"`
	Position geometry.PositionName `json:"position,omitempty"`
	// Of a camera off its line: how far, degrees, face-on positive toward the target,
	// down the line toward the ball.
	OffDeg   *float64 `json:"off_deg,omitempty"`
	OffLow95 *float64 `json:"off_deg_low95,omitempty"`
	OffHigh  *float64 `json:"off_deg_high95,omitempty"`

	all bool // every measure is withheld
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
	Basis      Basis                 `json:"basis"`
	// MarksAlone is what the marks alone tell where Basis is followed.
	MarksAlone *NumberReport    `json:"marks_alone,omitempty"`
	Clothes    string           `json:"clothes,omitempty"` // what they added to a pelvis turn
	Target     *TargetReport    `json:"target,omitempty"`
	Verdict    geometry.Verdict `json:"verdict,omitempty"` // absent without a target
	// Probability is the posterior one that the verdict is true; absent where it
	// can't be told.
	Probability float64 `json:"probability,omitempty"`
	// Advice is the first of Remedies in words, which are what would decide a verdict
	// that is not two-sided, best first.
	Advice   string         `json:"advice,omitempty"`
	Remedies []RemedyReport `json:"remedies,omitempty"`
}

// NumberReport is a number with its 95 % interval, in the unit of its measure.
type NumberReport struct {
	Value  float64 `json:"value"`
	SD     float64 `json:"sd"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
}

// RemedyReport is something that would sharpen a number.
type RemedyReport struct {
	Text string `json:"text"`
	// HalfWidth is what half the 95 % interval would about be, and Decides the
	// probability that the verdict is two-sided then; absent where not known.
	HalfWidth float64 `json:"half_width,omitempty"`
	Decides   float64 `json:"decides,omitempty"`
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

// Mistakes says of each swing with a mistake of the whole what it is, without full
// stops.
func (r *Report) Mistakes() []string {
	var out []string
	for i := range r.Swings {
		if f := r.Swings[i].Fit; f != nil && f.Mistake != nil {
			out = append(out, f.Mistake.Reason)
		}
	}
	return out
}

// Spoilt reports whether a mistake makes every number wrong. f may be nil.
func (f *FitReport) Spoilt() bool { return f != nil && f.Mistake != nil && f.Mistake.all }

// Bounds returns the range, whose ends may be infinite; all numbers where t is nil.
func (t *TargetReport) Bounds() geometry.Range {
	r := geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
	if t != nil && t.Low != nil {
		r.Low = *t.Low
	}
	if t != nil && t.High != nil {
		r.High = *t.High
	}
	return r
}

// String prints the range: "40 to 60", "from 40" or "up to 60".
func (t *TargetReport) String() string {
	if t == nil {
		return ""
	}
	return words.Limits(t.Low, t.High)
}
