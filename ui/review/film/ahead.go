package film

import (
	"context"
	"sync"

	"turngauge/annotations/review"
	"turngauge/video"
)

// mostAhead is how many changes of the picture are read ahead: so many frames of each clip
// are held, 3 MB each at 1920 by 1080.
const mostAhead = 4

// ahead is a film's frames of clips, read in the order in which they are shown while others
// are drawn and encoded.
type ahead struct {
	come chan []*video.Frame // one for each change of the picture
	held []*video.Frame
	end  func()
}

// readAhead begins to read. Nothing is to be opened any more from then on: see openAll.
func (f *Film) readAhead(ctx context.Context) *ahead {
	ctx, cancel := context.WithCancel(ctx)
	a := &ahead{come: make(chan []*video.Frame, mostAhead)}
	var done sync.WaitGroup
	done.Go(func() {
		defer close(a.come)
		for s := range f.changes() {
			read := f.read(ctx, s)
			select {
			case a.come <- read:
			case <-ctx.Done():
				release(read)
				return
			}
		}
	})
	a.end = func() {
		cancel()
		for read := range a.come {
			release(read)
		}
		release(a.held)
		done.Wait()
	}
	return a
}

// next waits until what is shown next was read, and lets go of what was shown before.
func (a *ahead) next() {
	release(a.held)
	a.held = <-a.come
}

func release(frames []*video.Frame) {
	for _, f := range frames {
		f.Release()
	}
}

// read reads the frames of a state, those of them that can be.
func (f *Film) read(ctx context.Context, s *review.State) (out []*video.Frame) {
	if s == nil {
		return nil
	}
	for i := range s.Views {
		v := &s.Views[i]
		side := f.sides[swingOf(s, v)]
		if side == nil || side.readers[v.Clip] == nil {
			continue
		}
		r := side.readers[v.Clip]
		if frame, err := r.Read(ctx, frameOf(r, v)); err == nil {
			out = append(out, frame)
		}
	}
	return out
}

// openAll opens the swings and clips that are shown in the film. The only error is that of
// ctx.
func (f *Film) openAll(ctx context.Context) error {
	for s := range f.changes() {
		if s == nil {
			continue
		}
		for i := range s.Views {
			side, err := f.side(ctx, swingOf(s, &s.Views[i]))
			if err != nil {
				return err
			}
			if side == nil {
				continue
			}
			if c := side.Swing().Clip(s.Views[i].Clip); c != nil {
				f.reader(side, c)
			}
		}
	}
	return nil
}
