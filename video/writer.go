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
	encoder    *encoder
	scaler     *scaler
	frame      *astiav.Frame // for pictures that must be converted

	frames         int // pictures written
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
	f, err := claim(w.part)
	if err != nil {
		return w, w.fail("create the file", err)
	}
	defer f.Close()
	if w.encoder, err = startEncoding(path, o, f); err != nil {
		return w, err
	}
	return w, nil
}

// convert makes a frame and what fills it with RGBA pictures.
func (w *Writer) convert() (err error) {
	if w.frame != nil {
		return nil
	}
	if w.frame, err = newFrameOf(w.o.Width, w.o.Height); err != nil {
		return w.fail("reserve memory for a frame", err)
	}
	rgba := pictureShape{w.o.Width, w.o.Height, astiav.PixelFormatRgba, astiav.ColorSpaceBt709, true}
	yuv := pictureShape{w.o.Width, w.o.Height, astiav.PixelFormatYuv420P, astiav.ColorSpaceBt709, false}
	w.scaler, err = newScaler(rgba, yuv, scaleBilinear, chromaDefault, chromaDefault)
	return err
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
	if err := w.convert(); err != nil {
		return err
	}
	pix := img.Pix[img.PixOffset(img.Rect.Min.X, img.Rect.Min.Y):]
	if err := w.scaler.fillRGBA(w.frame, pix, img.Stride); err != nil {
		return w.fail("convert a picture", err)
	}
	return w.send(w.frame)
}

// send has a picture encoded. The error may be that of an earlier one.
func (w *Writer) send(f *astiav.Frame) error {
	w.frames++
	return w.noted(w.encoder.write(f))
}

// noted remembers that something has failed.
func (w *Writer) noted(err error) error {
	w.failed = w.failed || err != nil
	return err
}

// WriteAudio adds mono samples in [-1, 1] to the sound track, which starts
// with the first picture. Keep it roughly in step with the pictures: FFmpeg
// holds back whichever track is ahead.
func (w *Writer) WriteAudio(samples []float32) error {
	if err := w.usable(); err != nil {
		return err
	}
	if w.o.AudioRate == 0 {
		return errors.New("video: this clip was created without sound (AudioRate is 0)")
	}
	return w.noted(w.encoder.writeAudio(samples))
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
	if err := w.encoder.finish(); err != nil {
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

// Abort gives the clip up and removes what was written. It does nothing after Close.
func (w *Writer) Abort() {
	if w.closed {
		return
	}
	w.release()
	os.Remove(w.part)
}

func (w *Writer) release() {
	w.closed = true
	if w.encoder != nil {
		w.encoder.end()
	}
	if w.scaler != nil {
		w.scaler.close()
	}
	if w.frame != nil {
		w.frame.Free()
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
	return writingFailed(w.path, doing, err)
}

func writingFailed(path, doing string, err error) error {
	return fmt.Errorf("video: can't %s for %q: %v", doing, path, err)
}
