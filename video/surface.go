package video

import (
	"fmt"
	"image"
	"image/color"

	"github.com/asticode/go-astiav"
)

// Surface is a picture as a Writer encodes it: 8-bit YUV 4:2:0, BT.709, limited
// range. Frames of clips are put on it without becoming RGBA on the way, and
// drawings are laid over it. Its coordinates are pixels, their corner at (0, 0);
// the corners and sizes that its methods take are even numbers, because 2 x 2
// pixels share a sample of colour.
//
// Methods may run at the same time where their rectangles do not overlap. Free
// gives its memory back.
type Surface struct {
	bounds image.Rectangle
	frame  *astiav.Frame
}

// NewSurface returns a black surface. The error says that there is no memory, or
// which number is odd.
func NewSurface(width, height int) (*Surface, error) {
	if width < 2 || height < 2 || width%2 != 0 || height%2 != 0 {
		return nil, fmt.Errorf("video: a surface of %d x %d pixels can't be made: width and height must be even", width, height)
	}
	f, err := newFrameOf(width, height)
	if err != nil {
		return nil, errNoMemory
	}
	s := &Surface{bounds: image.Rect(0, 0, width, height), frame: f}
	s.Fill(s.bounds, color.Black)
	return s, nil
}

// newFrameOf returns a frame for pictures as encoders take them.
func newFrameOf(width, height int) (*astiav.Frame, error) {
	f := astiav.AllocFrame()
	if f == nil {
		return nil, errNoMemory
	}
	f.SetWidth(width)
	f.SetHeight(height)
	f.SetPixelFormat(astiav.PixelFormatYuv420P)
	if err := f.AllocBuffer(0); err != nil {
		f.Free()
		return nil, errNoMemory
	}
	return f, nil
}

// Free gives the memory back; the surface is not used afterwards.
func (s *Surface) Free() {
	if s.frame != nil {
		s.frame.Free()
		s.frame = nil
	}
}

// Bounds returns the surface's rectangle, with its corner at (0, 0).
func (s *Surface) Bounds() image.Rectangle { return s.bounds }

// Fill fills a rectangle with an opaque colour.
func (s *Surface) Fill(r image.Rectangle, c color.Color) {
	fillPlanes(s.frame, even(r.Intersect(s.bounds)), bt709(c))
}

// bt709 converts a colour as Rec. ITU-R BT.709-6 says, 3.2 to 3.4.
func bt709(c color.Color) color.YCbCr {
	r16, g16, b16, _ := c.RGBA()
	const most = 0xffff
	r, g, b := float64(r16)/most, float64(g16)/most, float64(b16)/most
	y := 0.2126*r + 0.7152*g + 0.0722*b
	return color.YCbCr{Y: uint8(16.5 + 219*y), Cb: uint8(128.5 + 224*(b-y)/1.8556), Cr: uint8(128.5 + 224*(r-y)/1.5748)}
}

// even shrinks a rectangle to even numbers.
func even(r image.Rectangle) image.Rectangle {
	e := image.Rect((r.Min.X+1)&^1, (r.Min.Y+1)&^1, r.Max.X&^1, r.Max.Y&^1)
	if e.Empty() {
		return image.Rectangle{}
	}
	return e
}

// Over lays an image, whose pixels are premultiplied as always, over the surface,
// its top-left corner at a place. What reaches beyond the edges is cut off.
func (s *Surface) Over(img *image.RGBA, at image.Point) {
	r := image.Rectangle{Min: at, Max: at.Add(img.Rect.Size())}
	in := r.Intersect(s.bounds)
	in.Min = image.Pt(in.Min.X&^1, in.Min.Y&^1)
	if in.Empty() || at.X%2 != 0 || at.Y%2 != 0 {
		return
	}
	layOver(s.frame, in.Min, img.SubImage(in.Sub(at).Add(img.Rect.Min)).(*image.RGBA))
}

// Put draws the part of a frame's upright picture that lies in part, scaled to
// fill the rectangle at.
func (s *Surface) Put(f *Frame, part, at image.Rectangle) error {
	if part.Empty() || !part.In(f.Bounds()) {
		return fmt.Errorf("video: the part %v does not lie in the picture of %d x %d", part, f.Width, f.Height)
	}
	if at.Empty() || !at.In(s.bounds) || even(at) != at {
		return fmt.Errorf("video: the place %v does not lie in the surface of %d x %d, at even numbers", at, s.bounds.Dx(), s.bounds.Dy())
	}
	switch done, err := s.putPlanes(f, part, at); {
	case err != nil:
		return err
	case done:
		return nil
	}
	// By way of red, green and blue: another matrix, or samples that are no squares.
	img := image.NewRGBA(image.Rectangle{Max: at.Size()})
	if err := f.Render(img, part); err != nil {
		return err
	}
	s.Over(img, at.Min)
	return nil
}

// putPlanes does so without leaving the clip's own samples; false where they are
// of another kind.
func (s *Surface) putPlanes(f *Frame, part, at image.Rectangle) (done bool, err error) {
	f.mu.RLock()
	defer f.mu.RUnlock()
	if f.picture == nil {
		return false, ErrReleased
	}
	l := f.picture.layout
	src := l.orient.Stored(part, l.squareWidth, l.height)
	if l.matrix != astiav.ColorSpaceBt709 || l.squareWidth != l.width || even(src) != src {
		return false, nil
	}
	w, h := l.orient.Size(at.Dx(), at.Dy()) // the size the part takes before rotating
	from := f.picture.slot
	for (canvas{w: w, h: h, depth: 4}).nextLevel(src) {
		to := levels.Get().(*slot)
		defer levels.Put(to)
		to.plain(src.Dx()/2, src.Dy()/2)
		boxFilter(from, src.Min.X, src.Min.Y, false, to)
		from, src = to, image.Rect(0, 0, to.width, to.height)
	}
	if src.Size() == image.Pt(w, h) && !l.full {
		putPlanes(s.frame, at.Min, from.cut(src), l.orient)
		return true, nil
	}
	to := levels.Get().(*slot)
	defer levels.Put(to)
	to.plain(w, h)
	key := scalerKey{layout: l, depth: planar, srcW: src.Dx(), srcH: src.Dy(), dstW: w, dstH: h}
	c, err := scalers.borrow(key)
	if err != nil {
		return false, err
	}
	defer scalers.giveBack(key, c)
	if err := c.scalePlanes(from, src.Min.X, src.Min.Y, src.Dy(), to); err != nil {
		return false, err
	}
	putPlanes(s.frame, at.Min, to, l.orient)
	return true, nil
}

// cut is a part of a slot's picture, at even numbers. It is not released.
func (s *slot) cut(r image.Rectangle) *slot {
	c := *s
	first, chroma := r.Min.Y*s.lumaStride+r.Min.X, r.Min.Y/2*s.chromaStride+r.Min.X/2
	c.pix, c.width, c.height = s.pix[first:], r.Dx(), r.Dy()
	c.u, c.v = s.u+chroma-first, s.v+chroma-first
	return &c
}

// WriteSurface adds the next picture; its size must be the clip's. The surface
// may be drawn on again as soon as WriteSurface returns, or written again.
func (w *Writer) WriteSurface(s *Surface) error {
	if err := w.usable(); err != nil {
		return err
	}
	if s.bounds.Dx() != w.o.Width || s.bounds.Dy() != w.o.Height {
		return fmt.Errorf("video: a surface of %d x %d was given to a clip of %d x %d", s.bounds.Dx(), s.bounds.Dy(), w.o.Width, w.o.Height)
	}
	return w.send(s.frame)
}
