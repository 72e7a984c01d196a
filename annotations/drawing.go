package annotations

import (
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
)

// DrawingKind says what a coach drew on a frame.
type DrawingKind uint8

// The kinds of drawing. The zero value is none.
const (
	DrawingUnset DrawingKind = iota
	// DrawnLine is a straight line between two points.
	DrawnLine
	// DrawnAngle is an angle between three points: an end, the corner, the
	// other end. It is read in the picture, so it is an angle of what the
	// camera saw, not of the body.
	DrawnAngle
	// DrawnNote is a text at one point.
	DrawnNote
	// DrawnArrow is a line with a head at its second point.
	DrawnArrow
	// DrawnCircle is a circle: its middle and a point on it.
	DrawnCircle
	// DrawnBox is an upright rectangle between two corners.
	DrawnBox
	// DrawnFreehand is a line through as many points as the hand left, from 2 on.
	DrawnFreehand
)

// MostFreehand is how many points a line drawn freehand may have.
const MostFreehand = 400

// Stroke is how a drawing is drawn, so that several on a picture are told apart; each
// differs from the others in more than its colour.
type Stroke uint8

// The strokes.
const (
	SolidStroke Stroke = iota
	DashedStroke
	DottedStroke
)

// Stay says on which frames of its clip a drawing is shown; the zero value: on its own
// only.
type Stay struct {
	Whole    bool // on all of them
	From, To int  // frames of its clip, both with it; From below To, or both 0
}

// Stretch reports whether it is one from a frame to another.
func (s Stay) Stretch() bool { return s.From < s.To }

// Points returns how many points a drawing of the kind has; one drawn freehand has
// these at least.
func (k DrawingKind) Points() int {
	switch k {
	case DrawnLine, DrawnArrow, DrawnCircle, DrawnBox, DrawnFreehand:
		return 2
	case DrawnAngle:
		return 3
	case DrawnNote:
		return 1
	default:
		return 0
	}
}

// String returns the kind as the document spells it, or "drawing".
func (k DrawingKind) String() string {
	for _, words := range [][]word[DrawingKind]{drawingWords, shapeWords} {
		if n := nameOf(words, k); n != "" {
			return n
		}
	}
	return "drawing"
}

// Drawing is something a coach drew on one frame of one clip to explain it. It
// belongs to that frame, whatever becomes of the key positions, and may stay over
// others.
type Drawing struct {
	ID     string   // its own within the swing; see NewID
	Frame  FrameRef // the clip and the frame it is drawn on
	Kind   DrawingKind
	Points []geometry.ImagePt // upright pixels, as many as the kind has
	Text   string             // what a note says; beside another drawing, what it is called
	Stroke Stroke
	Stay   Stay

	unknown *jsontree.Fields
}

// clone returns a copy that shares no points.
func (d *Drawing) clone() Drawing {
	c := *d
	c.Points = slices.Clone(d.Points)
	return c
}

// same reports whether two drawings are alike, their unknown fields aside.
func (d *Drawing) same(e *Drawing) bool {
	return d.ID == e.ID && d.Kind == e.Kind && d.Text == e.Text && d.Stroke == e.Stroke && d.Stay == e.Stay && slices.Equal(d.Points, e.Points) &&
		d.Frame.Clip == e.Frame.Clip && d.Frame.Index == e.Frame.Index &&
		d.Frame.PTS == e.Frame.PTS && d.Frame.PTSUnknown == e.Frame.PTSUnknown
}

// On reports whether the drawing is shown on a frame of a clip.
func (d *Drawing) On(clip string, index int) bool {
	return d.Frame.Clip == clip && (d.Frame.Index == index || d.Stay.Whole || d.Stay.Stretch() && d.Stay.From <= index && index <= d.Stay.To)
}

// DrawingIndex returns the index in Drawings of the drawing with the given ID,
// or -1.
func (s *Swing) DrawingIndex(id string) int {
	return slices.IndexFunc(s.Drawings, func(d Drawing) bool { return d.ID == id })
}

// Drawing returns the drawing with the given ID, or nil. It is not to be
// changed.
func (s *Swing) Drawing(id string) *Drawing {
	if i := s.DrawingIndex(id); i >= 0 {
		return &s.Drawings[i]
	}
	return nil
}
