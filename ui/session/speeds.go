package session

import (
	"fmt"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/motion"
)

// slowPlayback is the playback rate, frames a second, below which a clip may be slow
// motion of a faster camera (common practice, no source: phones play it at 24 to 60).
const slowPlayback = 100

// MayBeSlowed reports whether a clip may be slow motion.
func MayBeSlowed(info *video.Info) bool {
	return info.PlaybackFPS > 0 && info.PlaybackFPS < slowPlayback
}

// slowsOf are the speeds at which a clip's motion is looked at: several only where
// nothing tells of it.
func slowsOf(c *annotations.Clip, info *video.Info) []float64 {
	if c == nil || c.FilmedFPS > 0 || c.Speed != annotations.SpeedUntold || !MayBeSlowed(info) {
		return motion.Slows[:1]
	}
	return motion.Slows
}

// speeds is what the pictures say of how fast clips play, and for which of them the
// coach was asked; both by the clips' IDs.
type speeds struct {
	likely map[string]float64 // frames a second of the camera
	asked  map[string]bool
	seen   uint64 // revision of the lesson that was looked at last
	again  bool   // the pictures have said something since
}

// doubtSpeed takes up what the motion in a stage's clip says of its speed: that it plays
// so many times slower than life, or that its speed changes on the way. The latter
// stands in the lesson from then on, because its times are of no use; the coach can undo
// it and say otherwise.
func (s *Session) doubtSpeed(stage int, slow float64, uneven bool) {
	c := s.Bench.Swing().Clip(s.Bench.Stages[stage].Clip)
	if c == nil || c.FilmedFPS > 0 || c.Speed != annotations.SpeedUntold {
		return
	}
	switch {
	case uneven:
		if s.Edit(annotations.SetSpeed{Swing: s.Bench.Swing().ID, Clip: c.ID, Speed: annotations.VariedSpeed}) == nil {
			s.env.warn(bench.Note(fmt.Sprintf("The %s clip changes its speed on the way, so tempo and speeds are not told from it. Undo, if it does not.", c.View)))
		}
	case slow > 1:
		if s.speeds.likely == nil {
			s.speeds.likely = make(map[string]float64)
		}
		s.speeds.likely[c.ID] = annotations.NearestFPS(slow * s.Films[stage].Info.PlaybackFPS)
		s.speeds.again = true
	}
}

// LikelyFPS returns at which rate a clip of the swing on the bench was probably filmed,
// where its speed is open, and 0 where it is not.
func (s *Session) LikelyFPS(c *annotations.Clip) float64 {
	if c.FilmedFPS > 0 || c.Speed != annotations.SpeedUntold {
		return 0
	}
	if sw := s.Bench.Swing(); sw.Clock(c) == geometry.ClockOpen {
		return sw.LikelyFPS(c)
	}
	return s.speeds.likely[c.ID]
}

// askSpeeds has the coach asked, once for each clip that is open here, how fast it plays
// where that is in doubt.
func (s *Session) askSpeeds() {
	if rev := s.Bench.Editor().Revision(); rev != s.speeds.seen {
		s.speeds.seen, s.speeds.again = rev, true
	}
	if s.env.AskSpeed == nil || !s.speeds.again {
		return
	}
	s.speeds.again = false
	ask := false
	for i := range s.Bench.Stages {
		c := s.Bench.Swing().Clip(s.Bench.Stages[i].Clip)
		if c == nil || s.Films[i] == nil || s.speeds.asked[c.ID] || s.LikelyFPS(c) == 0 {
			continue
		}
		if s.speeds.asked == nil {
			s.speeds.asked = make(map[string]bool)
		}
		s.speeds.asked[c.ID], ask = true, true
	}
	if ask {
		s.env.AskSpeed()
	}
}
