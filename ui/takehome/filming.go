package takehome

import (
	"context"
	"image"

	"golang.org/x/sync/errgroup"

	"turngauge/ui/fault"
	"turngauge/video"
)

// picturesAhead is how many pictures of an annotated clip are on their way at
// once: one is encoded while others are drawn.
const picturesAhead = 3

// easel holds a picture of the clip and remembers what is drawn on it, so that
// nothing is drawn again that is there already.
type easel struct {
	*video.Surface
	views []viewKey     // by panel
	ink   []*image.RGBA // by panel, clear where nothing is being drawn
	below *image.RGBA   // for the words below the views, likewise
	words string        // that stand there
}

// viewKey says what a panel of a picture shows.
type viewKey struct {
	frame int // -1 for nothing
	over  int // of what lies over it, -1 for nothing
	tale  *tale
}

func (l *reel) newEasel() (*easel, error) {
	w, h := l.size.Pixels()
	surface, err := video.NewSurface(w, h)
	if err != nil {
		return nil, err
	}
	surface.Fill(surface.Bounds(), clipGround)
	e := &easel{Surface: surface, words: "\x00", below: image.NewRGBA(image.Rect(0, 0, w, captionHeight(l.size)))}
	for i := range l.panels {
		e.views = append(e.views, viewKey{frame: -1})
		e.ink = append(e.ink, image.NewRGBA(image.Rectangle{Max: l.panels[i].place.Size()}))
	}
	return e, nil
}

// drawn is a picture to be shown for so many frames.
type drawn struct {
	easel *easel
	hold  int
}

// film draws the moments and the words at the end on a goroutine of its own,
// ahead of the encoder, and writes them. written is told of each frame. It ends
// when both have.
func (l *reel) film(ctx context.Context, out *video.Writer, moments []moment, written func()) error {
	free, ready := make(chan *easel, picturesAhead), make(chan drawn, picturesAhead)
	for range picturesAhead {
		e, err := l.newEasel()
		if err != nil {
			return err
		}
		defer e.Free()
		free <- e
	}
	g, ctx := errgroup.WithContext(ctx)
	g.Go(fault.Guard(func() error {
		defer close(ready)
		return l.draw(ctx, moments, free, ready)
	}))
	g.Go(fault.Guard(func() error { return l.write(ctx, out, free, ready, written) }))
	return g.Wait()
}

// draw draws what is shown, in order.
func (l *reel) draw(ctx context.Context, moments []moment, free <-chan *easel, ready chan<- drawn) error {
	for i := range len(moments) + 1 {
		var d drawn
		select {
		case d.easel = <-free:
		case <-ctx.Done():
			return ctx.Err()
		}
		if i == len(moments) {
			l.end(d.easel)
			d.hold = l.ending
		} else if err := l.moment(ctx, d.easel, &moments[i]); err != nil {
			return err
		} else {
			d.hold = moments[i].hold
		}
		ready <- d // there is room for every picture
	}
	return nil
}

// write encodes pictures until there are no more.
func (l *reel) write(ctx context.Context, out *video.Writer, free chan<- *easel, ready <-chan drawn, written func()) error {
	n := 0
	for d := range ready {
		for range d.hold {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := out.WriteSurface(d.easel.Surface); err != nil {
				return err
			}
			n++
			if sound := l.voice.Upto(n, clipRate); len(sound) > 0 {
				if err := out.WriteAudio(sound); err != nil {
					return err
				}
			}
			written()
		}
		free <- d.easel
	}
	return ctx.Err()
}
