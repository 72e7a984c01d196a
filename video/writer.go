package video

import (
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"

	"github.com/asticode/go-astiav"
)

// Writer makes an H.264 clip in an MP4 file: yuv420p, BT.709, limited range,
// index at the front, optionally with AAC sound. The same input gives the same
// bytes. The file appears under its name only when Close succeeds; until then
// it grows beside it with the ending ".part". A loss of power leaves what was
// there before or the whole clip, never a part of it.
//
// A Writer is used by one goroutine at a time and must be ended with Close or Abort.
type Writer struct {
	path, part string
	o          WriterOptions
	format     *astiav.FormatContext
	file       *astiav.IOContext
	packet     *astiav.Packet
	scaler     *scaler

	video, audio   track
	frames         int64 // pictures written
	samples        int64 // samples handed to the encoder
	pending        []float32
	failed, closed bool
}

// Create starts a clip at path. It fails with a sentence naming the option or
// the folder that is wrong.
func Create(path string, o WriterOptions) (w *Writer, err error) {
	if o, err = o.withDefaults(); err != nil {
		return nil, err
	}
	w = &Writer{path: path, part: path + ".part", o: o}
	defer func() {
		if err != nil {
			w.Abort()
			w = nil
		}
	}()
	if info, statErr := os.Stat(filepath.Dir(path)); statErr != nil || !info.IsDir() {
		return w, fmt.Errorf("video: the folder %q for the new clip does not exist", filepath.Dir(path))
	}
	if w.format, err = astiav.AllocOutputFormatContext(nil, "mp4", w.part); err != nil {
		return w, w.fail("set up the file", err)
	}
	w.format.SetFlags(w.format.Flags().Add(astiav.FormatContextFlagBitexact))
	w.packet = astiav.AllocPacket()
	if err = w.openVideo(); err != nil {
		return w, err
	}
	if o.AudioRate > 0 {
		if err = w.openAudio(); err != nil {
			return w, err
		}
	}
	return w, w.start()
}

// start opens the file and writes what stands before the pictures.
func (w *Writer) start() error {
	if err := claim(w.part); err != nil {
		return w.fail("create the file", err)
	}
	file, err := astiav.OpenIOContext("file:"+w.part, astiav.NewIOContextFlags(astiav.IOContextFlagWrite))
	if err != nil {
		return w.fail("create the file", err)
	}
	w.file = file
	w.format.SetPb(file)
	d := astiav.NewDictionary()
	defer d.Free()
	if err := d.Set("movflags", "+faststart", 0); err != nil {
		return w.fail("set up the file", err)
	}
	if w.o.Comment != "" {
		if err := setMetadata(w.format, "comment", w.o.Comment); err != nil {
			return w.fail("store the comment", err)
		}
	}
	if err := w.format.WriteHeader(d); err != nil {
		return w.fail("write the header", err)
	}
	return nil
}

// WriteFrame adds the next picture; its size must be the clip's. The picture
// may be reused as soon as WriteFrame returns. Alpha is ignored.
func (w *Writer) WriteFrame(img *image.RGBA) error {
	if err := w.usable(); err != nil {
		return err
	}
	if img.Rect.Dx() != w.o.Width || img.Rect.Dy() != w.o.Height {
		return fmt.Errorf("video: a picture of %d x %d was given to a clip of %d x %d", img.Rect.Dx(), img.Rect.Dy(), w.o.Width, w.o.Height)
	}
	pix := img.Pix[img.PixOffset(img.Rect.Min.X, img.Rect.Min.Y):]
	if err := w.scaler.fillRGBA(w.video.frame, pix, img.Stride); err != nil {
		return w.fail("convert a picture", err)
	}
	return w.sendPicture()
}

// sendPicture encodes the converted picture at the next time.
func (w *Writer) sendPicture() error {
	w.video.frame.SetPts(w.frames)
	w.frames++
	return w.encode(&w.video, w.video.frame)
}

// WriteAudio adds mono samples in [-1, 1] to the sound track, which starts
// with the first picture. Keep it roughly in step with the pictures: FFmpeg
// holds back whichever track is ahead.
func (w *Writer) WriteAudio(samples []float32) error {
	if err := w.usable(); err != nil {
		return err
	}
	if w.audio.codec == nil {
		return errors.New("video: this clip was created without sound (AudioRate is 0)")
	}
	w.pending = append(w.pending, samples...)
	size := w.audio.codec.FrameSize()
	n := 0
	for ; len(w.pending)-n >= size; n += size {
		if err := w.encodeSamples(w.pending[n : n+size]); err != nil {
			return err
		}
	}
	w.pending = append(w.pending[:0], w.pending[n:]...)
	return nil
}

func (w *Writer) encodeSamples(samples []float32) error {
	if err := fillSamples(w.audio.frame, samples); err != nil {
		return w.fail("copy sound", err)
	}
	w.audio.frame.SetPts(w.samples)
	w.samples += int64(len(samples))
	return w.encode(&w.audio, w.audio.frame)
}

// Close finishes the clip and gives it its name. After an earlier failure it
// removes what was written and returns an error.
func (w *Writer) Close() error {
	if w.closed {
		return errors.New("video: the clip was already closed")
	}
	if w.failed {
		w.Abort()
		return fmt.Errorf("video: %q was not written because of an earlier failure", w.path)
	}
	if err := w.finish(); err != nil {
		w.Abort()
		return err
	}
	w.release()
	if err := putInPlace(w.part, w.path); err != nil {
		os.Remove(w.part)
		return fmt.Errorf("video: the finished clip can't be put in its place at %q (is the disk full?): %w", w.path, err)
	}
	return nil
}

func (w *Writer) finish() error {
	if w.frames == 0 {
		return fmt.Errorf("video: %q was not written: it has no pictures", w.path)
	}
	if len(w.pending) > 0 {
		if err := w.encodeSamples(w.pending); err != nil {
			return err
		}
	}
	for _, t := range []*track{&w.video, &w.audio} {
		if t.codec == nil {
			continue
		}
		if err := w.encode(t, nil); err != nil {
			return err
		}
	}
	if err := w.format.WriteTrailer(); err != nil {
		return w.fail("finish the file (is the disk full?)", err)
	}
	file := w.file
	w.file = nil
	if err := file.Close(); err != nil {
		return w.fail("finish the file (is the disk full?)", err)
	}
	return nil
}

// Abort gives the clip up and removes what was written. It does nothing after Close.
func (w *Writer) Abort() {
	if w.closed {
		return
	}
	w.release()
	os.Remove(w.part)
}

// release frees every C object, in the reverse order of their making.
func (w *Writer) release() {
	w.closed = true
	if w.scaler != nil {
		w.scaler.close()
	}
	for _, t := range []*track{&w.audio, &w.video} {
		if t.frame != nil {
			t.frame.Free()
		}
		if t.codec != nil {
			t.codec.Free()
		}
	}
	if w.packet != nil {
		w.packet.Free()
	}
	if w.file != nil {
		_ = w.file.Close() // the file is being removed
	}
	if w.format != nil {
		w.format.Free()
	}
}

func (w *Writer) usable() error {
	if w.closed {
		return errors.New("video: the clip was already closed")
	}
	if w.failed {
		return fmt.Errorf("video: %q can't be continued after a failure", w.path)
	}
	return nil
}

func (w *Writer) fail(doing string, err error) error {
	w.failed = true
	return fmt.Errorf("video: can't %s for %q: %v", doing, w.path, err)
}
