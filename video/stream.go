package video

import (
	"context"
	"errors"
	"os"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/asticode/go-astiav"

	"turngauge/video/boxes"
)

// stream is a clip that FFmpeg reads: its demuxer and, once a frame is asked for, its
// decoder. It lives in the process that decodes (serveClips) and is used by one
// goroutine there; a Source is its other end.
type stream struct {
	*Index
	file  clipFile
	heard func() // called while a long reading makes progress

	closing sync.Once
	in      atomic.Pointer[demuxer]
	packet  *astiav.Packet
	dec     *decoder // nil until the first frame is decoded

	// falseKeys are the packets that are marked as key pictures and are none.
	falseKeys map[int]bool
}

// clipFile is a clip as it was handed over: an open file, and what to call it. Opening
// it by its name is up to the other side.
type clipFile struct {
	*os.File
	name string
}

func newStream(f clipFile) *stream {
	return &stream{file: f, heard: func() {}, falseKeys: map[int]bool{}}
}

// openStream opens a clip and indexes it. The packets are those of its pictures.
func openStream(ctx context.Context, f clipFile, heard func()) (_ *stream, _ []rawPacket, err error) {
	s := newStream(f)
	s.heard = heard
	defer func() {
		if err != nil {
			s.close()
		}
	}()
	stat, err := f.Stat()
	if err != nil {
		return nil, nil, fileError(f.name, ErrUnreadable, "can't be read (%v). Check the drive it is on.", cause(err))
	}
	marks := boxes.SpeedMarksOf(f, stat.Size())
	in, err := openInput(ctx, f, marks.Edits)
	if err != nil {
		return nil, nil, err
	}
	s.in.Store(in)
	for _, stream := range in.format.Streams() { // before FFmpeg reserves memory for it
		if err := fits(f.name, stream.CodecParameters()); err != nil {
			return nil, nil, err
		}
	}
	header := in.stop.during(ctx, headerTime)
	err = findStreamInfo(in.format)
	header()
	if err := in.stop.why(ctx, f.name); err != nil {
		return nil, nil, err
	}
	if err != nil {
		return nil, nil, explainUnreadable(f)
	}
	index := bestStream(in.format, astiav.MediaTypeVideo)
	if index < 0 {
		return nil, nil, fileError(f.name, ErrNoVideoStream, "holds no moving pictures, only sound or other data. Choose the clip itself.")
	}
	pictures := in.format.Streams()[index]
	if err := decodable(f.name, pictures.CodecParameters()); err != nil {
		return nil, nil, err
	}
	audio := bestStream(in.format, astiav.MediaTypeAudio)
	keepOnly(in.format, index)
	s.packet = astiav.AllocPacket()
	raw, readErr := readPackets(ctx, s, pictures)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	if err := in.stop.why(ctx, f.name); err != nil {
		if len(raw) == 0 {
			return nil, nil, err
		}
		in.stop.goOn() // what was found until then can be shown
	}
	if errors.Is(readErr, errTooMany) {
		return nil, nil, fileError(f.name, ErrUnsupported, "claims more than %d pictures, more than the program can hold. Cut it to the swing and choose that.", mostPackets)
	}
	frames := newFrameIndex(raw)
	if frames.frames() == 0 && len(raw) > 0 {
		return nil, nil, fileError(f.name, ErrNotVideo, "holds pictures, but its table of times is damaged and shows none of them. Copy the clip from the phone again.")
	}
	if frames.frames() == 0 {
		return nil, nil, fileError(f.name, ErrTruncated, "holds no complete picture; it was cut off very early. Copy the clip from the phone again.")
	}
	if s.Index, err = newIndex(frames, stat, pictures); err != nil {
		return nil, nil, fileError(f.name, ErrUnreadable, "can't be opened: out of memory.")
	}
	s.retimed = marks.Edits
	s.describe(f.name, in.format, audio, marks, readErr)
	return s, raw, nil
}

