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

func (e *encoding) openVideo() (err error) {
	encoder := astiav.FindEncoderByName("libx264")
	if encoder == nil {
		return errors.New("video: this FFmpeg has no H.264 encoder (libx264), so clips can't be written")
	}
	t := &e.video
	t.codec = astiav.AllocCodecContext(encoder)
	t.codec.SetWidth(e.o.Width)
	t.codec.SetHeight(e.o.Height)
	t.codec.SetPixelFormat(astiav.PixelFormatYuv420P)
	t.codec.SetTimeBase(astiav.NewRational(e.o.RateDen, e.o.RateNum))
	t.codec.SetFramerate(astiav.NewRational(e.o.RateNum, e.o.RateDen))
	t.codec.SetSampleAspectRatio(astiav.NewRational(1, 1))
	t.codec.SetGopSize(e.o.GOP)
	err = openEncoder(t.codec, encoder, map[string]string{
		"preset": e.o.Preset, "crf": strconv.Itoa(e.o.CRF), "bf": strconv.Itoa(e.o.BFrames),
		"threads": writerThreads, "flags": "+bitexact+global_header",
		"colorspace": "bt709", "color_primaries": "bt709", "color_trc": "bt709", "color_range": "tv",
	})
	if err != nil {
		return e.fail("start the H.264 encoder", err)
	}
	if err = e.addStream(t); err != nil {
		return err
	}
	if e.o.RotationDeg != 0 {
		m := astiav.NewDisplayMatrixFromRotation(float64(e.o.RotationDeg))
		if err = t.stream.AddSideData(astiav.PacketSideDataTypeDisplaymatrix, m.Bytes()); err != nil {
			return e.fail("store the rotation", err)
		}
	}
	if t.frame, err = newFrameOf(e.o.Width, e.o.Height); err != nil {
		return e.fail("reserve memory for a frame", err)
	}
	return nil
}

func (e *encoding) openAudio() error {
	encoder := astiav.FindEncoderByName("aac")
	if encoder == nil {
		return errors.New("video: this FFmpeg has no AAC encoder, so the clip can't have sound")
	}
	t := &e.audio
	t.codec = astiav.AllocCodecContext(encoder)
	t.codec.SetSampleRate(e.o.AudioRate)
	t.codec.SetSampleFormat(astiav.SampleFormatFltp)
	t.codec.SetChannelLayout(astiav.ChannelLayoutMono)
	t.codec.SetTimeBase(astiav.NewRational(1, e.o.AudioRate))
	t.codec.SetBitRate(int64(e.o.AudioBitRate))
	if err := openEncoder(t.codec, encoder, map[string]string{"threads": "1", "flags": "+bitexact+global_header"}); err != nil {
		return e.fail(fmt.Sprintf("start the sound encoder at %d Hz", e.o.AudioRate), err)
	}
	if err := e.addStream(t); err != nil {
		return err
	}
	t.frame = astiav.AllocFrame()
	t.frame.SetNbSamples(t.codec.FrameSize())
	t.frame.SetSampleFormat(astiav.SampleFormatFltp)
	t.frame.SetSampleRate(e.o.AudioRate)
	t.frame.SetChannelLayout(astiav.ChannelLayoutMono)
	if err := t.frame.AllocBuffer(0); err != nil {
		return e.fail("reserve memory for sound", err)
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

func (e *encoding) addStream(t *track) error {
	if t.stream = e.format.NewStream(nil); t.stream == nil {
		return e.fail("add a track", errors.New("out of memory"))
	}
	t.stream.SetTimeBase(t.codec.TimeBase())
	if err := t.codec.ToCodecParameters(t.stream.CodecParameters()); err != nil {
		return e.fail("describe a track", err)
	}
	return nil
}

// encode sends f (nil at the end) to the track's encoder and stores what comes out.
func (e *encoding) encode(t *track, f *astiav.Frame) error {
	if err := t.codec.SendFrame(f); err != nil {
		return e.fail("encode", err)
	}
	for {
		err := t.codec.ReceivePacket(e.packet)
		if errors.Is(err, astiav.ErrEagain) || errors.Is(err, astiav.ErrEof) {
			return nil
		}
		if err != nil {
			return e.fail("encode", err)
		}
		e.packet.SetStreamIndex(t.stream.Index())
		if t == &e.video {
			e.packet.SetDuration(1)
		}
		e.packet.RescaleTs(t.codec.TimeBase(), t.stream.TimeBase())
		err = e.format.WriteInterleavedFrame(e.packet)
		e.packet.Unref()
		if err != nil {
			return e.fail("write (is the disk full?)", err)
		}
	}
}
