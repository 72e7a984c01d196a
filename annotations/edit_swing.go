package annotations

import (
	"fmt"
	"slices"

	"turngauge/geometry"
)

// AddSwing puts a swing at the end of the lesson. Its ID, and those of its
// clips, come from the caller; see NewID.
type AddSwing struct{ Swing Swing }

// Label says so.
func (e AddSwing) Label() string { return "add swing" }

func (e AddSwing) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Swings = append(slices.Clone(l.Swings), e.Swing.clone())
	return &next, nil
}

// RemoveSwing takes a swing out of the lesson, with its clips and marks. The
// clips' files stay where they are.
type RemoveSwing struct{ Swing string }

// Label says so.
func (e RemoveSwing) Label() string { return "remove swing" }

func (e RemoveSwing) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	next := *l
	next.Swings = slices.Delete(slices.Clone(l.Swings), i, i+1)
	return &next, nil
}

// SetSwing changes the label and the club of a swing.
type SetSwing struct {
	Swing, NewLabel string
	Club            Club
	Gesture         uint64 // as for SetMark
}

// Label says so.
func (e SetSwing) Label() string { return "change swing" }

func (e SetSwing) mergeKey() any { return textKeyOf("swing "+e.Swing, e.Gesture) }

func (e SetSwing) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	e.Club.unknown = l.Swings[i].Club.unknown
	if l.Swings[i].Label == e.NewLabel && l.Swings[i].Club == e.Club {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) { s.Label, s.Club = e.NewLabel, e.Club }), nil
}

// AddClip puts a clip at the end of a swing's clips.
type AddClip struct {
	Swing string
	Clip  Clip
}

// Label says so.
func (e AddClip) Label() string { return "add clip" }

func (e AddClip) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	c := e.Clip
	c.GroundLines = slices.Clone(c.GroundLines)
	return l.withSwing(i, func(s *Swing) { s.Clips = append(slices.Clone(s.Clips), c) }), nil
}

// RemoveClip takes a clip out of a swing, with its frames, marks and drawings.
// The file stays where it is.
type RemoveClip struct{ Swing, Clip string }

// Label says so.
func (e RemoveClip) Label() string { return "remove clip" }

func (e RemoveClip) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	k, err := l.Swings[i].findClip(e.Clip)
	if err != nil {
		return nil, err
	}
	return l.withSwing(i, func(s *Swing) {
		for p := len(s.Positions) - 1; p >= 0; p-- {
			s.clear(e.Clip, p)
		}
		s.Drawings = slices.DeleteFunc(slices.Clone(s.Drawings), func(d Drawing) bool { return d.Frame.Clip == e.Clip })
		s.Findings = slices.Clone(s.Findings)
		for n := range s.Findings {
			if s.Findings[n].Frame.Clip == e.Clip {
				s.Findings[n].Frame = FrameRef{}
			}
		}
		s.Clips = slices.Delete(slices.Clone(s.Clips), k, k+1)
	}), nil
}

// SetClip replaces what is known of a clip (view, file, size, time base, focal
// length), found by Clip.ID. Its ground lines are replaced too.
type SetClip struct {
	Swing string
	Clip  Clip
}

// Label says so.
func (e SetClip) Label() string { return "change clip" }

func (e SetClip) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	k, err := l.Swings[i].findClip(e.Clip.ID)
	if err != nil {
		return nil, err
	}
	old := l.Swings[i].Clips[k]
	c := e.Clip
	c.unknown = old.unknown
	c.GroundLines = slices.Clone(c.GroundLines)
	if sameClip(c, old) {
		return l, nil
	}
	return l.withClip(i, k, func(to *Clip) { *to = c }), nil
}

func sameClip(a, b Clip) bool {
	return a.ID == b.ID && a.View == b.View && a.File == b.File && a.SHA256 == b.SHA256 &&
		a.Width == b.Width && a.Height == b.Height && a.TimeBase == b.TimeBase && a.Part == b.Part && a.FilmedFPS == b.FilmedFPS && a.Mirrored == b.Mirrored && a.Speed == b.Speed && a.GolferAt == b.GolferAt && a.Stand == b.Stand &&
		a.FocalPx == b.FocalPx && a.FocalRelSD == b.FocalRelSD &&
		slices.Equal(a.GroundLines, b.GroundLines)
}

// SetGolferAt says where in a clip the golfer stands.
type SetGolferAt struct {
	Swing, Clip string
	At          geometry.ImagePt // upright pixels
}

// Label says so.
func (e SetGolferAt) Label() string { return "point at the golfer" }

func (e SetGolferAt) apply(l *Lesson) (*Lesson, error) {
	i, k, err := l.findClip(e.Swing, e.Clip)
	if err != nil {
		return nil, err
	}
	if l.Swings[i].Clips[k].GolferAt == e.At {
		return l, nil
	}
	return l.withClip(i, k, func(c *Clip) { c.GolferAt = e.At }), nil
}

// SetGroundLine replaces a clip's ground line by its index, or adds one where
// the index is that after the last.
type SetGroundLine struct {
	Swing, Clip string
	Index       int
	Line        GroundLine
	Gesture     uint64 // as for SetMark
}

// Label says so.
func (e SetGroundLine) Label() string { return "place ground line" }

func (e SetGroundLine) mergeKey() any {
	return textKeyOf(fmt.Sprintf("line %d %s %s", e.Index, e.Clip, e.Swing), e.Gesture)
}

func (e SetGroundLine) apply(l *Lesson) (*Lesson, error) {
	i, k, err := l.findClip(e.Swing, e.Clip)
	if err != nil {
		return nil, err
	}
	lines := l.Swings[i].Clips[k].GroundLines
	if e.Index < 0 || e.Index > len(lines) {
		return nil, fmt.Errorf("there is no ground line %d in this clip", e.Index+1)
	}
	if e.Index == len(lines) {
		return l.withClip(i, k, func(c *Clip) { c.GroundLines = append(slices.Clone(lines), e.Line) }), nil
	}
	e.Line.unknown = lines[e.Index].unknown
	if lines[e.Index] == e.Line {
		return l, nil
	}
	return l.withClip(i, k, func(c *Clip) {
		c.GroundLines = slices.Clone(lines)
		c.GroundLines[e.Index] = e.Line
	}), nil
}

// DeleteGroundLine takes a ground line out of a clip.
type DeleteGroundLine struct {
	Swing, Clip string
	Index       int
}

// Label says so.
func (e DeleteGroundLine) Label() string { return "delete ground line" }

func (e DeleteGroundLine) apply(l *Lesson) (*Lesson, error) {
	i, k, err := l.findClip(e.Swing, e.Clip)
	if err != nil {
		return nil, err
	}
	lines := l.Swings[i].Clips[k].GroundLines
	if e.Index < 0 || e.Index >= len(lines) {
		return nil, fmt.Errorf("there is no ground line %d in this clip", e.Index+1)
	}
	return l.withClip(i, k, func(c *Clip) {
		c.GroundLines = slices.Delete(slices.Clone(lines), e.Index, e.Index+1)
	}), nil
}

func (l *Lesson) findClip(swing, clip string) (i, k int, err error) {
	if i, err = l.findSwing(swing); err != nil {
		return 0, 0, err
	}
	k, err = l.Swings[i].findClip(clip)
	return i, k, err
}

// withClip is withSwing for one clip of a swing.
func (l *Lesson) withClip(i, k int, change func(*Clip)) *Lesson {
	return l.withSwing(i, func(s *Swing) {
		s.Clips = slices.Clone(s.Clips)
		change(&s.Clips[k])
	})
}
