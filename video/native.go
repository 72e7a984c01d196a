package video

// #cgo pkg-config: libavformat libavcodec libswscale libavutil
// #cgo CFLAGS: -O3
// #include <stdlib.h>
// #include "native.h"
import "C"

import (
	"errors"
	"unsafe"

	"github.com/asticode/go-astiav"
)

func init() { astiav.SetLogLevel(astiav.LogLevelFatal) }

// How a scaler picks its samples.
const (
	scalePoint    = C.SWS_POINT
	scaleBilinear = C.SWS_BILINEAR
)

var errNoScaler = errors.New("video: the picture scaler can't be set up for this size")

// scaler owns one swscale context. One goroutine at a time; close frees it.
type scaler struct{ c *C.struct_SwsContext }

// pictureShape is one side of a scaler: size in pixels, format, colour matrix
// and whether the samples use the full range.
type pictureShape struct {
	width, height int
	format        astiav.PixelFormat
	matrix        astiav.ColorSpace
	full          bool
}

func newScaler(src, dst pictureShape, flags int) (*scaler, error) {
	c := C.tg_scaler_new(
		C.int(src.width), C.int(src.height), C.int(src.format),
		C.int(dst.width), C.int(dst.height), C.int(dst.format), C.int(flags),
		C.int(src.matrix), cBool(src.full), C.int(dst.matrix), cBool(dst.full))
	if c == nil {
		return nil, errNoScaler
	}
	return &scaler{c: c}, nil
}

func (s *scaler) close() {
	C.sws_freeContext(s.c)
	s.c = nil
}

// fillRGBA converts rgba, of the scaler's source size, into dst.
func (s *scaler) fillRGBA(dst *astiav.Frame, pix []byte, stride int) error {
	n := C.tg_frame_from_rgba(s.c, cFrame(dst), (*C.uint8_t)(unsafe.Pointer(&pix[0])), C.int(stride))
	return avError(n)
}

func fillSamples(dst *astiav.Frame, samples []float32) error {
	return avError(C.tg_frame_from_samples(cFrame(dst), (*C.float)(unsafe.Pointer(&samples[0])), C.int(len(samples))))
}

// setMetadata stores a text entry in the header of the file being written.
func setMetadata(f *astiav.FormatContext, key, value string) error {
	k, v := C.CString(key), C.CString(value)
	defer C.free(unsafe.Pointer(k))
	defer C.free(unsafe.Pointer(v))
	return avError(C.tg_set_metadata(cFormat(f), k, v))
}

// cFormat reaches the C structure, which the binding keeps as its first field
// (checked for v0.16.0 by TestBindingLayout).
func cFormat(f *astiav.FormatContext) unsafe.Pointer {
	return *(*unsafe.Pointer)(unsafe.Pointer(f))
}

func cFrame(f *astiav.Frame) *C.AVFrame { return (*C.AVFrame)(f.UnsafePointer()) }

func cBool(b bool) C.int {
	if b {
		return 1
	}
	return 0
}

func avError(n C.int) error {
	if n < 0 {
		return astiav.Error(n)
	}
	return nil
}
