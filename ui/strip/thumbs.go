package strip

import (
	"context"
	"image"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"

	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/session"
)

// thumbKey names a small picture: a frame of a clip.
type thumbKey struct {
	film  *session.Film
	frame int
}

type thumb struct {
	op     paint.ImageOp
	ready  bool
	failed bool
	used   int // the last time it was asked for, as thumbs counts
}

// thumbs are small pictures of frames. One is made at a time for each clip: what
// is asked for meanwhile, as by a tick that is dragged along, waits for the next
// frame of the window, and is made then if it is still wanted.
type thumbs struct {
	// make renders a frame of a clip; it is called on a goroutine of its own.
	make func(ctx context.Context, f *session.Film, frame int, part image.Rectangle) (*image.RGBA, error)

	kept   map[thumbKey]*thumb
	making map[*session.Film]bool
	asked  int
	wanted bool // since the cards were last laid out, one was asked for that is not there
}

// thumbSize is the size in pixels at which small pictures are kept; they are
// drawn at whatever size the card has.
var thumbSize = image.Pt(96, 128)

// maxThumbs is how many small pictures are kept, those asked for last: at 48 KB
// each, 3 MB. The cards show up to 28 at once, of the swing on the bench and the
// one compared with.
const maxThumbs = 64

// of returns the small picture of a frame, or nil while there is none: it is made
// unless another of its clip is being made.
func (t *thumbs) of(room *Room, f *session.Film, frame int, part image.Rectangle) *thumb {
	t.asked++
	k := thumbKey{f, frame}
	if p := t.kept[k]; p != nil {
		p.used = t.asked
		t.wanted = t.wanted || !p.ready && !p.failed
		return p
	}
	t.wanted = true
	if t.making[f] {
		return nil
	}
	if t.kept == nil {
		t.kept, t.making = make(map[thumbKey]*thumb), make(map[*session.Film]bool)
	}
	p := &thumb{used: t.asked}
	t.kept[k], t.making[f] = p, true
	t.forget()
	kept, making := t.kept, t.making // another swing has others
	failed := func() { p.failed, making[f] = true, false }
	ctx := room.host.Session().Context()
	room.host.Go("Making a small picture", func() {
		img, err := t.make(ctx, f, frame, part)
		room.host.Post(func() {
			making[f] = false
			switch {
			case ctx.Err() != nil: // the lesson was closed
				delete(kept, k)
			case err != nil:
				p.failed = true
			default:
				p.op, p.ready = paint.NewImageOp(img), true
				p.op.Filter = paint.FilterLinear
			}
		})
	}, failed)
	return p
}

// forget drops the picture that was not asked for the longest, if there are more
// than are kept.
func (t *thumbs) forget() {
	if len(t.kept) <= maxThumbs {
		return
	}
	var oldest thumbKey
	used := t.asked + 1
	for k, p := range t.kept {
		if p.used < used {
			oldest, used = k, p.used
		}
	}
	delete(t.kept, oldest)
}

// Settled reports whether every small picture is there that the cards show.
func (room *Room) Settled() bool { return !room.thumbs.wanted }

// thumbOf returns the small picture of a frame of the clip on a stage, or nil
// while there is none.
func (room *Room) thumbOf(stage, frame int) *thumb {
	s := room.host.Session()
	f := s.Film(stage)
	if f == nil {
		return nil
	}
	if room.of != s.Bench { // another swing: its clips are others
		room.of, room.thumbs.kept, room.thumbs.making = s.Bench, nil, nil
	}
	return room.thumbs.of(room, f, frame, thumbPart(s.Show().Stages[stage].Picture))
}

// thumbPart is the middle of the picture in the shape of a small picture.
func thumbPart(p bench.Size) image.Rectangle {
	w, h := int(p.W), int(p.H)
	cw := min(w, h*thumbSize.X/thumbSize.Y)
	ch := min(h, w*thumbSize.Y/thumbSize.X)
	x, y := (w-cw)/2&^1, (h-ch)/2&^1
	return image.Rect(x, y, x+cw, y+ch)
}

// drawThumb draws a small picture where it is there.
func (room *Room) drawThumb(gtx layout.Context, t *thumb, r image.Rectangle) {
	draw.Fill(gtx.Ops, r, room.host.Theme().Surround)
	if t == nil || !t.ready {
		return
	}
	defer clip.UniformRRect(r, gtx.Dp(3)).Push(gtx.Ops).Pop()
	defer op.Offset(r.Min).Push(gtx.Ops).Pop()
	s := f32.Pt(float32(r.Dx())/float32(thumbSize.X), float32(r.Dy())/float32(thumbSize.Y))
	defer op.Affine(f32.AffineId().Scale(f32.Point{}, s)).Push(gtx.Ops).Pop()
	t.op.Add(gtx.Ops)
	paint.PaintOp{}.Add(gtx.Ops)
}
