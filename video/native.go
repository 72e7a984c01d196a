package video

// #cgo linux LDFLAGS: -Wl,--as-needed
// #cgo windows LDFLAGS: -Wl,-Bstatic -lwinpthread -Wl,-Bdynamic
// #cgo pkg-config: libavformat libavcodec libswscale libavutil
// #cgo CFLAGS: -O3
// #include <stdlib.h>
// #include "native.h"
import "C"

import (
	"errors"
	"image"
	"image/color"
	"unsafe"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
)

func init() {
	astiav.SetLogLevel(astiav.LogLevelFatal)
	C.av_max_alloc(mostAtOnce)
}

// noPTS is FFmpeg's mark for "no time known".
const noPTS = C.AV_NOPTS_VALUE

// What FFmpeg may be talked into reserving memory for. Phones film up to 7680 x 4320 with
// 10 bits, which take 100 MB; an index of ten million frames takes 250 MB.
const (
	maxPixels       = 8192 * 4320
	maxPictureBytes = 128 << 20
	mostAtOnce      = 256 << 20 // bytes of one block
)

// pictureBytes is the memory that a decoded picture takes.
func pictureBytes(p *astiav.CodecParameters) int {
	return int(C.tg_picture_bytes(C.int(p.PixelFormat()), C.int(p.Width()), C.int(p.Height())))
}

// chromaDefault leaves the place of the chroma samples to swscale.
const chromaDefault = -513

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

func newScaler(src, dst pictureShape, flags, chromaX, chromaY int) (*scaler, error) {
	c := C.tg_scaler_new(
		C.int(src.width), C.int(src.height), C.int(src.format),
		C.int(dst.width), C.int(dst.height), C.int(dst.format), C.int(flags),
		C.int(src.matrix), cBool(src.full), C.int(dst.matrix), cBool(dst.full),
		C.int(chromaX), C.int(chromaY))
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
	return avError(C.tg_frame_from_rgba(s.c, cFrame(dst), cBytes(pix), C.int(stride)))
}

// scalePart scales the part of a picture at (x, y), height rows of the
// scaler's source width, into dst.
func (s *scaler) scalePart(from *slot, x, y, height int, dst []byte, stride int) error {
	p := from.planes()
	return avError(C.tg_scale_part(s.c, cBytes(from.pix), &p, C.int(x), C.int(y), C.int(height), cBytes(dst), C.int(stride)))
}

// scalePlanes scales likewise into a slot of the scaler's target size.
func (s *scaler) scalePlanes(from *slot, x, y, height int, to *slot) error {
	p, q := from.planes(), to.planes()
	return avError(C.tg_scale_part_planes(s.c, cBytes(from.pix), &p, C.int(x), C.int(y), C.int(height), cBytes(to.pix), &q))
}

// ownMemory gives a frame memory of its own if another still holds what it has.
func ownMemory(f *astiav.Frame) error { return avError(C.tg_own(cFrame(f))) }

// putPlanes puts a picture, rotated and mirrored by o, into a frame to be encoded.
func putPlanes(to *astiav.Frame, at image.Point, from *slot, o orient.Orientation) {
	p := from.planes()
	C.tg_put(cFrame(to), C.int(at.X), C.int(at.Y), cBytes(from.pix), &p, C.int(o.XX), C.int(o.XY), C.int(o.YX), C.int(o.YY))
}

// fillPlanes fills a rectangle of a frame to be encoded.
func fillPlanes(to *astiav.Frame, r image.Rectangle, c color.YCbCr) {
	C.tg_fill(cFrame(to), C.int(r.Min.X), C.int(r.Min.Y), C.int(r.Dx()), C.int(r.Dy()), C.int(c.Y), C.int(c.Cb), C.int(c.Cr))
}

// layOver lays an image over a frame to be encoded.
func layOver(to *astiav.Frame, at image.Point, img *image.RGBA) {
	pix := img.Pix[img.PixOffset(img.Rect.Min.X, img.Rect.Min.Y):]
	C.tg_over(cFrame(to), C.int(at.X), C.int(at.Y), cBytes(pix), C.int(img.Stride), C.int(img.Rect.Dx()), C.int(img.Rect.Dy()))
}

// boxFilter writes the means of 2 x 2 samples of a part of a picture into another
// slot, whose size says how large that part is.
func boxFilter(from *slot, x, y int, gray bool, to *slot) {
	p, q := from.planes(), to.planes()
	C.tg_box_filter(cBytes(from.pix), &p, C.int(x), C.int(y), C.int(2*to.width), C.int(2*to.height), cBool(gray), cBytes(to.pix), &q)
}

// copyPicture stores a decoded frame in a slot; false when it needs a scaler first.
func copyPicture(f *astiav.Frame, to *slot) bool {
	p := to.planes()
	return C.tg_copy_picture(cFrame(f), cBytes(to.pix), &p) != 0
}

// scalePicture stores a decoded frame of another format or size in a slot.
func (s *scaler) scalePicture(f *astiav.Frame, to *slot) error {
	p := to.planes()
	return avError(C.tg_scale_picture(s.c, cFrame(f), cBytes(to.pix), &p))
}

