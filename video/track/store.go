package track

import (
	"context"
	"fmt"
)

// store keeps the pyramids of the frames looked at last, as many as the
// memory allows.
type store struct {
	clip  Clip
	slots []slot
	limit int
	clock int
	make  func() *pyramid
}

type slot struct {
	frame, used int
	p           *pyramid
}

func newStore(c Clip, o *Options) *store {
	s := &store{clip: c}
	s.make = func() *pyramid { return newPyramid(c.Size(), o.Levels, o.Window) }
	first := s.make()
	s.slots = append(s.slots, slot{-1, 0, first})
	s.limit = max(int(o.MemoryBytes/first.bytes()), 2) // a step needs two
	return s
}

// picture returns the pyramid of frame n. It and the one asked for before are
// good until the next call.
func (s *store) picture(ctx context.Context, n int) (*pyramid, error) {
	s.clock++
	oldest := 0
	for i := range s.slots {
		if s.slots[i].frame == n {
			s.slots[i].used = s.clock
			return s.slots[i].p, nil
		}
		if s.slots[i].used < s.slots[oldest].used {
			oldest = i
		}
	}
	if s.slots[oldest].frame >= 0 && len(s.slots) < s.limit {
		oldest = len(s.slots)
		s.slots = append(s.slots, slot{p: s.make()})
	}
	place := &s.slots[oldest]
	place.frame = -1
	if err := s.clip.Gray(ctx, n, &place.p.gray); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, fmt.Errorf("frame %d can't be looked at: %w", n, err)
	}
	place.p.build()
	place.frame, place.used = n, s.clock
	return place.p, nil
}
