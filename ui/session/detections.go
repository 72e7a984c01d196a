package session

import (
	"context"
	"image"
	"sync"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video"
	"turngauge/video/motion"
	"turngauge/video/pose"
)

// detections remembers what was seen in the pictures that marks were looked for in,
// so that taking proposals back and asking again costs nothing. It is for
// workers on any goroutine.
type detections struct {
	mu   sync.Mutex
	seen map[looked][]bench.Found
}

// looked is what decides what is seen in a picture.
type looked struct {
	path            string
	frame           int
	view            geometry.View
	position        geometry.PositionName
	handed          geometry.Handed
	statureM, clubM float64
	golferAt        geometry.ImagePt
}

// look returns what can be seen of the points in the frame of a key position.
func (s *detections) look(ctx context.Context, f bench.Following, path string) ([]bench.Found, error) {
	key := looked{path, f.Frame, f.View, f.Position, f.Handed, f.StatureM, f.ClubM, f.GolferAt}
	s.mu.Lock()
	found, ok := s.seen[key]
	s.mu.Unlock()
	if ok {
		return found, nil
	}
	im, err := picture(ctx, path, f.Frame)
	if err != nil {
		return nil, err
	}
	finder, err := pose.NewFinder()
	if err != nil {
		return nil, err
	}
	found = f.Look(finder, im)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.seen == nil {
		s.seen = make(map[looked][]bench.Found)
	}
	s.seen[key] = found
	return found, nil
}

// swingS is how long before the strike a golfer's motion tells where he stands.
const swingS = 0.3

// golferAt returns where in a clip the one stands who swings at the strike, seconds of
// its clock; the zero value where nothing moves.
func golferAt(ctx context.Context, clip *video.Index, strike float64) (geometry.ImagePt, error) {
	src, err := clip.Open(ctx)
	if err != nil {
		return geometry.ImagePt{}, err
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(motionCacheBytes)})
	defer r.Close()
	x, y, ok, err := motion.Mover(ctx, r, motionSize, strike-swingS, strike)
	if err != nil || !ok {
		return geometry.ImagePt{}, err
	}
	info := clip.Info()
	return geometry.ImagePt{X: x * float64(info.Width), Y: y * float64(info.Height)}, nil
}

// picture reads one frame of a clip in full size.
func picture(ctx context.Context, path string, frame int) (*image.RGBA, error) {
	src, err := video.OpenContext(ctx, path)
	if err != nil {
		return nil, err
	}
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(motionCacheBytes)})
	defer r.Close()
	f, err := r.Read(ctx, frame)
	if err != nil {
		return nil, err
	}
	defer f.Release()
	im := image.NewRGBA(f.Bounds())
	return im, f.Render(im, f.Bounds())
}
