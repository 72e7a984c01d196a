package session

import (
	"context"
	"fmt"
	"image"
	"slices"
	"sync"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/propose"
	"turngauge/video"
	"turngauge/video/pose"
)

// detections remembers what was seen in the pictures that marks were looked for in,
// so that taking proposals back and asking again costs nothing. It is for
// workers on any goroutine.
type detections struct {
	mu       sync.Mutex
	seen     map[looked][]bench.Found
	standing map[string]standing // by the clip's path
}

// standing is the background of a clip, and the frames that it is the median of.
type standing struct {
	frames []int
	im     *image.RGBA // nil where the frames have none in common
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
	background      string
}

// look returns what can be seen of the points in the frame of a key position.
func (s *detections) look(ctx context.Context, f bench.Following, clip *video.Index) ([]bench.Found, error) {
	key := looked{clip.Info().Path, f.Frame, f.View, f.Position, f.Handed, f.StatureM, f.ClubM, f.GolferAt, fmt.Sprint(f.Background)}
	s.mu.Lock()
	found, ok := s.seen[key]
	s.mu.Unlock()
	if ok {
		return found, nil
	}
	r, err := propose.Reader(ctx, clip)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	im, err := propose.Picture(ctx, r, f.Frame)
	if err != nil {
		return nil, err
	}
	bg, err := s.background(ctx, r, f.Background)
	if err != nil {
		return nil, err
	}
	finder, err := pose.NewFinder()
	if err != nil {
		return nil, err
	}
	found = f.Look(finder, im, bg)
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

// background is propose.Background, made once for a clip and its frames.
func (s *detections) background(ctx context.Context, r *video.Reader, frames []int) (*image.RGBA, error) {
	if len(frames) == 0 {
		return nil, nil
	}
	path := r.Source().Info().Path
	s.mu.Lock()
	kept, ok := s.standing[path]
	s.mu.Unlock()
	if ok && slices.Equal(kept.frames, frames) {
		return kept.im, nil
	}
	bg, err := propose.Background(ctx, r, frames)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.standing == nil {
		s.standing = make(map[string]standing)
	}
	s.standing[path] = standing{frames, bg}
	return bg, nil
}

// golferAt returns where in a clip the one stands who swings at the strike, seconds of
// its clock; the zero value where nothing moves.
func golferAt(ctx context.Context, clip *video.Index, strike float64) (geometry.ImagePt, error) {
	r, err := propose.Reader(ctx, clip)
	if err != nil {
		return geometry.ImagePt{}, err
	}
	defer r.Close()
	return propose.GolferAt(ctx, r, strike)
}
