package video

import (
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strconv"

	"github.com/asticode/go-astiav"
)

// WriterOptions describe the clip a Writer makes. Zero values take the
// defaults named beside them.
type WriterOptions struct {
	Width, Height    int    // pixels; even numbers of at least 16
	RateNum, RateDen int    // frames per second as a fraction; RateDen 0 means 1
	CRF              int    // x264 constant rate factor, 0 means 20; smaller is better and larger on disk
	Preset           string // x264 speed preset, "" means "veryfast"
	GOP              int    // frames between key frames, 0 means 30
	BFrames          int    // bidirectional frames in a row, 0 means none
	AudioRate        int    // samples per second of the mono sound track, 0 means no sound
	AudioBitRate     int    // bits per second, 0 means 128000
	RotationDeg      int    // clockwise turn a player must apply to show the picture upright: 0, 90, 180 or 270
	Comment          string // stored in the file's metadata
}

const (
	defaultCRF    = 20
	defaultGOP    = 30
	defaultPreset = "veryfast"
	defaultAAC    = 128000
	writerThreads = "2"
)

// Writer makes an H.264 clip in an MP4 file: yuv420p, BT.709, limited range,
// index at the front, optionally with AAC sound. The same input gives the same
// bytes. The file appears under its name only when Close succeeds; until then
// it grows beside it with the ending ".part".
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

