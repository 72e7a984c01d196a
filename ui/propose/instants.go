package propose

import (
	"context"
	"image"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/motion"
	"turngauge/video/pose"
	"turngauge/video/take"
)

// Instants looks through a clip for the key positions between a start, a top and a strike
// that are known, and for the finish, which is always unsure. look needs neither pictures
// nor background.
func Instants(ctx context.Context, clip *video.Index, look bench.Instants) ([]bench.Proposal, error) {
	v, err := open(ctx, clip)
	if err != nil {
		return nil, err
	}
	defer v.r.Close()
	return v.instants(ctx, look)
}

func (v *viewing) instants(ctx context.Context, look bench.Instants) (found []bench.Proposal, err error) {
	r := v.r
	look.Picture = func(ctx context.Context, n int) (*image.RGBA, error) { return Picture(ctx, r, n) }
	frames := bench.BackgroundFrames(look.Address, look.Top, look.Impact, r.Frames())
	if look.Standing, err = v.background(ctx, frames); err != nil {
		return nil, err
	}
	if look.GolferAt == (geometry.ImagePt{}) {
		if look.GolferAt, err = v.golfer(ctx, r.Seconds(look.Impact)); err != nil {
			return nil, err
		}
	}
	finder, err := pose.NewFinder()
	if err != nil {
		return nil, err
	}
	found, err = look.Find(ctx, finder)
	if err != nil {
		return nil, err
	}
	slow := 1.0
	if down := look.Seconds(look.Impact) - look.Seconds(look.Top); down > 0 {
		slow = (r.Seconds(look.Impact) - r.Seconds(look.Top)) / down
	}
	finish, ok, err := motion.Finish(ctx, r, take.Size, r.Seconds(look.Impact), slow)
	if ok {
		found = append(found, bench.Proposal{Name: geometry.Finish, Frame: finish, Unsure: true})
	}
	return found, err
}
