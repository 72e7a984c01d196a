package video

// #include "native.h"
import "C"

import (
	"errors"
	"os"
	"unsafe"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
)

var errNoMemory = errors.New("video: no memory for another frame")

// slot is the memory of one picture, outside the Go heap, so that the cache
// neither delays nor is doubled by the garbage collector. Where it was decoded, a buffer
// of FFmpeg holds it; where it is shown, whoever hears of its end. release it once.
type slot struct {
	ref                      *C.AVBufferRef
	done                     func()
	first                    int64  // bytes of the slot before pix
	pix                      []byte // from the first luma sample
	width, height            int    // samples
	lumaStride, chromaStride int
	u, v                     int   // offsets of the chroma planes in pix
	bytes                    int64 // memory taken
}

func newSlot(ref *C.AVBufferRef, p C.struct_tg_planes, first int) *slot {
	return &slot{
		ref: ref, first: int64(first),
		pix:   unsafe.Slice((*byte)(unsafe.Pointer(ref.data)), ref.size)[first:],
		width: int(p.width), height: int(p.height),
		lumaStride: int(p.luma_stride), chromaStride: int(p.chroma_stride),
		u: int(p.u), v: int(p.v), bytes: int64(ref.size),
	}
}

func (s *slot) release() {
	s.pix = nil
	if s.done != nil {
		s.done()
	}
	if s.ref != nil {
		C.av_buffer_unref(&s.ref)
	}
}

// place says where the slot of a pool lies: in which arena, and how many bytes from
// its start.
func (s *slot) place() (arena int, at int64) {
	var n C.int
	var bytes C.int64_t
	C.tg_pool_place(s.ref, &n, &bytes)
	return int(n), int64(bytes)
}

func (s *slot) planes() C.struct_tg_planes {
	return C.struct_tg_planes{
		width: C.int(s.width), height: C.int(s.height),
		luma_stride: C.int(s.lumaStride), chroma_stride: C.int(s.chromaStride),
		u: C.int64_t(s.u), v: C.int64_t(s.v),
	}
}

// plain sets the slot up for a w x h picture in ordinary memory, which is used
// again if it suffices.
func (s *slot) plain(w, h int) {
	l := newLayout(w, h, orient.Identity, [2]int{1, 1})
	if cap(s.pix) < l.size {
		s.pix = make([]byte, l.size)
	}
	s.width, s.height, s.lumaStride, s.chromaStride, s.u, s.v = w, h, l.lumaStride, l.chromaStride, l.u, l.v
}

// slotPool hands out the memory of one decoder's pictures. Slots may outlive it.
type slotPool struct{ c *C.struct_tg_pool }

// newSlotPool returns an empty pool for a machine with pages of so many bytes,
// a power of two.
func newSlotPool(pageBytes int) (slotPool, error) {
	c := C.tg_pool_new(C.size_t(pageBytes))
	if c == nil {
		return slotPool{}, errNoMemory
	}
	return slotPool{c}, nil
}

// takeArena returns the file by which another process can map an arena, nil once it
// was taken.
func (p slotPool) takeArena(number int) *os.File {
	fd := C.tg_pool_take_arena(p.c, C.int(number))
	if fd < 0 {
		return nil
	}
	return os.NewFile(uintptr(fd), "pictures")
}

func (p slotPool) close() { C.tg_pool_close(p.c) }

// serve makes a decoder that is not open yet put its pictures into the pool.
func (p slotPool) serve(c *astiav.CodecContext) { C.tg_pool_serve(p.c, cCodec(c)) }

// take returns a slot for a picture laid out as l says.
func (p slotPool) take(l *layout) (*slot, error) {
	ref := C.tg_pool_take(p.c, C.size_t(l.size))
	if ref == nil {
		return nil, errNoMemory
	}
	return newSlot(ref, C.struct_tg_planes{
		width: C.int(l.width), height: C.int(l.height),
		luma_stride: C.int(l.lumaStride), chroma_stride: C.int(l.chromaStride),
		u: C.int64_t(l.u), v: C.int64_t(l.v),
	}, 0), nil
}

// holdPicture keeps the memory a decoder put its picture into; nil when the
// picture must be copied or converted.
func holdPicture(c *astiav.CodecContext, f *astiav.Frame, l *layout) *slot {
	p := C.struct_tg_planes{width: C.int(l.width), height: C.int(l.height)}
	frame := cFrame(f)
	ref := C.tg_hold_picture(cCodec(c), frame, &p)
	if ref == nil {
		return nil
	}
	first := uintptr(unsafe.Pointer(frame.data[0])) - uintptr(unsafe.Pointer(ref.data))
	return newSlot(ref, p, int(first))
}
