// Package loudness measures how loud sound is as listeners hear it, and brings a voice to a
// loudness without its peaks passing a limit, by FFmpeg's filters: EBU R 128 by the measures
// of Rec. ITU-R BS.1770-4 (ebur128), and a limiter that looks ahead (alimiter).
package loudness

// #cgo linux LDFLAGS: -Wl,--as-needed
// #cgo pkg-config: libavfilter libavutil
// #include <stdlib.h>
// #include "native.h"
import "C"

import (
	"fmt"
	"math"
	"unsafe"

	_ "turngauge/video/lazy" // of libavfilter
)

// Rate is the samples a second of all sound here.
const Rate = 48000

// Silence is the loudness of sound in which nothing counts.
var Silence = math.Inf(-1)

// nothing is what the meter says where nothing has passed its absolute gate (BS.1770-4,
// annex 1: -70 LUFS).
const nothing = -70

// filter sends sound through a chain of FFmpeg's filters.
func filter(chain string, samples []float32, keep bool) (out []float32, lufs, peak float64, err error) {
	text := C.CString(chain)
	defer C.free(unsafe.Pointer(text))
	var came *C.float
	into := &came
	if !keep {
		into = nil
	}
	loud, most := C.double(nothing), C.double(0)
	n := C.tg_filter(text, (*C.float)(unsafe.SliceData(samples)), C.int64_t(len(samples)), Rate, into, &loud, &most)
	defer C.free(unsafe.Pointer(came))
	if n < 0 {
		return nil, 0, 0, fmt.Errorf("FFmpeg can't bring the voice to its loudness (error %d). Is its library of filters installed?", int(n))
	}
	if keep {
		out = append(out, unsafe.Slice((*float32)(came), n)...)
	}
	return out, float64(loud), float64(most), nil
}

// Of returns the integrated loudness, LUFS, and the true peak, dBTP, of sound of one
// channel, full scale 1; Silence where nothing is loud enough to count, or it is shorter
// than a block of the standard (0.4 s).
func Of(samples []float32) (lufs, peak float64, err error) {
	if len(samples) == 0 {
		return Silence, Silence, nil
	}
	_, lufs, most, err := filter("ebur128=metadata=1:peak=true", samples, false)
	if lufs <= nothing {
		lufs = Silence
	}
	return lufs, 20 * math.Log10(most), err
}

const (
	// mostGain is by how much sound is made louder at most, dB: what needs more is noise.
	mostGain = 30
	// margin is how far below the limit of true peaks the limiter works, dB: it sees four
	// times as many samples a second, and going back to Rate adds a little.
	margin = 0.3
	// near is how far below the loudness that was asked for sound may stay, LU: a third of
	// what R 128 allows a live programme (1 LU).
	near = 0.3
)

// Normalize returns sound of one channel brought to a loudness, LUFS, its true peaks not
// above peak, dBTP; R 128 has -23 and -1 for broadcasting, phones need -16 or so. Sound
// with hardly anything in it is made louder by mostGain at most.
func Normalize(samples []float32, target, peak float64) ([]float32, error) {
	if len(samples) == 0 {
		return samples, nil
	}
	_, was, _, err := filter("ebur128=metadata=1", samples, false)
	if err != nil || was <= nothing {
		return samples, err
	}
	limit := math.Pow(10, (peak-margin)/20)
	gain := math.Min(target-was, mostGain)
	var out []float32
	for range 4 { // what was turned down makes it quieter; so a little more, and again
		chain := fmt.Sprintf("volume=%fdB:precision=float,aresample=%d,alimiter=limit=%f:level=disabled:latency=1,aresample=%d,ebur128=metadata=1", gain, 4*Rate, limit, Rate)
		var now float64
		if out, now, _, err = filter(chain, samples, true); err != nil {
			return nil, err
		}
		off := target - now
		if off < near || gain+off > mostGain {
			break
		}
		gain += off
	}
	return out, nil
}