// rotatePixels copies a w x h picture of size-byte pixels, rotated and mirrored by o.
// Strides are in bytes.
func rotatePixels(src []byte, srcStride, w, h, size int, o orient.Orientation, dst []byte, dstStride int) {
	C.tg_rotate(cBytes(src), C.int(srcStride), C.int(w), C.int(h), C.int(size),
		C.int(o.XX), C.int(o.XY), C.int(o.YX), C.int(o.YY), cBytes(dst), C.int(dstStride))
}

// rawPacket is what the frame index needs to know of a packet.
type rawPacket struct {
	pts, dts, pos, duration int64
	size, stream            int
	key, hidden, corrupt    bool
}

func readPacket(f *astiav.FormatContext, p *astiav.Packet, codec astiav.CodecID) (rawPacket, error) {
	var c C.struct_tg_packet
	if err := avError(C.tg_read_packet(cFormat(f), cPacket(p), C.int(codec), &c)); err != nil {
		return rawPacket{}, err
	}
	return rawPacket{
		pts: int64(c.pts), dts: int64(c.dts), pos: int64(c.pos), duration: int64(c.duration),
		size: int(c.size), stream: int(c.stream),
		key: c.key != 0, hidden: c.hidden != 0, corrupt: c.corrupt != 0,
	}, nil
}

func findStreamInfo(f *astiav.FormatContext) error {
	return avError(C.tg_find_stream_info(cFormat(f), maxPixels))
}

// bestStream returns the index of the stream to use, or -1.
func bestStream(f *astiav.FormatContext, kind astiav.MediaType) int {
	n := C.tg_best_stream(cFormat(f), C.int(kind))
	if n < 0 || C.tg_is_cover_picture(cFormat(f), n) != 0 {
		return -1
	}
	return int(n)
}

// keepOnly makes the demuxer skip the packets of all other streams.
func keepOnly(f *astiav.FormatContext, stream int) { C.tg_keep_only(cFormat(f), C.int(stream)) }

// matrixName, transferName and primariesName return FFmpeg's names, "" for none.
func matrixName(m astiav.ColorSpace) string { return C.GoString(C.tg_matrix_name(C.int(m))) }

func transferName(t astiav.ColorTransferCharacteristic) string {
	return C.GoString(C.tg_transfer_name(C.int(t)))
}

func primariesName(p astiav.ColorPrimaries) string {
	return C.GoString(C.tg_primaries_name(C.int(p)))
}

func bitDepth(f astiav.PixelFormat) int { return int(C.tg_bit_depth(C.int(f))) }

func isRGB(f astiav.PixelFormat) bool { return C.tg_is_rgb(C.int(f)) != 0 }

func interlaced(p *astiav.CodecParameters) bool {
	order := C.tg_field_order(*(*unsafe.Pointer)(unsafe.Pointer(p)))
	return order != C.AV_FIELD_UNKNOWN && order != C.AV_FIELD_PROGRESSIVE
}

func flushCodec(c *astiav.CodecContext) { C.tg_flush(cCodec(c)) }

func setPacketTimeBase(c *astiav.CodecContext, tb astiav.Rational) {
	C.tg_set_packet_time_base(cCodec(c), C.int(tb.Num()), C.int(tb.Den()))
}

func skipUnreferenced(c *astiav.CodecContext, skip bool) {
	C.tg_skip_unreferenced(cCodec(c), cBool(skip))
}

func frameDamaged(f *astiav.Frame) bool { return C.tg_frame_damaged(cFrame(f)) != 0 }

// monoSamples appends the mean of all channels of a sound frame to dst.
func monoSamples(f *astiav.Frame, dst []float32) ([]float32, error) {
	n := f.NbSamples()
	if n == 0 {
		return dst, nil
	}
	start := len(dst)
	dst = append(dst, make([]float32, n)...)
	got := C.tg_mono(cFrame(f), (*C.float)(unsafe.Pointer(&dst[start])), C.int(n))
	if err := avError(got); err != nil {
		return dst[:start], err
	}
	return dst[:start+int(got)], nil
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

// cFormat, cCodec and cPacket reach the C structures, which the binding keeps
// as its first field (checked for v0.16.0 by TestBindingLayout).
func cFormat(f *astiav.FormatContext) unsafe.Pointer {
	return *(*unsafe.Pointer)(unsafe.Pointer(f))
}

func cCodec(c *astiav.CodecContext) unsafe.Pointer {
	return *(*unsafe.Pointer)(unsafe.Pointer(c))
}

func cPacket(p *astiav.Packet) *C.AVPacket {
	return (*C.AVPacket)(*(*unsafe.Pointer)(unsafe.Pointer(p)))
}

func cFrame(f *astiav.Frame) *C.AVFrame { return (*C.AVFrame)(f.UnsafePointer()) }

func cBytes(b []byte) *C.uint8_t { return (*C.uint8_t)(unsafe.Pointer(&b[0])) }

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
