package annotations

import (
	"math"
	"slices"

	"turngauge/geometry"
)

// SetDrawing adds a drawing, or replaces the one with the same ID.
type SetDrawing struct {
	Swing   string
	Drawing Drawing
	// Gesture, where it is not 0, makes consecutive edits of one drawing with
	// the same number one step of undo.
	Gesture uint64
	// Change says that the drawing was there before; it is for the label only.
	Change bool
}

// Label names the kind of drawing.
func (e SetDrawing) Label() string {
	if e.Change {
		return "change the " + e.Drawing.Kind.String()
	}
	if e.Drawing.Kind == DrawnNote {
		return "write a note"
	}
	return "draw " + article(e.Drawing.Kind)
}

func (e SetDrawing) mergeKey() any { return textKeyOf("drawing "+e.Drawing.ID+" "+e.Swing, e.Gesture) }

func (e SetDrawing) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	if _, err := l.Swings[i].findClip(e.Drawing.Frame.Clip); err != nil {
		return nil, err
	}
	d := e.Drawing.clone()
	for k := range d.Points {
		d.Points[k] = onStep(d.Points[k])
	}
	k := l.Swings[i].DrawingIndex(d.ID)
	if k < 0 {
		return l.withSwing(i, func(s *Swing) { s.Drawings = append(slices.Clone(s.Drawings), d) }), nil
	}
	old := &l.Swings[i].Drawings[k]
	if old.same(&d) {
		return l, nil
	}
	d.unknown = old.unknown
	return l.withSwing(i, func(s *Swing) {
		s.Drawings = slices.Clone(s.Drawings)
		s.Drawings[k] = d
	}), nil
}

// onStep brings a coordinate to coordinateStep.
func onStep(p geometry.ImagePt) geometry.ImagePt {
	return geometry.ImagePt{
		X: math.Round(p.X/coordinateStep) * coordinateStep,
		Y: math.Round(p.Y/coordinateStep) * coordinateStep,
	}
}

// DeleteDrawing takes a drawing out. One that is not there is no error.
type DeleteDrawing struct {
	Swing, ID string
	// Kind is for the label only.
	Kind DrawingKind
}

// Label names the kind of drawing.
func (e DeleteDrawing) Label() string { return "delete " + article(e.Kind) }

func (e DeleteDrawing) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	k := l.Swings[i].DrawingIndex(e.ID)
	if k < 0 {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) {
		s.Drawings = slices.Delete(slices.Clone(s.Drawings), k, k+1)
	}), nil
}

func article(k DrawingKind) string {
	switch k {
	case DrawnAngle, DrawnArrow:
		return "an " + k.String()
	case DrawnFreehand:
		return "a line " + k.String()
	}
	return "a " + k.String()
}
