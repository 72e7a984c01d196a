package findings

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op/paint"

	"turngauge/annotations"
	"turngauge/ui/draw"
	"turngauge/ui/session"
)

// small are small pictures of the frames that findings show.
type small struct {
	kept   map[smallKey]*paint.ImageOp // nil while it is being made, or can't be
	making bool
}

type smallKey struct {
	film  *session.Film
	frame int
}

// smallSize is the size of such a picture, pixels.
var smallSize = image.Pt(96, 128)

// layout draws the small picture of a frame, or its place while there is none.
func (s *small) layout(gtx layout.Context, p *Room, f annotations.FrameRef) layout.Dimensions {
	size := image.Pt(gtx.Dp(36), gtx.Dp(48))
	d := p.host.Session()
	st, ok := d.Bench.StageOf(f.Clip)
	if !ok || d.Film(st) == nil {
		return layout.Dimensions{}
	}
	k := smallKey{d.Film(st), f.Index}
	if picture, known := s.kept[k]; picture != nil {
		draw.Image(gtx.Ops, *picture, size)
	} else if !known && !s.making {
		s.make(p, k, d.Bench.Stages[st].Picture.W, d.Bench.Stages[st].Picture.H)
	}
	return layout.Dimensions{Size: size}
}

// make makes the small picture of the middle of a frame of w by h pixels.
func (s *small) make(p *Room, k smallKey, w, h float64) {
	if s.kept == nil {
		s.kept = make(map[smallKey]*paint.ImageOp)
	}
	s.making, s.kept[k] = true, nil
	cw := min(w, h*float64(smallSize.X)/float64(smallSize.Y))
	ch := min(h, w*float64(smallSize.Y)/float64(smallSize.X))
	x, y := int(w-cw)/2&^1, int(h-ch)/2&^1
	part := image.Rect(x, y, x+int(cw), y+int(ch))
	ctx := p.host.Session().Context()
	p.host.Go("Making a small picture", func() {
		img, err := k.film.Thumbnail(ctx, k.frame, part, smallSize)
		p.host.Post(func() {
			s.making = false
			if err == nil {
				picture := paint.NewImageOp(img)
				picture.Filter = paint.FilterLinear
				s.kept[k] = &picture
			}
		})
	}, func() { s.making = false })
}
