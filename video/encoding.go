package video

// #include "native.h"
import "C"

import (
	"errors"
	"fmt"
	"image"
	"os"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
	"turngauge/video/texts"
)

// encoding is a clip that FFmpeg writes, in the process that encodes (serveEncoder); a
// Writer is its other end.
type encoding struct {
	path   string // for messages
	o      WriterOptions
	format *astiav.FormatContext
	packet *astiav.Packet

	video, audio track
	frames       int64 // pictures written
	samples      int64 // samples handed to the encoder
	pending      []float32
}

// openEncoding starts a clip in an open file.
func openEncoding(path string, o WriterOptions, f *os.File) (e *encoding, err error) {
	opened := &encoding{path: path, o: o}
	defer func() {
		if err != nil {
			opened.close()
		}
	}()
	e = opened
	if e.format, err = astiav.AllocOutputFormatContext(nil, "mp4", "clip.mp4"); err != nil {
		return nil, e.fail("set up the file", err)
	}
	e.format.SetFlags(e.format.Flags().Add(astiav.FormatContextFlagBitexact))
	e.packet = astiav.AllocPacket()
	if err = e.openVideo(); err != nil {
		return nil, err
	}
	if o.AudioRate > 0 {
		if err = e.openAudio(); err != nil {
			return nil, err
		}
	}
	if err = e.start(f); err != nil {
		return nil, err
	}
	return e, nil
}

// start writes what stands before the pictures.
func (e *encoding) start(f *os.File) error {
	written, err := texts.Add(cFormat(e.format), e.o.Chapters, e.o.Captions)
	if err != nil {
		return err
	}
	if err := avError(C.tg_write_to(cFormat(e.format), C.int(f.Fd()))); err != nil {
		return e.fail("create the file", err)
	}
	d := astiav.NewDictionary()
	defer d.Free()
	if err := d.Set("movflags", "+faststart", 0); err != nil {
		return e.fail("set up the file", err)
	}
	if e.o.Comment != "" {
		if err := setMetadata(e.format, "comment", e.o.Comment); err != nil {
			return e.fail("store the comment", err)
		}
	}
	if err := e.format.WriteHeader(d); err != nil {
		return e.fail("write the header", err)
	}
	return written.Write()
}

// write encodes a picture at the next time.
func (e *encoding) write(picture *slot) error {
	if err := ownMemory(e.video.frame); err != nil {
		return e.fail("reserve memory for a frame", err)
	}
	putPlanes(e.video.frame, image.Point{}, picture, orient.Identity)
	e.video.frame.SetPts(e.frames)
	e.frames++
	return e.encode(&e.video, e.video.frame)
}

// writeAudio encodes samples, as many at a time as the encoder takes.
func (e *encoding) writeAudio(samples []float32) error {
	if e.audio.codec == nil {
		return errors.New("video: this clip was created without sound (AudioRate is 0)")
	}
	e.pending = append(e.pending, samples...)
	size := e.audio.codec.FrameSize()
	n := 0
	for ; len(e.pending)-n >= size; n += size {
		if err := e.encodeSamples(e.pending[n : n+size]); err != nil {
			return err
		}
	}
	e.pending = append(e.pending[:0], e.pending[n:]...)
	return nil
}

func (e *encoding) encodeSamples(samples []float32) error {
	if err := fillSamples(e.audio.frame, samples); err != nil {
		return e.fail("copy sound", err)
	}
	e.audio.frame.SetPts(e.samples)
	e.samples += int64(len(samples))
	return e.encode(&e.audio, e.audio.frame)
}

func (e *encoding) finish() error {
	if e.frames == 0 {
		return fmt.Errorf("video: %q was not written: it has no pictures", e.path)
	}
	if len(e.pending) > 0 {
		if err := e.encodeSamples(e.pending); err != nil {
			return err
		}
	}
	for _, t := range []*track{&e.video, &e.audio} {
		if t.codec == nil {
			continue
		}
		if err := e.encode(t, nil); err != nil {
			return err
		}
	}
	if err := e.format.WriteTrailer(); err != nil {
		return e.fail("finish the file (is the disk full?)", err)
	}
	if err := avError(C.tg_close_output(cFormat(e.format))); err != nil {
		return e.fail("finish the file (is the disk full?)", err)
	}
	return nil
}

// close frees every C object, in the reverse order of their making.
func (e *encoding) close() {
	for _, t := range []*track{&e.audio, &e.video} {
		if t.frame != nil {
			t.frame.Free()
		}
		if t.codec != nil {
			t.codec.Free()
		}
	}
	if e.packet != nil {
		e.packet.Free()
	}
	if e.format != nil {
		C.tg_close_output(cFormat(e.format))
		e.format.Free()
	}
}

func (e *encoding) fail(doing string, err error) error { return writingFailed(e.path, doing, err) }
