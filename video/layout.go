package video

import (
	"math"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
)

// layout describes how the pictures of one clip lie in memory and how they
// are to be shown. It never changes after Open.
type layout struct {
	width, height            int // stored pixels
	lumaStride, chromaStride int
	u, v, size               int // offsets of the chroma planes and length of a picture, bytes

	orient                      orient.Orientation
	aspect                      [2]int // width to height of a stored sample
	squareWidth                 int    // stored width once samples are square
	uprightWidth, uprightHeight int

	matrix  astiav.ColorSpace
	full    bool // full range
	assumed bool // the file declares no matrix
}

const (
	strideAlign = 64
	// readAhead is how far swscale's vector code may read past a plane.
	readAhead = 128
	// hdLines is the height from which an undeclared matrix is taken as BT.709.
	hdLines = 720
	// widestAspect bounds what a sample may be stretched by; beyond it the
	// declaration is taken for damage.
	widestAspect = 8
)

func newLayout(w, h int, o orient.Orientation, aspect [2]int) *layout {
	l := &layout{width: w, height: h, orient: o, aspect: aspect, squareWidth: w}
	if aspect[0] <= 0 || aspect[1] <= 0 || aspect[0] > widestAspect*aspect[1] || aspect[1] > widestAspect*aspect[0] {
		l.aspect = [2]int{1, 1}
	}
	l.squareWidth = max(int(math.Round(float64(w)*float64(l.aspect[0])/float64(l.aspect[1]))), 1)
	l.uprightWidth, l.uprightHeight = o.Size(l.squareWidth, h)
	l.lumaStride = align(w)
	l.chromaStride = align((w + 1) / 2)
	l.u = l.lumaStride * h
	l.v = l.u + l.chromaStride*((h+1)/2)
	l.size = l.v + l.chromaStride*((h+1)/2) + readAhead
	return l
}

func align(n int) int { return (n + strideAlign - 1) / strideAlign * strideAlign }

// setColour takes matrix and range from the file. Pictures stored as RGB are
// converted to BT.709 when they enter the cache.
func (l *layout) setColour(p *astiav.CodecParameters) {
	l.full = p.ColorRange() == astiav.ColorRangeJpeg
	switch p.PixelFormat() {
	case astiav.PixelFormatYuvj420P, astiav.PixelFormatYuvj422P, astiav.PixelFormatYuvj444P, astiav.PixelFormatYuvj440P:
		l.full = true
	}
	l.matrix = p.ColorSpace()
	switch l.matrix {
	case astiav.ColorSpaceBt709, astiav.ColorSpaceFcc, astiav.ColorSpaceBt470Bg, astiav.ColorSpaceSmpte170M,
		astiav.ColorSpaceSmpte240M, astiav.ColorSpaceBt2020Ncl, astiav.ColorSpaceBt2020Cl:
		return
	}
	l.assumed = l.matrix == astiav.ColorSpaceUnspecified
	if isRGB(p.PixelFormat()) {
		l.matrix, l.full, l.assumed = astiav.ColorSpaceBt709, true, false
	} else if min(l.width, l.height) >= hdLines {
		l.matrix = astiav.ColorSpaceBt709
	} else {
		l.matrix = astiav.ColorSpaceSmpte170M
	}
}

// shape of the cached pictures for a scaler.
func (l *layout) shape() pictureShape {
	return pictureShape{l.width, l.height, astiav.PixelFormatYuv420P, l.matrix, l.full}
}
