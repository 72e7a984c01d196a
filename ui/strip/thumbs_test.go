package strip

import (
	"context"
	"errors"
	"image"
	"sync/atomic"
	"testing"

	"gioui.org/layout"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
	"turngauge/ui/session"
)

// renderer stands in for the decoder: it counts what is made, and makes it when
// the test lets it.
type renderer struct {
	begun, now, most atomic.Int32
	gate             chan struct{}
	frames           chan int // as they were made
}

func (r *renderer) make(ctx context.Context, f *session.Film, frame int, part image.Rectangle) (*image.RGBA, error) {
	r.begun.Add(1)
	r.most.Store(max(r.most.Load(), r.now.Add(1)))
	defer r.now.Add(-1)
	<-r.gate
	r.frames <- frame
	if frame < 0 {
		return nil, errors.New("no such frame")
	}
	return image.NewRGBA(image.Rectangle{Max: thumbSize}), nil
}

func newRoom(t *testing.T) (*Room, *kittest.Window, *renderer) {
	t.Helper()
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1"}}
	w := kittest.New(t, l, func(w *kittest.Window) kit.Room {
		return New(w, Doors{
			Buttons: func(layout.Context, []kit.GuideButton) (d layout.Dimensions) { return d },
		})
	})
	r := &renderer{gate: make(chan struct{}, 1<<12), frames: make(chan int, 1<<12)}
	room := w.Room.(*Room)
	room.thumbs.make = r.make
	return room, w, r
}

// A tick that is dragged along the rail asks for another picture in every frame of
// the window: of a clip one is made at a time, and then the one wanted last.
func TestADraggedTickMakesOnePictureAtATime(t *testing.T) {
	room, w, r := newRoom(t)
	film, part := new(session.Film), image.Rect(0, 0, 9, 12)
	for frame := range 1000 {
		room.thumbs.of(room, film, frame, part)
		w.Frame()
	}
	r.gate <- struct{}{}
	assert.Equal(t, 0, <-r.frames, "the first asked for")
	r.gate <- struct{}{}
	w.Until("the one wanted now", func() bool {
		p := room.thumbs.of(room, film, 999, part)
		return p != nil && p.ready
	})
	assert.Equal(t, 999, <-r.frames, "none of those dragged over")
	assert.EqualValues(t, 2, r.begun.Load())
	assert.EqualValues(t, 1, r.most.Load())
}

func TestClipsDontWaitForEachOther(t *testing.T) {
	room, w, r := newRoom(t)
	part := image.Rect(0, 0, 9, 12)
	for range 3 {
		room.thumbs.of(room, new(session.Film), 0, part)
	}
	w.Until("all to be begun", func() bool { return r.begun.Load() == 3 })
	for range 3 {
		r.gate <- struct{}{}
		<-r.frames
	}
}

func TestOnlyThePicturesAskedForLastAreKept(t *testing.T) {
	room, w, r := newRoom(t)
	film, part := new(session.Film), image.Rect(0, 0, 9, 12)
	have := func(frame int) {
		t.Helper()
		w.Until("a picture", func() bool {
			p := room.thumbs.of(room, film, frame, part)
			return p != nil && p.ready
		})
	}
	for frame := range 3 * maxThumbs {
		r.gate <- struct{}{}
		have(frame)
		have(0) // on a card all the time
	}
	assert.Len(t, room.thumbs.kept, maxThumbs)
	assert.Contains(t, room.thumbs.kept, thumbKey{film, 0})
	assert.NotContains(t, room.thumbs.kept, thumbKey{film, 1})
	assert.EqualValues(t, 3*maxThumbs, r.begun.Load(), "what is shown is not made again")
}

func TestAPictureThatCantBeMadeKeepsNoneBack(t *testing.T) {
	room, w, r := newRoom(t)
	film, part := new(session.Film), image.Rect(0, 0, 9, 12)
	r.gate <- struct{}{}
	w.Until("it to fail", func() bool { p := room.thumbs.of(room, film, -1, part); return p != nil && p.failed })
	r.gate <- struct{}{}
	w.Until("the next", func() bool { p := room.thumbs.of(room, film, 3, part); return p != nil && p.ready })
	for range 5 {
		room.thumbs.of(room, film, -1, part)
	}
	require.EqualValues(t, 2, r.begun.Load(), "it is not tried again and again")
}
