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
)

// Points returns how many points a drawing of the kind has.
func (k DrawingKind) Points() int {
	switch k {
	case DrawnLine:
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
	if n := nameOf(drawingWords, k); n != "" {
		return n
	}
	return "drawing"
}

// Drawing is something a coach drew on one frame of one clip to explain it. It
// belongs to that frame, whatever becomes of the key positions.
type Drawing struct {
	ID     string   // its own within the swing; see NewID
	Frame  FrameRef // the clip and the frame it is drawn on
	Kind   DrawingKind
	Points []geometry.ImagePt // upright pixels, as many as the kind has
	Text   string             // what a note says; beside a line or an angle, what it is called

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
	return d.ID == e.ID && d.Kind == e.Kind && d.Text == e.Text && slices.Equal(d.Points, e.Points) &&
		d.Frame.Clip == e.Frame.Clip && d.Frame.Index == e.Frame.Index &&
		d.Frame.PTS == e.Frame.PTS && d.Frame.PTSUnknown == e.Frame.PTSUnknown
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