// track is one encoder, its stream and the frame it is fed with.
type track struct {
	codec  *astiav.CodecContext
	stream *astiav.Stream
	frame  *astiav.Frame
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

func (o WriterOptions) withDefaults() (WriterOptions, error) {
	if o.Width < 16 || o.Height < 16 || o.Width%2 != 0 || o.Height%2 != 0 || o.Width > 16384 || o.Height > 16384 {
		return o, fmt.Errorf("video: a clip of %d x %d pixels can't be written: width and height must be even and between 16 and 16384", o.Width, o.Height)
	}
	if o.RateDen == 0 {
		o.RateDen = 1
	}
	if o.RateNum <= 0 || o.RateDen < 0 {
		return o, fmt.Errorf("video: a rate of %d/%d frames per second can't be written", o.RateNum, o.RateDen)
	}
	switch o.RotationDeg {
	case 0, 90, 180, 270:
	default:
		return o, fmt.Errorf("video: a clip can be turned by 0, 90, 180 or 270 degrees, not %d", o.RotationDeg)
	}
	if o.CRF == 0 {
		o.CRF = defaultCRF
	}
	if o.GOP == 0 {
		o.GOP = defaultGOP
	}
	if o.Preset == "" {
		o.Preset = defaultPreset
	}
	if o.AudioBitRate == 0 {
		o.AudioBitRate = defaultAAC
	}
	return o, nil
}

func (w *Writer) openVideo() (err error) {
	encoder := astiav.FindEncoderByName("libx264")
	if encoder == nil {
		return errors.New("video: this FFmpeg has no H.264 encoder (libx264), so clips can't be written")
	}
	t := &w.video
	t.codec = astiav.AllocCodecContext(encoder)
	t.codec.SetWidth(w.o.Width)
	t.codec.SetHeight(w.o.Height)
	t.codec.SetPixelFormat(astiav.PixelFormatYuv420P)
	t.codec.SetTimeBase(astiav.NewRational(w.o.RateDen, w.o.RateNum))
	t.codec.SetFramerate(astiav.NewRational(w.o.RateNum, w.o.RateDen))
	t.codec.SetSampleAspectRatio(astiav.NewRational(1, 1))
	t.codec.SetGopSize(w.o.GOP)
	err = openEncoder(t.codec, encoder, map[string]string{
		"preset": w.o.Preset, "crf": strconv.Itoa(w.o.CRF), "bf": strconv.Itoa(w.o.BFrames),
		"threads": writerThreads, "flags": "+bitexact+global_header",
		"colorspace": "bt709", "color_primaries": "bt709", "color_trc": "bt709", "color_range": "tv",
	})
	if err != nil {
		return w.fail("start the H.264 encoder", err)
	}
	if err = w.addStream(t); err != nil {
		return err
	}
	if w.o.RotationDeg != 0 {
		m := astiav.NewDisplayMatrixFromRotation(float64(w.o.RotationDeg))
		if err = t.stream.AddSideData(astiav.PacketSideDataTypeDisplaymatrix, m.Bytes()); err != nil {
			return w.fail("store the rotation", err)
		}
	}
	t.frame = astiav.AllocFrame()
	t.frame.SetWidth(w.o.Width)
	t.frame.SetHeight(w.o.Height)
	t.frame.SetPixelFormat(astiav.PixelFormatYuv420P)
	if err = t.frame.AllocBuffer(0); err != nil {
		return w.fail("reserve memory for a frame", err)
	}
	rgba := pictureShape{w.o.Width, w.o.Height, astiav.PixelFormatRgba, astiav.ColorSpaceBt709, true}
	yuv := pictureShape{w.o.Width, w.o.Height, astiav.PixelFormatYuv420P, astiav.ColorSpaceBt709, false}
	w.scaler, err = newScaler(rgba, yuv, scaleBilinear, chromaDefault, chromaDefault)
	return err
}

func (w *Writer) openAudio() error {
	encoder := astiav.FindEncoderByName("aac")
	if encoder == nil {
		return errors.New("video: this FFmpeg has no AAC encoder, so the clip can't have sound")
	}
	t := &w.audio
	t.codec = astiav.AllocCodecContext(encoder)
	t.codec.SetSampleRate(w.o.AudioRate)
	t.codec.SetSampleFormat(astiav.SampleFormatFltp)
	t.codec.SetChannelLayout(astiav.ChannelLayoutMono)
	t.codec.SetTimeBase(astiav.NewRational(1, w.o.AudioRate))
	t.codec.SetBitRate(int64(w.o.AudioBitRate))
	if err := openEncoder(t.codec, encoder, map[string]string{"threads": "1", "flags": "+bitexact+global_header"}); err != nil {
		return w.fail(fmt.Sprintf("start the sound encoder at %d Hz", w.o.AudioRate), err)
	}
	if err := w.addStream(t); err != nil {
		return err
	}
	t.frame = astiav.AllocFrame()
	t.frame.SetNbSamples(t.codec.FrameSize())
	t.frame.SetSampleFormat(astiav.SampleFormatFltp)
	t.frame.SetSampleRate(w.o.AudioRate)
	t.frame.SetChannelLayout(astiav.ChannelLayoutMono)
	if err := t.frame.AllocBuffer(0); err != nil {
		return w.fail("reserve memory for sound", err)
	}
	return nil
}

func openEncoder(c *astiav.CodecContext, encoder *astiav.Codec, options map[string]string) error {
	d := astiav.NewDictionary()
	defer d.Free()
	for k, v := range options {
		if err := d.Set(k, v, 0); err != nil {
			return err
		}
	}
	return c.Open(encoder, d)
}

func (w *Writer) addStream(t *track) error {
	if t.stream = w.format.NewStream(nil); t.stream == nil {
		return w.fail("add a track", errors.New("out of memory"))
	}
	t.stream.SetTimeBase(t.codec.TimeBase())
	if err := t.codec.ToCodecParameters(t.stream.CodecParameters()); err != nil {
		return w.fail("describe a track", err)
	}
	return nil
}

// start opens the file and writes what stands before the pictures.
func (w *Writer) start() error {
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

// encode sends f (nil at the end) to the track's encoder and stores what comes out.
func (w *Writer) encode(t *track, f *astiav.Frame) error {
	if err := t.codec.SendFrame(f); err != nil {
		return w.fail("encode", err)
	}
	for {
		err := t.codec.ReceivePacket(w.packet)
		if errors.Is(err, astiav.ErrEagain) || errors.Is(err, astiav.ErrEof) {
			return nil
		}
		if err != nil {
			return w.fail("encode", err)
		}
		w.packet.SetStreamIndex(t.stream.Index())
		if t == &w.video {
			w.packet.SetDuration(1)
		}
		w.packet.RescaleTs(t.codec.TimeBase(), t.stream.TimeBase())
		err = w.format.WriteInterleavedFrame(w.packet)
		w.packet.Unref()
		if err != nil {
			return w.fail("write (is the disk full?)", err)
		}
	}
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
	if err := os.Rename(w.part, w.path); err != nil {
		os.Remove(w.part)
		return fmt.Errorf("video: the finished clip can't be named %q: %w", w.path, err)
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
