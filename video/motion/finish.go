package motion

import (
	"context"
	"image"
	"math"
	"slices"
)

const (
	// longestFollowS is how long after the strike the finish is looked for, seconds of
	// life, and settledS how long the golfer barely moves in it (common practice, no
	// source).
	longestFollowS, settledS = 2.5, 0.1
	// settledPart is which part of the liveliest change, beyond that of a picture in which
	// nothing moves, is barely moving.
	settledPart = 0.04
	// restPart is that of standing still, if he comes to it.
	restPart = 0.012
)

// Finish returns the frame at which a golfer comes to rest after a strike, seconds on the
// clip's clock, in a clip that plays so many times slower than life. It reports false
// where the clip ends before, or he never rests.
func Finish(ctx context.Context, c Clip, size image.Point, strike, slow float64) (frame int, ok bool, err error) {
	last := c.Frames() - 1
	if last < 2 || !(strike >= 0) || strike >= c.Seconds(last) {
		return 0, false, nil
	}
	first := nearest(c, 0, last, strike)
	rate := float64(last) / (c.Seconds(last) - c.Seconds(0)) * slow // frames a second of life
	step := max(int(math.Round(lagS*rate)), 1)
	var changes []float64 // between picture i and i+1
	var before *image.Gray
	for n := first; n <= min(last, first+int(longestFollowS*rate)); n += step {
		p := image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, n, p); err != nil {
			return 0, false, err
		}
		if before != nil {
			changes = append(changes, changed(before.Pix, p.Pix))
		}
		before = p
	}
	long := max(int(math.Round(settledS*rate/float64(step))), 2)
	if len(changes) < 2*long {
		return 0, false, nil
	}
	most, least := slices.Max(changes[:len(changes)/2]), slices.Min(changes)
	if most <= 2*least {
		return 0, false, nil
	}
	from := slices.Index(changes, most)
	rests := func(i int, level float64) bool { return slices.Max(changes[i:i+long]) <= least+level*(most-least) }
	for i := from; i+long <= len(changes); i++ {
		if !rests(i, settledPart) {
			continue
		}
		at := i
		for ; i+long <= len(changes) && rests(i, settledPart); i++ { // he moves on, slowly
			if rests(i, restPart) {
				at = i
				break
			}
		}
		return first + at*step, true, nil
	}
	return 0, false, nil
}
