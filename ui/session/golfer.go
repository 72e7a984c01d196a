package session

import (
	"image"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/golfer"
	"turngauge/video/pose"
)

// see looks for the golfer in a clip that was just opened, in the background, so
// that the stage can show the whole of him.
func (s *Session) see(stage int, f *Film) {
	if _, marked := s.Bench.Golfer(stage); marked {
		return
	}
	var frames []int
	if t, ok := s.Bench.TickOf(stage, geometry.Address); ok && !t.Proposed {
		frames = append(frames, t.Frame)
	}
	for _, part := range golfer.WhereStanding {
		frames = append(frames, s.Bench.Stages[stage].FrameAlong(part))
	}
	at := s.Bench.Swing().Clip(s.Bench.Stages[stage].Clip).GolferAt
	s.env.Go("Looking for the golfer", func() {
		box, ok := s.seeIn(f, frames, at)
		s.env.Post(func() {
			if ok && !s.closed && s.Films[stage] == f {
				s.Bench.Stages[stage].Seen = box
			}
		})
	}, nil)
}

// seeIn looks for the golfer in frames of a clip, about where the coach has pointed
// at him if he has, on its own goroutine.
func (s *Session) seeIn(f *Film, frames []int, at geometry.ImagePt) (bench.Box, bool) {
	finder, err := pose.NewFinder()
	if err != nil {
		return bench.Box{}, false // the whole picture serves as well
	}
	for _, n := range frames {
		fr, err := f.Reader.Read(s.ctx, n)
		if err != nil {
			return bench.Box{}, false
		}
		im := image.NewRGBA(fr.Bounds())
		err = fr.Render(im, fr.Bounds())
		fr.Release()
		if err != nil {
			return bench.Box{}, false
		}
		fig, ok := finder.Find(im)
		if at != (geometry.ImagePt{}) {
			fig, ok = finder.FindAt(im, at.X, at.Y)
		}
		if ok {
			return golfer.Around(&fig, im.Rect.Size()), true
		}
	}
	return bench.Box{}, false
}
