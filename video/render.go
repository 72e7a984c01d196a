package video

import (
	"fmt"
	"image"
	"math"
	"sync"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
)

// pointFrom is the magnification from which samples are shown as squares, so
// that a coach sees what was really recorded; below it they are blended.
const pointFrom = 3

// Render draws the part crop of the upright picture, scaled to fill dst.
// crop must lie inside the picture. Colours follow the file's matrix and
// range; alpha is opaque.
func (f *Frame) Render(dst *image.RGBA, crop image.Rectangle) error {
	if dst.Rect.Empty() {
		return nil
	}
	pix := dst.Pix[dst.PixOffset(dst.Rect.Min.X, dst.Rect.Min.Y):]
	return f.render(canvas{pix, dst.Stride, dst.Rect.Dx(), dst.Rect.Dy(), 4}, crop)
}

// RenderGray draws the luma samples of the part crop of the upright picture,
// as stored (16 is black in a limited-range clip), scaled to fill dst.
func (f *Frame) RenderGray(dst *image.Gray, crop image.Rectangle) error {
	if dst.Rect.Empty() {
		return nil
	}
	pix := dst.Pix[dst.PixOffset(dst.Rect.Min.X, dst.Rect.Min.Y):]
	return f.render(canvas{pix, dst.Stride, dst.Rect.Dx(), dst.Rect.Dy(), 1}, crop)
}

// Bounds returns the upright picture's rectangle, with its corner at (0, 0).
func (f *Frame) Bounds() image.Rectangle { return image.Rect(0, 0, f.Width, f.Height) }

// canvas is a rectangle of pixels of depth bytes to draw into.
type canvas struct {
	pix    []byte
	stride int
	w, h   int
	depth  int
}

func (f *Frame) render(dst canvas, crop image.Rectangle) error {
	if crop.Empty() || !crop.In(f.Bounds()) {
		return fmt.Errorf("video: the part %v does not lie in the picture of %d x %d", crop, f.Width, f.Height)
	}
	f.mu.RLock()
	defer f.mu.RUnlock()
	if f.picture == nil {
		return ErrReleased
	}
	l := f.picture.layout
	part := l.orient.Stored(crop, l.squareWidth, l.height)
	w, h := l.orient.Size(dst.w, dst.h) // the size the part takes before rotating
	src, ahead, scaledW := l.widen(part, w)
	if src.Eq(part) && l.orient == orient.Identity && dst.direct() {
		return scale(f.picture, src, dst)
	}
	tmp := borrowScratch(scaledW, h, dst.depth)
	defer returnScratch(tmp)
	if err := scale(f.picture, src, tmp.canvas); err != nil {
		return err
	}
	rotatePixels(tmp.pix[ahead*dst.depth:], tmp.stride, w, h, dst.depth, l.orient, dst.pix, dst.stride)
	return nil
}

// widen makes of a rectangle with square samples, to be drawn w pixels wide,
// whole stored samples that cover it: those are drawn scaledW wide, and the
// rectangle starts ahead pixels into them. Placement is exact when samples are
// square, otherwise to half a drawn pixel.
func (l *layout) widen(part image.Rectangle, w int) (src image.Rectangle, ahead, scaledW int) {
	if l.squareWidth == l.width {
		return part, 0, w
	}
	perSquare := float64(l.width) / float64(l.squareWidth)
	x0, x1 := float64(part.Min.X)*perSquare, float64(part.Max.X)*perSquare
	first, last := int(math.Floor(x0)), min(int(math.Ceil(x1)), l.width)
	drawn := float64(w) / (x1 - x0) // drawn pixels per stored sample
	scaledW = int(math.Round(float64(last-first) * drawn))
	ahead = int(math.Round((x0 - float64(first)) * drawn))
	scaledW = max(scaledW, ahead+w)
	return image.Rect(first, part.Min.Y, last, part.Max.Y), ahead, scaledW
}

// wholeGroup is the number of pixels swscale's vector code writes at a time.
const wholeGroup = 16

// direct reports whether swscale may draw into the canvas itself: it writes
// whole groups of pixels and would spill over the right edge of others.
func (c canvas) direct() bool { return c.w%wholeGroup == 0 && c.stride%wholeGroup == 0 }

