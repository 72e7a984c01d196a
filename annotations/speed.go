package annotations

import (
	"math"

	"turngauge/geometry"
)

// Speed is what the coach says of how fast a clip plays.
type Speed uint8

// What can be said.
const (
	SpeedUntold Speed = iota
	LifesSpeed        // also where its swing looks slower than any golfer's
	VariedSpeed       // it changes on the way
)

const (
	// longestDownswingS is the longest time from the top to impact, seconds, that is
	// taken for life's without asking. Tour players need 0.23 to 0.33 s (Grober and
	// Cholewicki 2006, arXiv physics/0611291), others somewhat longer; that a clip
	// stretched to twice its time may lie below is ours.
	longestDownswingS = 0.5
	// usualDownswingS is the usual one (8 frames at 30 a second; the same source).
	usualDownswingS = 0.27
	// sameSwing is by how much two clips of one swing may differ in it.
	sameSwing = 1.6
)

// Clock says whether the times of a clip of the swing are those of life: what the
// coach said, else what they make of the downswing. A downswing that lasts longer
// than any golfer's, or longer than in the other clip, is slow motion.
func (s *Swing) Clock(c *Clip) geometry.Clock {
	switch {
	case c.Speed == VariedSpeed:
		return geometry.ClockUneven
	case c.told():
		return geometry.LifesTime
	}
	own, ok := s.downswing(c)
	if !ok {
		return geometry.LifesTime
	}
	if own > longestDownswingS {
		return geometry.ClockOpen
	}
	if other, ok := s.told(c); ok && own > sameSwing*other {
		return geometry.ClockOpen
	}
	return geometry.LifesTime
}

// told reports whether it is known at which even speed the clip plays.
func (c *Clip) told() bool { return c.FilmedFPS > 0 || c.Speed == LifesSpeed }

// downswing returns the time from the top to impact on the clip's own clock.
func (s *Swing) downswing(c *Clip) (seconds float64, ok bool) {
	top, ok1 := s.FrameOf(c.ID, geometry.Top)
	impact, ok2 := s.FrameOf(c.ID, geometry.Impact)
	if !ok1 || !ok2 {
		return 0, false
	}
	seconds = c.Seconds(impact) - c.Seconds(top)
	return seconds, seconds > 0
}

// told returns the downswing that the other clips tell of, if their speed is
// known or they tell of a golfer's.
func (s *Swing) told(but *Clip) (seconds float64, ok bool) {
	for i := range s.Clips {
		c := &s.Clips[i]
		if c.ID == but.ID || c.Speed == VariedSpeed {
			continue
		}
		if d, has := s.downswing(c); has && (c.told() || d <= longestDownswingS) {
			return d, true
		}
	}
	return 0, false
}

// cameraRates are those at which phones film, frames a second (common practice, no
// source).
var cameraRates = [...]float64{30, 60, 120, 240}

// LikelyFPS returns at which rate a clip whose clock is open was probably filmed:
// the one at which its downswing lasts as long as in the other clip, else as long as
// a golfer's. It is 0 where nothing tells.
func (s *Swing) LikelyFPS(c *Clip) float64 {
	top, ok1 := s.FrameOf(c.ID, geometry.Top)
	impact, ok2 := s.FrameOf(c.ID, geometry.Impact)
	if !ok1 || !ok2 || impact.Index <= top.Index {
		return 0
	}
	want, ok := s.told(c)
	if !ok {
		want = usualDownswingS
	}
	return NearestFPS(float64(impact.Index-top.Index) / want)
}

// NearestFPS returns the rate of a phone's camera that is nearest, as a ratio.
func NearestFPS(fps float64) float64 {
	best := cameraRates[0]
	for _, r := range cameraRates {
		if math.Abs(math.Log(r/fps)) < math.Abs(math.Log(best/fps)) {
			best = r
		}
	}
	return best
}

// SetSpeed says how fast a clip plays: FilmedFPS and Speed as of Clip.
type SetSpeed struct {
	Swing, Clip string
	FilmedFPS   float64
	Speed       Speed
}

// Label says so.
func (e SetSpeed) Label() string { return "say how fast a clip plays" }

func (e SetSpeed) apply(l *Lesson) (*Lesson, error) {
	i, k, err := l.findClip(e.Swing, e.Clip)
	if err != nil {
		return nil, err
	}
	if c := &l.Swings[i].Clips[k]; c.FilmedFPS == e.FilmedFPS && c.Speed == e.Speed {
		return l, nil
	}
	return l.withClip(i, k, func(c *Clip) { c.FilmedFPS, c.Speed = e.FilmedFPS, e.Speed }), nil
}
