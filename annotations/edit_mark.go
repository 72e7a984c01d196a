package annotations

import (
	"fmt"
	"math"
	"slices"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// coordinateStep is what marks are rounded to, in pixels: far below what a
// hand or the fit can tell apart, and it keeps the document readable.
const coordinateStep = 1.0 / 1024

// SetMark places, moves, hides or otherwise replaces one mark. The mark is
// known by its clip, position and point; its position must be in the swing.
type SetMark struct {
	Swing string
	Mark  Mark
	// Gesture, where it is not 0, makes consecutive edits of one mark with
	// the same number one step of undo.
	Gesture uint64
}

// Label names the mark and what becomes of it.
func (e SetMark) Label() string {
	verb := "place"
	switch e.Mark.State {
	case geometry.Hidden:
		verb = "hide"
	case geometry.Proposed:
		verb = "propose"
	case geometry.Tracked:
		verb = "track"
	}
	return verb + " " + e.Mark.Point.String()
}

type markKey struct {
	gesture     uint64
	swing, clip string
	position    geometry.PositionName
	point       geometry.Point
}

func (e SetMark) mergeKey() any {
	if e.Gesture == 0 {
		return nil
	}
	return markKey{e.Gesture, e.Swing, e.Mark.Clip, e.Mark.Position, e.Mark.Point}
}

func (e SetMark) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	s := &l.Swings[i]
	if _, err := s.findClip(e.Mark.Clip); err != nil {
		return nil, err
	}
	if s.Position(e.Mark.Position) == nil {
		return nil, fmt.Errorf("set the frame of %q first, then mark on it", e.Mark.Position)
	}
	m := tidy(e.Mark)
	k := s.MarkIndex(m.Clip, m.Position, m.Point)
	if k >= 0 {
		m = tidy(m.keepSighting(s.Marks[k], s.Clip(m.Clip).View))
		m.unknown = s.Marks[k].unknown
		if s.Marks[k] == m {
			return l, nil
		}
	}
	return l.withSwing(i, func(s *Swing) {
		if k < 0 {
			s.Marks = append(slices.Clone(s.Marks), m)
			return
		}
		s.Marks = slices.Clone(s.Marks)
		s.Marks[k] = m
	}), nil
}

// tidy rounds the coordinates, and takes them off a hidden mark. A mark without a
// standard deviation of its own has no part of it.
func tidy(m Mark) Mark {
	if m.State == geometry.Hidden {
		m.At, m.SDPx, m.Seen = geometry.ImagePt{}, 0, Sighting{}
	}
	if m.SDPx == 0 {
		m.SharedBiasPx = 0
	}
	if m.State == geometry.Hidden {
		return m
	}
	m.At.X = math.Round(m.At.X/coordinateStep) * coordinateStep
	m.At.Y = math.Round(m.At.Y/coordinateStep) * coordinateStep
	m.Seen = m.Seen.rounded()
	return m
}

// DeleteMark takes a mark out. A mark that is not there is no error.
type DeleteMark struct {
	Swing, Clip string
	Position    geometry.PositionName
	Point       geometry.Point
}

// Label names the mark.
func (e DeleteMark) Label() string { return "delete " + e.Point.String() }

func (e DeleteMark) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	k := l.Swings[i].MarkIndex(e.Clip, e.Position, e.Point)
	if k < 0 {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) {
		s.Marks = slices.Delete(slices.Clone(s.Marks), k, k+1)
	}), nil
}

// CopyForward copies the marks of one key position to another in the same
// clip, as proposals for the coach to move into place. Points that are marked
// at To already are left alone. Hidden marks are copied as hidden.
type CopyForward struct {
	Swing, Clip string
	// From may be empty: then it is the last position before To with marks.
	From, To geometry.PositionName
}

// Label names the position copied to.
func (e CopyForward) Label() string { return "copy marks to " + string(e.To) }

func (e CopyForward) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	s := &l.Swings[i]
	if s.Position(e.To) == nil {
		return nil, fmt.Errorf("set the frame of %q first, then copy marks to it", e.To)
	}
	from := e.From
	if from == "" {
		var ok bool
		if from, ok = s.MarkedBefore(e.Clip, e.To); !ok {
			return nil, fmt.Errorf("no position before %q has marks in this clip yet; mark one of them first", e.To)
		}
	}
	var add []Mark
	for _, m := range s.MarksAt(e.Clip, from) {
		if _, there := s.Mark(e.Clip, e.To, m.Point); there {
			continue
		}
		c := Mark{Clip: e.Clip, Position: e.To, Point: m.Point, At: m.At, State: geometry.Proposed}
		if m.State == geometry.Hidden {
			c.State = geometry.Hidden
		}
		add = append(add, c)
	}
	if len(add) == 0 {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) { s.Marks = append(slices.Clone(s.Marks), add...) }), nil
}

// findSwing returns the index of a swing, or a sentence saying it is not there.
func (l *Lesson) findSwing(id string) (int, error) {
	if i := l.SwingIndex(id); i >= 0 {
		return i, nil
	}
	return 0, fmt.Errorf("there is no swing %s in this lesson", words.Quote(id))
}

// findClip returns the index of a clip of a swing, or a sentence.
func (s *Swing) findClip(id string) (int, error) {
	if i := s.ClipIndex(id); i >= 0 {
		return i, nil
	}
	return 0, fmt.Errorf("there is no clip %s in this swing", words.Quote(id))
}

// withSwing returns a copy of l in which swing i is a shallow copy that change
// may change; change must replace slices, not write into them.
func (l *Lesson) withSwing(i int, change func(*Swing)) *Lesson {
	next := *l
	next.Swings = slices.Clone(l.Swings)
	change(&next.Swings[i])
	return &next
}
