package video

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/asticode/go-astiav"
)

// track is one encoder, its stream and the frame it is fed with.
type track struct {
	codec  *astiav.CodecContext
	stream *astiav.Stream
	frame  *astiav.Frame
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
