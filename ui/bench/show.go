package bench

import (
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Film is what the bench needs to know of a clip's video.
type Film interface {
	// Frames is how many frames are shown.
	Frames() int
	// PTS is the presentation time of frame n in the clip's time base.
	PTS(n int) int64
	// Seconds is when frame n is shown, from the first shown frame.
	Seconds(n int) float64
	// FrameAt is the frame shown at a time, limited to the clip.
	FrameAt(seconds float64) int
}

// Stage is one view: a clip, and what is shown of it.
type Stage struct {
	View geometry.View
	// Clip is the ID of the clip in the lesson, or "" where the swing has none
	// from this view.
	Clip string
	// Part is the part of the clip that is the swing; the stage shows no more of it.
	Part annotations.Part
	// FilmedFPS is the clip's, as Film was opened with.
	FilmedFPS float64
	// Picture is the size of the upright picture.
	Picture Size
	// Film is nil until the clip's file has been opened.
	Film Film
	// Frame is the frame that is to be shown.
	Frame int
	// Strike is when the strike was heard, on the clip's clock; only where
	// StrikeHeard.
	Strike      float64
	StrikeHeard bool
	// StrikeUnsure says that something else may have been heard.
	StrikeUnsure bool
	// proposed are the key positions that sound and motion suggest.
	proposed []Proposal
	// Seen is the part of the picture in which a golfer was seen to swing; empty
	// where none was.
	Seen Box
	// Port is set by the coach, and by the window until he does.
	Port Viewport
}

// Frames returns how many frames the stage can show.
func (s *Stage) Frames() int {
	if s.Film == nil {
		return 0
	}
	return s.Film.Frames()
}

// Ends returns the first and the last frame that the stage shows.
func (s *Stage) Ends() (first, last int) {
	if s.Film == nil {
		return 0, 0
	}
	return s.Part.Of(s.Film.Frames())
}

// clamp limits a frame to those that the stage shows.
func (s *Stage) clamp(n int) int {
	first, last := s.Ends()
	return min(max(n, first), last)
}

// Along returns how far along what the stage shows a frame lies, from 0 to 1, and
// FrameAlong the frame there.
func (s *Stage) Along(frame int) float64 {
	first, last := s.Ends()
	return float64(frame-first) / float64(max(last-first, 1))
}

// FrameAlong returns the frame at a part of the way through what the stage shows.
func (s *Stage) FrameAlong(part float64) int {
	first, last := s.Ends()
	return s.clamp(first + int(math.Round(part*float64(last-first))))
}

// NumStages is how many stages stand side by side.
const NumStages = 2

// Show is what the stages show and how they move together: two views of one
// swing on the bench, or two swings when comparing.
type Show struct {
	Stages [NumStages]Stage
	// Active is the stage that keys act on.
	Active int
	// Position is the key position that the sheet and the plan view are about.
	Position geometry.PositionName

	// swingOn returns the swing that a stage shows, nil where it shows none.
	swingOn func(stage int) *annotations.Swing
	// moved is called when other frames are shown, with what was in hand.
	moved func()

	lock     LockMode
	playback playback
	repeat   repeat
	tickDrag tickDrag
}

// SwingOn returns the swing that a stage shows, or nil.
func (s *Show) SwingOn(stage int) *annotations.Swing { return s.swingOn(stage) }

// frameOf returns the frame of a key position that is set on a stage.
func (s *Show) frameOf(stage int, name geometry.PositionName) (frame int, ok bool) {
	st := &s.Stages[stage]
	sw := s.swingOn(stage)
	if sw == nil || st.Film == nil {
		return 0, false
	}
	ref, ok := sw.FrameOf(st.Clip, name)
	return clampFrame(ref.Index, st.Film), ok
}

// Activate makes a stage the one that keys act on.
func (s *Show) Activate(stage int) {
	if s.Stages[stage].Clip != "" && stage != s.Active {
		s.Active = stage
		s.moved()
	}
}

// GoTo shows a frame on a stage, and the frame of the same instant on the
// other one if the clips are locked.
func (s *Show) GoTo(stage, frame int) {
	st := &s.Stages[stage]
	if st.Film == nil {
		return
	}
	frame = st.clamp(frame)
	if frame == st.Frame {
		return
	}
	st.Frame = frame
	s.moved()
	s.followLock(stage)
	if p, ok := s.PositionAt(stage); ok {
		s.Position = p
	}
}

// Step moves the active stage by a number of frames.
func (s *Show) Step(frames int) {
	s.GoTo(s.Active, s.Stages[s.Active].Frame+frames)
}

// PositionAt returns the key position whose frame a stage shows now. Where two
// positions share one frame, it is the one the sheet is about.
func (s *Show) PositionAt(stage int) (geometry.PositionName, bool) {
	sw := s.swingOn(stage)
	st := &s.Stages[stage]
	if st.Clip == "" || sw == nil {
		return "", false
	}
	if ref, ok := sw.FrameOf(st.Clip, s.Position); ok && ref.Index == st.Frame {
		return s.Position, true
	}
	return sw.PositionAt(st.Clip, st.Frame)
}

// Tick is a frame of a stage that is a key position, or is proposed as one.
type Tick struct {
	Name     geometry.PositionName
	Frame    int
	Proposed bool
	Unsure   bool // only of a proposed one
}

// Ticks returns the key positions of a stage in the order of their frames:
// those that are set, and those that are proposed and not set. One that is
// being dragged is where the hand holds it.
func (s *Show) Ticks(stage int) []Tick {
	st := &s.Stages[stage]
	sw := s.swingOn(stage)
	if st.Film == nil || sw == nil {
		return nil
	}
	var ticks []Tick
	for i := range sw.Positions {
		if ref, ok := sw.Positions[i].Frame(st.Clip); ok {
			ticks = append(ticks, Tick{Name: sw.Positions[i].Name, Frame: clampFrame(ref.Index, st.Film)})
		}
	}
	for _, p := range st.proposed {
		if !slices.ContainsFunc(ticks, func(t Tick) bool { return t.Name == p.Name }) {
			ticks = append(ticks, Tick{p.Name, clampFrame(p.Frame, st.Film), true, p.Unsure})
		}
	}
	if d := s.tickDrag; d.on && d.stage == stage {
		for i := range ticks {
			if ticks[i].Name == d.name {
				ticks[i].Frame = d.frame
			}
		}
	}
	slices.SortStableFunc(ticks, func(a, b Tick) int { return a.Frame - b.Frame })
	return ticks
}

// TickOf returns the tick of a key position on a stage, as Ticks has it. It is
// asked for every card in every frame, so it makes no list.
func (s *Show) TickOf(stage int, name geometry.PositionName) (Tick, bool) {
	st := &s.Stages[stage]
	t := Tick{Name: name}
	frame, ok := s.frameOf(stage, name)
	if t.Frame = frame; !ok {
		if st.Film == nil || s.swingOn(stage) == nil {
			return Tick{}, false
		}
		i := slices.IndexFunc(st.proposed, func(p Proposal) bool { return p.Name == name })
		if i < 0 {
			return Tick{}, false
		}
		p := st.proposed[i]
		t = Tick{p.Name, clampFrame(p.Frame, st.Film), true, p.Unsure}
	}
	if d := s.tickDrag; d.on && d.stage == stage && d.name == name {
		t.Frame = d.frame
	}
	return t, true
}

// GoToPosition shows a key position on every stage where it is set or
// proposed, makes it the one the sheet is about, and reports whether there is
// such a stage.
func (s *Show) GoToPosition(name geometry.PositionName) bool {
	s.Position = name
	s.moved()
	found, active := false, s.Active
	for i := range s.Stages {
		t, ok := s.TickOf(i, name)
		if !ok {
			continue
		}
		s.Stages[i].Frame = t.Frame
		if !found {
			active = i
		}
		found = true
		if i == s.Active {
			active = i
		}
	}
	if !found {
		return false
	}
	s.Active = active
	// A stage that has no frame of its own shows the same instant.
	if _, ok := s.TickOf(1-active, name); !ok {
		s.followLock(active)
	}
	return true
}

// Neighbour returns the key position that is set or proposed next after the
// frame the active stage shows (step 1), or the one before (step -1).
func (s *Show) Neighbour(step int) (geometry.PositionName, Note) {
	ticks := s.Ticks(s.Active)
	if step < 0 {
		slices.Reverse(ticks)
	}
	for _, t := range ticks {
		if (t.Frame-s.Stages[s.Active].Frame)*step > 0 {
			return t.Name, ""
		}
	}
	if step > 0 {
		return "", "No key position is set after this frame."
	}
	return "", "No key position is set before this frame."
}

func clampFrame(n int, f Film) int {
	if last := f.Frames() - 1; n > last {
		n = last
	}
	return max(n, 0)
}
