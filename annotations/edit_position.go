package annotations

import (
	"slices"

	"turngauge/geometry"
)

// SetPosition chooses the frame of a key position in one clip. A position that
// is new is put in its place in the order of the swing. Where the frame
// changes, marks already placed there by hand or tracked become proposals,
// because they were seen on another frame.
type SetPosition struct {
	Swing, Clip string
	Position    geometry.PositionName
	Index       int   // frame, from 0
	PTS         int64 // of that frame, in the clip's time base
	Proposed    bool  // by the program, and taken as it is
}

// Label names the position.
func (e SetPosition) Label() string { return "set " + string(e.Position) }

func (e SetPosition) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	s := &l.Swings[i]
	if _, err := s.findClip(e.Clip); err != nil {
		return nil, err
	}
	f := FrameRef{Clip: e.Clip, Index: e.Index, PTS: e.PTS, Proposed: e.Proposed}
	k := s.PositionIndex(e.Position)
	if k < 0 {
		return l.withSwing(i, func(s *Swing) {
			p := Position{Name: e.Position, Frames: []FrameRef{f}}
			s.Positions = slices.Insert(slices.Clone(s.Positions), s.placeFor(e.Position, f), p)
		}), nil
	}
	at := slices.IndexFunc(s.Positions[k].Frames, func(g FrameRef) bool { return g.Clip == e.Clip })
	if at >= 0 {
		f.unknown = s.Positions[k].Frames[at].unknown
		if s.Positions[k].Frames[at] == f {
			return l, nil
		}
	}
	return l.withSwing(i, func(s *Swing) {
		moved := at >= 0 && s.Positions[k].Frames[at].Index != f.Index
		s.Positions = slices.Clone(s.Positions)
		p := &s.Positions[k]
		p.Frames = slices.Clone(p.Frames)
		if at < 0 {
			p.Frames = append(p.Frames, f)
			return
		}
		p.Frames[at] = f
		if moved {
			s.Marks = slices.Clone(s.Marks)
			for j := range s.Marks {
				m := &s.Marks[j]
				if m.Clip == e.Clip && m.Position == e.Position && m.State != geometry.Hidden {
					m.State, m.SDPx, m.SharedBiasPx, m.Seen = geometry.Proposed, 0, 0, Sighting{}
				}
			}
		}
	}), nil
}

// ClearPosition takes the frame of a key position in one clip out, with the
// marks made on it. A position left with neither goes too.
type ClearPosition struct {
	Swing, Clip string
	Position    geometry.PositionName
}

// Label names the position.
func (e ClearPosition) Label() string { return "clear " + string(e.Position) }

func (e ClearPosition) apply(l *Lesson) (*Lesson, error) {
	i, err := l.findSwing(e.Swing)
	if err != nil {
		return nil, err
	}
	s := &l.Swings[i]
	k := s.PositionIndex(e.Position)
	if k < 0 {
		return l, nil
	}
	_, framed := s.Positions[k].Frame(e.Clip)
	if !framed && len(s.MarksAt(e.Clip, e.Position)) == 0 {
		return l, nil
	}
	return l.withSwing(i, func(s *Swing) { s.clear(e.Clip, k) }), nil
}

// clear takes a clip's frame, marks and repeats out of position k, and the position
// where nothing is left of it. s must be a copy made by withSwing.
func (s *Swing) clear(clip string, k int) {
	name := s.Positions[k].Name
	s.Positions = slices.Clone(s.Positions)
	s.Positions[k].Frames = slices.DeleteFunc(slices.Clone(s.Positions[k].Frames),
		func(f FrameRef) bool { return f.Clip == clip })
	s.Marks = slices.DeleteFunc(slices.Clone(s.Marks),
		func(m Mark) bool { return m.Clip == clip && m.Position == name })
	s.Repeats = slices.DeleteFunc(slices.Clone(s.Repeats),
		func(r Repeat) bool { return r.Clip == clip && r.Position == name })
	used := slices.ContainsFunc(s.Repeats, func(r Repeat) bool { return r.Position == name }) ||
		slices.ContainsFunc(s.Marks, func(m Mark) bool { return m.Position == name })
	if len(s.Positions[k].Frames) == 0 && !used {
		s.Positions = slices.Delete(s.Positions, k, k+1)
	}
}
