package bench

import (
	"fmt"
	"math"
)

// repeat is the part of a clip that playing goes over again and again.
type repeat struct {
	stage    int
	from, to int // frames; to is -1 until it is chosen
	on       bool
}

// NextRepeat chooses the first frame of the part to repeat, then its last
// one, then takes it off.
func (s *Show) NextRepeat() Note {
	st := &s.Stages[s.Active]
	if st.Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	r := &s.repeat
	switch {
	case !r.on || r.to < 0 && r.stage != s.Active:
		*r = repeat{stage: s.Active, from: st.Frame, to: -1, on: true}
		return "Repeat from this frame: find the last one, then press R again."
	case r.to >= 0:
		*r = repeat{}
		return "No part is repeated now."
	case st.Frame == r.from:
		*r = repeat{}
		return "A part to repeat needs two frames: none is repeated now."
	}
	r.from, r.to = min(r.from, st.Frame), max(r.from, st.Frame)
	return "Playing repeats this part. R takes it off."
}

// Repeat returns the part of a stage's clip that is repeated, as its first and
// last frame. While only one end is chosen the other is the frame shown.
func (s *Show) Repeat(stage int) (from, to int, ok bool) {
	r := s.repeat
	if !r.on || r.stage != stage {
		return 0, 0, false
	}
	if r.to < 0 {
		shown := s.Stages[stage].Frame
		return min(r.from, shown), max(r.from, shown), true
	}
	return r.from, r.to, true
}

// part returns the first and last frame to play on the active stage.
func (s *Show) part() (first, last int, repeats bool) {
	st := &s.Stages[s.Active]
	first, last = st.Ends()
	r := s.repeat
	if !r.on || r.to < 0 {
		return first, last, false
	}
	if r.stage == s.Active {
		return r.from, r.to, true
	}
	l, ok := s.Lock()
	if !ok {
		return first, last, false
	}
	film := s.Stages[r.stage].Film
	at := func(frame int) int {
		return st.clamp(st.Film.FrameAt(l.Map(r.stage, film.Seconds(clampFrame(frame, film)))))
	}
	first, last = at(r.from), at(r.to)
	return first, last, first < last
}

// playback is playing the active clip, with the other one following.
type playback struct {
	on    bool
	slow  int     // 1 means true speed, 8 an eighth
	clock float64 // seconds on the active clip
}

// Speeds are the playing speeds, as divisors of true speed.
var Speeds = []int{1, 2, 4, 8, 16, 32, 64}

// Playing reports whether the clips play, and at what divisor of true speed.
func (s *Show) Playing() (on bool, slow int) { return s.playback.on, max(s.playback.slow, 1) }

// Play starts playing from the frame shown, or from the beginning if that is
// the last one.
func (s *Show) Play() Note {
	st := &s.Stages[s.Active]
	if st.Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	first, last, repeats := s.part()
	if st.Frame >= last || repeats && st.Frame < first {
		s.GoTo(s.Active, first)
	}
	s.playback.on = true
	s.playback.clock = st.Film.Seconds(st.Frame)
	return ""
}

// Pause stops playing.
func (s *Show) Pause() { s.playback.on = false }

// Slower and Faster change the playing speed by one step of Speeds.
func (s *Show) Slower() Note { return s.changeSpeed(2) }

// Faster is the opposite of Slower.
func (s *Show) Faster() Note { return s.changeSpeed(0.5) }

func (s *Show) changeSpeed(factor float64) Note {
	_, slow := s.Playing()
	slow = int(float64(slow) * factor)
	s.playback.slow = min(max(slow, Speeds[0]), Speeds[len(Speeds)-1])
	if s.playback.slow == 1 {
		return "True speed."
	}
	return Note(fmt.Sprintf("1/%d of true speed.", s.playback.slow))
}

// Tick moves playing on by a time of the coach's clock, seconds, and reports
// whether it goes on.
func (s *Show) Tick(dt float64) bool {
	if !s.playback.on {
		return false
	}
	st := &s.Stages[s.Active]
	if st.Film == nil {
		s.playback.on = false
		return false
	}
	first, last, repeats := s.part()
	if st.Frame >= last {
		if !repeats {
			s.playback.on = false
			return false
		}
		s.playback.clock = st.Film.Seconds(first)
		s.GoTo(s.Active, first)
		return true
	}
	_, slow := s.Playing()
	s.playback.clock += math.Max(dt, 0) / float64(slow)
	s.GoTo(s.Active, min(st.Film.FrameAt(s.playback.clock), last))
	return true
}
