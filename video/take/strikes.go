package take

import (
	"context"
	"errors"
	"math"
	"slices"

	"turngauge/video"
	"turngauge/video/sound"
)

const (
	// pieceS and overlapS are how much sound is looked at at once, seconds, and how much
	// of it again with the next: a strike needs 0.1 s before it and 0.12 s after it.
	pieceS, overlapS = 20.0, 1.0
	// onceS is how far apart the times of one strike in two pieces may lie.
	onceS = 0.02
)

// Strikes returns what sounds like a strike in a take of any length, in order of time on
// the clip's clock; none in one without sound.
func Strikes(ctx context.Context, x *video.Index) ([]sound.Strike, error) {
	var out []sound.Strike
	err := x.EachSound(ctx, pieceS, overlapS, func(a *video.Audio) error {
		for _, s := range sound.All(a.Samples, a.Rate) {
			s.Seconds += a.Start
			out = append(out, s)
		}
		return ctx.Err()
	})
	if err != nil && !errors.Is(err, video.ErrNoAudio) {
		return nil, err
	}
	slices.SortStableFunc(out, func(a, b sound.Strike) int {
		switch {
		case a.Seconds < b.Seconds:
			return -1
		case a.Seconds > b.Seconds:
			return 1
		}
		return 0
	})
	out = slices.CompactFunc(out, func(a, b sound.Strike) bool { return math.Abs(a.Seconds-b.Seconds) < onceS })
	for i := range out {
		out[i].Seconds = x.Life(out[i].Seconds)
	}
	return out, nil
}
