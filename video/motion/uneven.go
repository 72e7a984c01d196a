package motion

import (
	"context"
	"image"
	"slices"
)

const (
	// plateau is how many pictures the pace is looked at on either side of a jump, and
	// steady how much it may change there, as a ratio.
	plateau, steady = 3, 2.0
	// jump is the ratio of the paces on both sides from which the clip, and not the
	// golfer, has changed its speed. At 30 frames a second the fastest that a golfer
	// quickens over three pictures to either side is 1.5 (the demo's swing); a clip
	// that goes from life's speed to an eighth jumps by 3 to 6.
	jump = 2.2
	// aboveStill is how far above that of a still picture the pace must lie.
	aboveStill = 0.12
)

// uneven reports whether a clip's speed jumps in the swing that ends at frame strike, as
// where a phone has rendered life's speed and slow motion into one file. From one picture
// to the next the whole golfer then moves several times as far, which no muscle does. It
// does not see a speed that changes smoothly.
func uneven(ctx context.Context, c Clip, size image.Point, from, strike int) (bool, error) {
	f := &film{lag: 1}
	for n := from; n <= strike; n++ {
		p := image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, n, p); err != nil {
			return false, err
		}
		f.pictures = append(f.pictures, p)
	}
	if len(f.pictures) < 2*plateau+2 {
		return false, nil
	}
	f.dead = f.noise()
	f.golfer = f.moving(1, len(f.pictures)-2)
	pace := make([]float64, len(f.pictures)-1)
	for i := range pace {
		pace[i] = f.difference(f.pictures[i].Pix, f.pictures[i+1].Pix)
	}
	for i := plateau; i+plateau <= len(pace); i++ {
		before, after := pace[i-plateau:i], pace[i:i+plateau]
		low, high := slices.Min(before), slices.Max(before)
		low2, high2 := slices.Min(after), slices.Max(after)
		if low < aboveStill || low2 < aboveStill || high > steady*low || high2 > steady*low2 {
			continue
		}
		if low2 >= jump*high || low >= jump*high2 {
			return true, nil
		}
	}
	return false, nil
}
