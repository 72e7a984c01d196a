package video

import (
	"context"
	"errors"
	"math"

	"github.com/asticode/go-astiav"
)

// Audio is a clip's sound, mixed to one channel.
type Audio struct {
	Rate    int       // samples per second, as stored in the file
	Samples []float32 // mean of all channels, 1 is full scale
	Start   float64   // seconds of the first sample on the clip's clock, where 0 is the first shown frame
	Cut     bool      // the sound was longer than MaxAudio and only its beginning is here
}

// MaxAudio is the most sound ReadAudio keeps, in seconds; 48 kHz take 230 MB.
const MaxAudio = 20 * 60

// ErrNoAudio is the kind of ReadAudio's error for a clip without sound.
var ErrNoAudio = errors.New("the clip has no sound")

// ReadAudio decodes a clip's sound track. Gaps are filled with silence, so that
// sample i lies at Start + i/Rate seconds. The error is a *FileError or ctx.Err().
func ReadAudio(ctx context.Context, path string) (*Audio, error) {
	x, err := ReadIndex(ctx, path)
	if err != nil {
		return nil, err
	}
	var a *Audio
	err = x.askSound(ctx, call{Do: callSound}, func(all *Audio) error { a = all; return nil })
	return a, err
}

// EachSound decodes the sound of a clip of any length and hands it over in pieces of
// some seconds, each of which begins with the last seconds of the one before it, as far
// as overlap says. A piece is the caller's until use returns. The error is use's, a
// *FileError or ctx.Err().
func (x *Index) EachSound(ctx context.Context, seconds, overlap float64, use func(*Audio) error) error {
	return x.askSound(ctx, call{Do: callSound, Seconds: seconds, Overlap: overlap}, use)
}

// askSound has the clip's sound decoded, all at once or in pieces.
func (x *Index) askSound(ctx context.Context, c call, use func(*Audio) error) error {
	path := x.info.Path
	if !x.info.HasAudio {
		return fileError(path, ErrNoAudio, "has no sound, so the strike can't be heard in it. Line the clips up by a key position instead.")
	}
	f, stat, err := openClip(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := x.same(stat); err != nil { // it was replaced in this moment
		return err
	}
	used := 0 // a piece is handed over once, also where decoding begins anew
	return ask(ctx, f, path, stat, c, func() func(answer, []byte) error {
		n := 0
		return func(a answer, data []byte) error {
			if n++; n <= used {
				return nil
			}
			used = n
			if a.Sound.Rate <= 0 || len(data) < 4 {
				return errAnswer
			}
			return use(&Audio{Rate: a.Sound.Rate, Samples: readSamples(data), Start: a.Sound.Start, Cut: a.Sound.Cut})
		}
	})
}

// soundPieces is how EachSound cuts the sound; without use it is all wanted at once.
type soundPieces struct {
	seconds, overlap float64
	use              func(*Audio) error
}

// decodeSound decodes the sound of a clip with that index. The result is nil where it is
// handed over in pieces.
func decodeSound(ctx context.Context, f clipFile, x *Index, p soundPieces, more func()) (*Audio, error) {
	in, err := openInput(ctx, f, x.retimed)
	if err != nil {
		return nil, err
	}
	defer in.close()
	header := in.stop.during(ctx, headerTime)
	err = findStreamInfo(in.format)
	header()
	if err != nil {
		if err := in.stop.why(ctx, f.name); err != nil {
			return nil, err
		}
		return nil, explainUnreadable(f)
	}
	index := bestStream(in.format, astiav.MediaTypeAudio)
	if index < 0 {
		return nil, fileError(f.name, ErrChanged, "was altered while it was open. Open it again.")
	}
	keepOnly(in.format, index)
	a := &audioReader{
		path: f.name, format: in.format, stream: in.format.Streams()[index], pieces: p, more: more,
		zero: float64(x.PTS(0)) * x.tick(),
	}
	defer a.close()
	defer context.AfterFunc(ctx, in.stop.interrupt)()
	return a.read(ctx)
}

// audioReader decodes one sound stream from beginning to end.
type audioReader struct {
	path   string
	format *astiav.FormatContext
	stream *astiav.Stream
	codec  *astiav.CodecContext
	packet *astiav.Packet
	frame  *astiav.Frame
	zero   float64 // file time of the first shown frame, seconds
	out    Audio
	begun  bool
	pieces soundPieces
	used   bool   // a piece was handed over
	more   func() // called while it makes progress
}

func (a *audioReader) close() {
	if a.frame != nil {
		a.frame.Free()
	}
	if a.packet != nil {
		a.packet.Free()
	}
	if a.codec != nil {
		a.codec.Free()
	}
}

func (a *audioReader) read(ctx context.Context) (*Audio, error) {
	p := a.stream.CodecParameters()
	found := astiav.FindDecoder(p.CodecID())
	if found == nil {
		return nil, fileError(a.path, ErrUnsupported, "has sound in a format (%s) this FFmpeg can't decode. Line the clips up by a key position instead.", p.CodecID().Name())
	}
	a.codec, a.packet, a.frame = astiav.AllocCodecContext(found), astiav.AllocPacket(), astiav.AllocFrame()
	err := p.ToCodecContext(a.codec)
	setPacketTimeBase(a.codec, a.stream.TimeBase())
	if err == nil {
		err = a.codec.Open(found, nil)
	}
	if err != nil {
		return nil, fileError(a.path, ErrUnsupported, "has sound that can't be decoded (%v). Line the clips up by a key position instead.", err)
	}
	for n := 0; !a.out.Cut; n++ {
		if n%contextEvery == 0 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			a.more()
		}
		r, err := readPacket(a.format, a.packet, p.CodecID())
		if err != nil {
			_ = a.codec.SendPacket(nil) // drained below; a second end is harmless
			a.drain()
			break
		}
		if r.stream == a.stream.Index() && a.codec.SendPacket(a.packet) == nil {
			a.drain() // a damaged packet leaves a gap, filled with silence
		}
		a.packet.Unref()
		if a.pieces.use != nil && float64(len(a.out.Samples)) >= a.pieces.seconds*float64(a.out.Rate) && a.begun {
			if err := a.handOver(); err != nil {
				return nil, err
			}
		}
	}
	if a.pieces.use != nil && (len(a.out.Samples) > 0 || a.used) {
		return nil, a.pieces.use(&a.out)
	}
	if len(a.out.Samples) == 0 || a.out.Rate <= 0 {
		return nil, fileError(a.path, ErrNoAudio, "has a sound track with no sound in it. Line the clips up by a key position instead.")
	}
	return &a.out, nil
}

