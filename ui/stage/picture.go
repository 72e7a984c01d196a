package stage

import (
	"image"

	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"

	"turngauge/ui/bench"
	"turngauge/ui/session"
	"turngauge/video"
)

// stagePicture is the part of a frame that a stage shows, as a picture on the
// graphics card. The picture is rendered by the scaler to exactly the window
// pixels it covers and uploaded once per change; three buffers go round, so
// that none is written while it may still be read.
type stagePicture struct {
	film    *session.Film // that it is of
	key     pictureKey
	has     bool
	buffers [3]*image.RGBA
	next    int
	op      paint.ImageOp
	// index is the frame that is shown.
	index int
}

type pictureKey struct {
	index int
	crop  bench.Crop
}

// maxTexture is the largest side of a picture handed to the graphics card. A
// larger texture than the driver takes ends the program inside the driver;
// every driver since OpenGL ES 3 takes 2048, those of desktops 8192.
const maxTexture = 8192

// update renders what is to be shown of a film if it differs from what is there.
func (p *stagePicture) update(f *session.Film, fr *video.Frame, crop bench.Crop) error {
	if p.film != f {
		p.film, p.has = f, false
	}
	if fr == nil || crop.Empty() || crop.Width > maxTexture || crop.Height > maxTexture {
		p.has = false
		return nil
	}
	k := pictureKey{fr.Index, crop}
	if p.has && p.key == k {
		return nil
	}
	b := &p.buffers[p.next]
	p.next = (p.next + 1) % len(p.buffers)
	if *b == nil || (*b).Rect.Dx() != crop.Width || (*b).Rect.Dy() != crop.Height {
		*b = image.NewRGBA(image.Rect(0, 0, crop.Width, crop.Height))
	}
	if err := fr.Render(*b, image.Rect(crop.X0, crop.Y0, crop.X1, crop.Y1)); err != nil {
		p.has = false
		return err
	}
	p.op = paint.NewImageOp(*b)
	p.key, p.has, p.index = k, true, fr.Index
	return nil
}

// draw paints the picture at its place on the stage.
func (p *stagePicture) draw(ops *op.Ops) { p.paint(ops, paint.FilterNearest) }

// drawTurned is draw where the stage is turned: pixels then lie between those of the
// window.
func (p *stagePicture) drawTurned(ops *op.Ops) { p.paint(ops, paint.FilterLinear) }

func (p *stagePicture) paint(ops *op.Ops, filter paint.ImageFilter) {
	if !p.has {
		return
	}
	c := p.key.crop
	defer op.Offset(image.Pt(int(c.Left), int(c.Top))).Push(ops).Pop()
	defer clip.Rect(image.Rect(0, 0, c.Width, c.Height)).Push(ops).Pop()
	picture := p.op
	picture.Filter = filter
	picture.Add(ops)
	paint.PaintOp{}.Add(ops)
}
