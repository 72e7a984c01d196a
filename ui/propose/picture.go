package propose

import (
	"context"
	"image"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/video"
	"turngauge/video/background"
	"turngauge/video/motion"
	"turngauge/video/take"
)

// cacheBytes is enough for a reader that looks through a part of a clip once; it is no
// use to keep what it has seen.
const cacheBytes = 64 << 20

// Reader opens a clip once more, to be looked through. The caller closes it.
func Reader(ctx context.Context, clip *video.Index) (*video.Reader, error) {
	src, err := clip.Open(ctx)
	if err != nil {
		return nil, err
	}
	return video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(cacheBytes)}), nil
}

// viewing is a clip that is looked at for several purposes, and what it was seen to hold:
// a place in a clip costs the pictures since its last key frame each time that one goes
// there.
type viewing struct {
	r        *video.Reader
	standing *image.RGBA
	of       []int // the frames that standing is the median of
	golferAt geometry.ImagePt
	strike   float64 // at which he stands there
	seen     bool    // golferAt is told
}

func open(ctx context.Context, clip *video.Index) (*viewing, error) {
	r, err := Reader(ctx, clip)
	if err != nil {
		return nil, err
	}
	return &viewing{r: r}, nil
}

// background is Background.
func (v *viewing) background(ctx context.Context, frames []int) (*image.RGBA, error) {
	if v.standing != nil && slices.Equal(frames, v.of) {
		return v.standing, nil
	}
	im, err := Background(ctx, v.r, frames)
	v.standing, v.of = im, frames
	return im, err
}

// golfer is GolferAt; within some hundredths of a second the strike is one and the same.
func (v *viewing) golfer(ctx context.Context, strike float64) (geometry.ImagePt, error) {
	const once = 0.05
	if v.seen && math.Abs(strike-v.strike) < once {
		return v.golferAt, nil
	}
	at, err := GolferAt(ctx, v.r, strike)
	v.golferAt, v.strike, v.seen = at, strike, err == nil
	return at, err
}

// Picture returns a frame of a clip in full size.
func Picture(ctx context.Context, r *video.Reader, frame int) (*image.RGBA, error) {
	f, err := r.Read(ctx, frame)
	if err != nil {
		return nil, err
	}
	defer f.Release()
	im := image.NewRGBA(f.Bounds())
	return im, f.Render(im, f.Bounds())
}

// leastBackground is how many frames a background is told from: the club is at one place
// in at most three of them.
const leastBackground = 7

// Background returns the median of frames of a clip, nil where they are too few.
func Background(ctx context.Context, r *video.Reader, frames []int) (*image.RGBA, error) {
	if len(frames) < leastBackground {
		return nil, nil
	}
	pictures := make([]*image.RGBA, len(frames))
	for i, n := range frames {
		var err error
		if pictures[i], err = Picture(ctx, r, n); err != nil {
			return nil, err
		}
	}
	return background.Median(pictures), nil
}

// swingS is how long before the strike a golfer's motion tells where he stands.
const swingS = 0.3

// GolferAt returns where in a clip the one stands who swings at the strike, seconds of
// its clock, in upright pixels; the zero value where nothing moves.
func GolferAt(ctx context.Context, r *video.Reader, strike float64) (geometry.ImagePt, error) {
	x, y, ok, err := motion.Mover(ctx, r, take.Size, strike-swingS, strike)
	if err != nil || !ok {
		return geometry.ImagePt{}, err
	}
	size := r.Size()
	return geometry.ImagePt{X: x * float64(size.X), Y: y * float64(size.Y)}, nil
}