// handOver hands over a piece, and keeps its end.
func (a *audioReader) handOver() error {
	if err := a.pieces.use(&a.out); err != nil {
		return err
	}
	a.used = true
	n := len(a.out.Samples) - min(int(a.pieces.overlap*float64(a.out.Rate)), len(a.out.Samples))
	a.out.Start += float64(n) / float64(a.out.Rate)
	a.out.Samples = a.out.Samples[:copy(a.out.Samples, a.out.Samples[n:])]
	return nil
}

// drain appends what the decoder has ready.
func (a *audioReader) drain() {
	for a.codec.ReceiveFrame(a.frame) == nil {
		a.append()
		a.frame.Unref()
	}
}

func (a *audioReader) append() {
	rate := a.frame.SampleRate()
	if rate <= 0 || (a.begun && rate != a.out.Rate) {
		return // the rate changed in mid-stream: keep the clock right and lose that part
	}
	tb := a.stream.TimeBase()
	if pts := a.frame.Pts(); pts != noPTS && tb.Den() > 0 {
		a.place(float64(pts)*float64(tb.Num())/float64(tb.Den())-a.zero, rate)
	}
	if !a.begun {
		a.out.Rate, a.begun = rate, true
	}
	samples, err := monoSamples(a.frame, a.out.Samples)
	if err != nil {
		return
	}
	a.out.Samples = samples
	if most := MaxAudio * rate; len(samples) > most {
		a.out.Samples, a.out.Cut = samples[:most], true
	}
}

// jitter is the difference between a frame's stated time and the count of
// samples, in seconds, below which the count is believed: containers round
// times to a millisecond.
const jitter = 0.004

// place makes the next sample come at time t by filling with silence.
func (a *audioReader) place(t float64, rate int) {
	if !a.begun {
		a.out.Start = t
		return
	}
	gap := t - (a.out.Start + float64(len(a.out.Samples))/float64(rate))
	if gap < jitter || gap > MaxAudio {
		return
	}
	a.out.Samples = append(a.out.Samples, make([]float32, int(math.Round(gap*float64(rate))))...)
}
