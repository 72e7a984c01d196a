package bench

import (
	"slices"

	"turngauge/geometry"
)

// backgroundFrames are those of a stage's clip whose start, top and strike are known.
func (b *Bench) backgroundFrames(stage int) []int {
	var at [3]int
	for i, name := range [...]geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
		t, ok := b.TickOf(stage, name)
		if !ok {
			return nil
		}
		at[i] = t.Frame
	}
	return BackgroundFrames(at[0], at[1], at[2], b.Stages[stage].Film.Frames())
}

// BackgroundFrames are frames over a swing, in order, whose median shows what stands
// still in a clip of so many frames: two on the way up, the top, two on the way down, the
// strike and three after it, as far as the clip reaches. At no place is the club in more
// than three of them. The start itself is left out: a golfer who stands there for long
// would be part of it.
func BackgroundFrames(address, top, impact, frames int) []int {
	up, down := top-address, impact-top
	if up <= 2 || down <= 2 {
		return nil
	}
	var out []int
	for _, n := range [...]int{
		address + up/2, address + 3*up/4, top, top + down/2, top + 3*down/4, impact,
		impact + down/2, impact + down, impact + 2*down,
	} {
		if n >= 0 && n < frames {
			out = append(out, n)
		}
	}
	return slices.Compact(out)
}