// openAgain opens a clip whose index is known.
func openAgain(f clipFile, x *Index) (*stream, error) {
	s := newStream(f)
	s.Index, s.packet = x, astiav.AllocPacket()
	if err := s.reopen(); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// decodable returns an error unless this FFmpeg can decode such pictures.
func decodable(path string, p *astiav.CodecParameters) error {
	switch {
	case astiav.FindDecoder(p.CodecID()) == nil:
		return fileError(path, ErrUnsupported, "uses a video format (%s) this FFmpeg can't decode. Export the clip as H.264 and choose that.", p.CodecID().Name())
	case p.Width() <= 0 || p.Height() <= 0 || p.PixelFormat() < 0:
		return fileError(path, ErrNotVideo, "is damaged: no picture in it can be decoded. Copy the clip from the phone again.")
	}
	return fits(path, p)
}

// fits returns an error unless the program can hold pictures of this size, as far as it
// is known.
func fits(path string, p *astiav.CodecParameters) error {
	w, h := p.Width(), p.Height()
	if w > 0 && h > 0 && (w*h > maxPixels || p.PixelFormat() >= 0 && pictureBytes(p) > maxPictureBytes) {
		return fileError(path, ErrUnsupported, "claims pictures of %d x %d pixels, more than the program can hold. Export it at 4K or less.", w, h)
	}
	return nil
}

// headerIsEnough reports whether the demuxer numbers and times its packets by
// the file's header alone. Others guess from what findStreamInfo decodes.
func headerIsEnough(format *astiav.FormatContext) bool {
	return strings.HasPrefix(format.InputFormat().Name(), "mov,")
}

// contextEvery is how many packets are read between two looks at the context, and
// aliveEvery how many must come within packetTime: of a large clip on a slow drive few do.
const contextEvery, aliveEvery = 256, 8

// mostPackets bounds an index: two hours at 240 frames a second are 1.7 million.
const mostPackets = 2_000_000

var errTooMany = errors.New("too many packets")

// readPackets reads every packet of a stream to the end of the file. The error is what
// ended the reading early, nil at the regular end.
func readPackets(ctx context.Context, s *stream, stream *astiav.Stream) (raw []rawPacket, err error) {
	codec := stream.CodecParameters().CodecID()
	more, end := s.in.Load().stop.untilIdle(ctx, packetTime)
	defer end()
	for n := 0; ; n++ {
		if n%contextEvery == 0 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
		}
		if n%aliveEvery == 0 {
			more()
			s.heard()
		}
		r, err := readPacket(s.in.Load().format, s.packet, codec)
		if errors.Is(err, astiav.ErrEof) {
			return raw, nil
		}
		if err != nil {
			return raw, err
		}
		s.packet.Unref()
		if r.stream != stream.Index() {
			continue
		}
		if len(raw) == mostPackets {
			return nil, errTooMany
		}
		raw = append(raw, r)
	}
}

// reopen opens the demuxer at the beginning of the file. It leaves the stream as it
// was when it returns an error.
func (s *stream) reopen() error {
	in, err := openInput(context.Background(), s.file, s.retimed)
	if err != nil {
		return err
	}
	if !headerIsEnough(in.format) && findStreamInfo(in.format) != nil {
		in.close()
		return explainUnreadable(s.file)
	}
	if s.streamIndex >= len(in.format.Streams()) {
		in.close()
		return fileError(s.file.name, ErrChanged, "was altered while it was open. Open it again.")
	}
	keepOnly(in.format, s.streamIndex)
	if old := s.in.Swap(in); old != nil {
		old.close()
	}
	return nil
}

// interrupt makes what is being read end at once, from any goroutine. Nothing can be read
// afterwards.
func (s *stream) interrupt() {
	if in := s.in.Load(); in != nil {
		in.stop.interrupt()
	}
}

// close frees everything but the file. Further calls do nothing.
func (s *stream) close() {
	s.closing.Do(func() {
		if s.dec != nil {
			s.dec.close()
		}
		if s.packet != nil {
			s.packet.Free()
		}
		if in := s.in.Load(); in != nil {
			in.close()
		}
	})
}
