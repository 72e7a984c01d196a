package ui

import (
	"context"
	"image"

	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"

	"turngauge/ui/bench"
	"turngauge/video"
)

// film is an opened clip: its reader, and the picture of it on a stage.
type film struct {
	source *video.Source
	reader *video.Reader
	info   video.Info
	err    string // why the frame wanted can't be shown
	closed chan struct{}

	wanted    int
	picture   stagePicture
	magnified stagePicture
}

// Frames, PTS, Seconds and FrameAt make a film a bench.Film.
func (f *film) Frames() int           { return f.source.Frames() }
func (f *film) PTS(n int) int64       { return f.source.PTS(n) }
func (f *film) Seconds(n int) float64 { return f.source.Seconds(n) }
func (f *film) FrameAt(s float64) int { return f.source.FrameAt(s) }

// close ends everything of the film; it is called once.
func (f *film) close() {
	close(f.closed)
	f.reader.Close()
}

// want asks for a frame; the newest request wins.
func (f *film) want(n int) {
	if n == f.wanted {
		return
	}
	direction := 1
	if n < f.wanted {
		direction = -1
	}
	f.wanted = n
	f.reader.Request(n, direction)
}

// frame returns the frame to show for n: itself, or the nearest one that is
// decoded already, or nil. The caller releases it.
func (f *film) frame(n int) *video.Frame {
	fr, err := f.reader.Frame(n)
	f.err = ""
	if err != nil {
		f.err = err.Error()
	}
	if fr == nil {
		fr = f.reader.Nearest(n)
	}
	return fr
}

// thumbnail renders a small picture of frame n, cut to the part of the picture
// given. It waits for the decoder, so it is for workers only.
func (f *film) thumbnail(ctx context.Context, n int, part image.Rectangle, size image.Point) (*image.RGBA, error) {
	fr, err := f.reader.Read(ctx, n)
	if err != nil {
		return nil, err
	}
	defer fr.Release()
	dst := image.NewRGBA(image.Rectangle{Max: size})
	return dst, fr.Render(dst, part)
}

// stagePicture is the part of a frame that a stage shows, as a picture on the
// graphics card. The picture is rendered by the scaler to exactly the window
// pixels it covers and uploaded once per change; three buffers go round, so
// that none is written while it may still be read.
type stagePicture struct {
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

// update renders what is to be shown if it differs from what is there.
func (p *stagePicture) update(fr *video.Frame, crop bench.Crop) error {
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
	p.op.Filter = paint.FilterNearest
	p.key, p.has, p.index = k, true, fr.Index
	return nil
}

// draw paints the picture at its place on the stage.
func (p *stagePicture) draw(ops *op.Ops) {
	if !p.has {
		return
	}
	c := p.key.crop
	defer op.Offset(image.Pt(int(c.Left), int(c.Top))).Push(ops).Pop()
	defer clip.Rect(image.Rect(0, 0, c.Width, c.Height)).Push(ops).Pop()
	p.op.Add(ops)
	paint.PaintOp{}.Add(ops)
}
