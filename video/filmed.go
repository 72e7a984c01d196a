package video

import "math"

// Filmed returns the same clip as filmed at fps frames a second: Seconds and
// FrameAt then tell the time of life, in which each frame comes 1/fps second after
// the one before, however slowly the file plays them. 0 stands for a clip that plays
// at life's speed, whose times are its own.
func (x *Index) Filmed(fps float64) *Index {
	if fps == x.filmedFPS {
		return x
	}
	y := *x
	y.filmedFPS = fps
	return &y
}

// SetFilmed makes the clip one that was filmed at fps frames a second; see
// Index.Filmed. It is for before a Reader takes the Source over.
func (s *Source) SetFilmed(fps float64) { s.Index = s.Index.Filmed(fps) }

// Life returns when something was, on the clock of Seconds, that the file plays at a
// time in seconds from the first shown frame, as the strike in its sound. Before the
// first frame and after the last it goes on at the rate there.
func (x *Index) Life(played float64) float64 {
	if !(x.filmedFPS > 0) || x.Frames() < 2 {
		return played
	}
	n := min(x.playedAt(played), x.Frames()-2)
	from, to := x.played(n), x.played(n+1)
	if to <= from {
		return x.Seconds(n)
	}
	return x.Seconds(n) + (played-from)/(to-from)/x.filmedFPS
}

// played returns the time of frame n from the first shown frame as the file has it.
func (x *Index) played(n int) float64 { return float64(x.pts(n)-x.pts(0)) * x.tick() }

// playedAt returns the frame on show at a time as the file has it.
func (x *Index) playedAt(seconds float64) int {
	ticks := seconds / x.tick()
	const halfTick = 0.5 // played(n) must lead back to n in spite of rounding
	switch {
	case math.IsNaN(ticks) || ticks < 0:
		return 0
	case ticks > float64(x.pts(x.Frames()-1)-x.pts(0)):
		return x.Frames() - 1
	}
	return x.frameAt(x.pts(0) + int64(math.Floor(ticks+halfTick)))
}

// sameRate is the relative difference up to which two rates are one: phones name 240
// and film at 239.8.
const sameRate = 0.05

// SlowedBy is how many times slower than life the file plays, as far as it says: 1
// at life's speed, 8 where 240 frames a second are played at 30.
func (i *Info) SlowedBy() float64 {
	if !(i.FilmedFPS > 0) || !(i.PlaybackFPS > 0) || math.Abs(i.FilmedFPS/i.PlaybackFPS-1) <= sameRate {
		return 1
	}
	return i.FilmedFPS / i.PlaybackFPS
}