// scale draws stored samples into a canvas, without rotating them. Pictures shown at
// half their size or less go down a pyramid of 2 x 2 box filters first, as many levels
// as that goes: a mean of four samples costs a fraction of what swscale's long filters
// do.
func scale(p *picture, src image.Rectangle, dst canvas) error {
	from := p.slot
	for dst.nextLevel(src) {
		to := levels.Get().(*slot)
		defer levels.Put(to)
		to.plain(src.Dx()/2, src.Dy()/2)
		boxFilter(from, src.Min.X, src.Min.Y, dst.depth == 1, to)
		from, src = to, image.Rect(0, 0, to.width, to.height)
	}
	key := scalerKey{
		layout: p.layout, depth: dst.depth, srcW: src.Dx(), srcH: src.Dy(), dstW: dst.w, dstH: dst.h,
		oddX: src.Min.X%2 != 0, oddY: src.Min.Y%2 != 0,
	}
	s, err := scalers.borrow(key)
	if err != nil {
		return err
	}
	defer scalers.giveBack(key, s)
	return s.scalePart(from, src.Min.X, src.Min.Y, src.Dy(), dst.pix, dst.stride)
}

// nextLevel reports whether the next pyramid level of the part src has samples enough
// for the canvas, and a whole number of them.
func (c canvas) nextLevel(src image.Rectangle) bool {
	whole := 4 // luma samples that become a whole number of chroma samples
	if c.depth == 1 {
		whole = 2
	}
	return src.Dx() >= 2*c.w && src.Dy() >= 2*c.h && src.Dx()%whole == 0 && src.Dy()%whole == 0 &&
		(c.depth == 1 || src.Min.X%2 == 0 && src.Min.Y%2 == 0)
}

// levels are pyramid levels between a stored picture and the scaler.
var levels = sync.Pool{New: func() any { return new(slot) }}

// planar is the depth of a scaler that writes the planes of a Surface.
const planar = 0

// scalerKey is what a scaler is good for.
type scalerKey struct {
	layout     *layout
	depth      int
	srcW, srcH int
	dstW, dstH int
	oddX, oddY bool // the part starts between two chroma samples
}

func (k scalerKey) open() (*scaler, error) {
	src := k.layout.shape()
	src.width, src.height = k.srcW, k.srcH
	dst := pictureShape{k.dstW, k.dstH, astiav.PixelFormatRgba, k.layout.matrix, true}
	if k.depth == planar {
		dst = pictureShape{k.dstW, k.dstH, astiav.PixelFormatYuv420P, k.layout.matrix, false}
	}
	if k.depth == 1 {
		src.format, dst.format = astiav.PixelFormatGray8, astiav.PixelFormatGray8
		dst.full = src.full
	}
	// A part that starts at an odd sample begins one luma sample after the
	// middle of its first chroma sample (in 1/256 luma sample).
	const middle, sample = 128, 256
	chroma := func(odd bool) int {
		if odd && k.depth != 1 {
			return middle - sample
		}
		return chromaDefault
	}
	flags := scaleBilinear
	if k.dstW >= pointFrom*k.srcW && k.dstH >= pointFrom*k.srcH {
		flags = scalePoint
	}
	return newScaler(src, dst, flags, chroma(k.oddX), chroma(k.oddY))
}

// idleScalers bounds how many unused scalers are kept; each holds up to about
// a megabyte.
const idleScalers = 24

var scalers scalerPool

// scalerPool lends scalers, so that several goroutines can render at once.
type scalerPool struct {
	mu   sync.Mutex
	idle []idleScaler // oldest first
}

type idleScaler struct {
	key scalerKey
	s   *scaler
}

func (p *scalerPool) borrow(k scalerKey) (*scaler, error) {
	p.mu.Lock()
	for i := len(p.idle) - 1; i >= 0; i-- {
		if p.idle[i].key == k {
			s := p.idle[i].s
			p.idle = append(p.idle[:i], p.idle[i+1:]...)
			p.mu.Unlock()
			return s, nil
		}
	}
	p.mu.Unlock()
	return k.open()
}

func (p *scalerPool) giveBack(k scalerKey, s *scaler) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.idle = append(p.idle, idleScaler{k, s})
	if len(p.idle) > idleScalers {
		p.idle[0].s.close()
		p.idle = append(p.idle[:0], p.idle[1:]...)
	}
}

// scratch is a picture between scaling and rotating.
type scratch struct {
	canvas
	buf []byte
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

func borrowScratch(w, h, depth int) *scratch {
	s := scratches.Get().(*scratch)
	s.stride = (w + wholeGroup - 1) / wholeGroup * wholeGroup * depth
	if need := s.stride*h + readAhead; cap(s.buf) < need {
		s.buf = make([]byte, need)
	}
	s.pix, s.w, s.h, s.depth = s.buf[:cap(s.buf)], w, h, depth
	return s
}

func returnScratch(s *scratch) { scratches.Put(s) }
