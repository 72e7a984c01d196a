package takehome

import (
	"context"
	"image"
	"image/draw"

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
	img   *image.RGBA
	views []viewKey // by panel
	words string    // that stand below the views
}

// viewKey says what a panel of a picture shows.
type viewKey struct {
	frame int // -1 for nothing
	tale  *tale
}

func newEasel(width, height, panels int) *easel {
	e := &easel{img: image.NewRGBA(image.Rect(0, 0, width, height)), views: make([]viewKey, panels)}
	for i := range e.views {
		e.views[i].frame = -1
	}
	draw.Draw(e.img, e.img.Rect, image.NewUniform(clipGround), image.Point{}, draw.Src)
	return e
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
	w, h := l.size.pixels()
	for range picturesAhead {
		free <- newEasel(w, h, len(l.panels))
	}
	g, ctx := errgroup.WithContext(ctx)
	g.Go(fault.Guard(func() error {
		defer close(ready)
		return l.draw(ctx, moments, free, ready)
	}))
	g.Go(fault.Guard(func() error { return write(ctx, out, free, ready, written) }))
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
			l.end(d.easel.img)
			d.hold = holdEnd * clipRate
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
func write(ctx context.Context, out *video.Writer, free chan<- *easel, ready <-chan drawn, written func()) error {
	for d := range ready {
		for n := range d.hold {
			if err := ctx.Err(); err != nil {
				return err
			}
			var err error
			if n == 0 {
				err = out.WriteFrame(d.easel.img)
				free <- d.easel
			} else {
				err = out.RepeatFrame(1)
			}
			if err != nil {
				return err
			}
			written()
		}
	}
	return ctx.Err()
}
