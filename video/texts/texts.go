// Package texts writes chapters and captions into a file that FFmpeg is writing: what a
// player lists, and what it shows under the pictures on wish.
package texts

// #cgo pkg-config: libavformat libavutil
// #include <stdlib.h>
// #include "texts.h"
import "C"

import (
	"errors"
	"fmt"
	"math"
	"unsafe"
)

// Text is a chapter's title or a caption, from a time of the clip to another, seconds.
type Text struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Text string  `json:"text"`
}

// Check looks whether texts are in order and apart, as a track of them is. It is called
// before a file is begun.
func Check(list []Text) error {
	last := 0.0
	for _, t := range list {
		if !(t.From >= last && t.To > t.From) || t.To > math.MaxInt32/1000 || len(t.Text) > 2000 {
			return fmt.Errorf("video: the text %q from %g to %g s can't be written: texts have to be in order and apart", t.Text, t.From, t.To)
		}
		last = t.To
	}
	return nil
}

// Tracks are the texts of a file.
type Tracks struct {
	format   unsafe.Pointer
	captions []Text
	track    C.int
}

// Add adds chapters, and a track for captions if there are any, to a format (an
// *AVFormatContext) before its header is written.
func Add(format unsafe.Pointer, chapters, captions []Text) (*Tracks, error) {
	if err := errors.Join(Check(chapters), Check(captions)); err != nil {
		return nil, err
	}
	for i, c := range chapters {
		title := C.CString(c.Text)
		code := C.tg_texts_chapter(format, C.int(i), milliseconds(c.From), milliseconds(c.To), title)
		C.free(unsafe.Pointer(title))
		if code < 0 {
			return nil, errors.New("video: there is no memory for the chapters of the clip")
		}
	}
	t := &Tracks{format: format, captions: captions}
	if len(captions) > 0 {
		if t.track = C.tg_texts_track(format); t.track < 0 {
			return nil, errors.New("video: there is no memory for the captions of the clip")
		}
	}
	return t, nil
}

func milliseconds(s float64) C.int64_t { return C.int64_t(math.Round(1000 * s)) }

// Write writes the captions, after the header; FFmpeg keeps them until pictures and sound
// have come as far.
func (t *Tracks) Write() error {
	last := 0.0
	write := func(from, to float64, text string) error {
		c := C.CString(text)
		defer C.free(unsafe.Pointer(c))
		if C.tg_texts_write(t.format, t.track, milliseconds(from), milliseconds(to), c) < 0 {
			return errors.New("video: the captions of the clip can't be written (is the disk full?)")
		}
		return nil
	}
	for _, c := range t.captions {
		if milliseconds(c.From) > milliseconds(last) { // nothing until then
			if err := write(last, c.From, ""); err != nil {
				return err
			}
		}
		if err := write(c.From, c.To, c.Text); err != nil {
			return err
		}
		last = c.To
	}
	return nil
}
