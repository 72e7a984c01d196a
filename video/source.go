package video

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/asticode/go-astiav"
)

// containers are the demuxers a clip may need. Play lists and other formats
// that make FFmpeg open further files stay out.
const containers = "mov,mp4,matroska,webm,avi,mpegts,mpeg,flv,asf,ogg,mxf,dv"

// Source is one open clip: its index and, once a frame is asked for, its
// decoder. See the package comment for who may call what.
type Source struct {
	*Index

	closing sync.Once
	format  *astiav.FormatContext
	stop    atomic.Pointer[stopper] // of reading by format
	packet  *astiav.Packet
	dec     *decoder // nil until the first frame is decoded

	// falseKeys are the packets that are marked as key pictures and are none.
	falseKeys map[int]bool
}

// Probe opens the clip, reports what it is, and closes it.
func Probe(path string) (Info, error) {
	x, err := ReadIndex(context.Background(), path)
	if err != nil {
		return Info{}, err
	}
	return x.Info(), nil
}

// ReadIndex returns a clip's index without keeping the clip open. The error is
// ctx's or a *FileError.
func ReadIndex(ctx context.Context, path string) (*Index, error) {
	stat, err := statFile(path)
	if err != nil {
		return nil, err
	}
	if x := indexes.find(path, stat); x != nil {
		return x, ctx.Err()
	}
	s, err := openFirst(ctx, path, stat)
	if err != nil {
		return nil, err
	}
	return s.Index, s.Close()
}

// Open opens a clip to read its frames. The first time it reads the clip's header
// and every packet's time stamps, and decodes no more than FFmpeg needs to learn
// the format; as long as somebody holds the clip's Index, opening it again takes
// that. The error is a *FileError.
func Open(path string) (*Source, error) { return OpenContext(context.Background(), path) }

// OpenContext is Open that can be given up: indexing a very long clip takes as
// long as reading the file. The error is ctx's or a *FileError.
func OpenContext(ctx context.Context, path string) (*Source, error) {
	stat, err := statFile(path)
	if err != nil {
		return nil, err
	}
	if x := indexes.find(path, stat); x != nil {
		if s, err := x.Open(ctx); !errors.Is(err, ErrChanged) {
			return s, err
		}
		if stat, err = statFile(path); err != nil { // it was changed in this moment
			return nil, err
		}
	}
	return openFirst(ctx, path, stat)
}

// openFirst opens a clip and indexes it.
func openFirst(ctx context.Context, path string, stat fs.FileInfo) (_ *Source, err error) {
	s := &Source{falseKeys: map[int]bool{}}
	defer func() {
		if err != nil {
			s.Close()
		}
	}()
	marks := speedMarksOf(path)
	var stop *stopper
	if s.format, stop, err = openInput(ctx, path, marks.edits); err != nil {
		return nil, err
	}
	s.stop.Store(stop)
	for _, stream := range s.format.Streams() { // before FFmpeg reserves memory for it
		if err := fits(path, stream.CodecParameters()); err != nil {
			return nil, err
		}
	}
	header := stop.during(ctx, headerTime)
	err = findStreamInfo(s.format)
	header()
	if err := stop.why(ctx, path); err != nil {
		return nil, err
	}
	if err != nil {
		return nil, explainUnreadable(path)
	}
	index := bestStream(s.format, astiav.MediaTypeVideo)
	if index < 0 {
		return nil, fileError(path, ErrNoVideoStream, "holds no moving pictures, only sound or other data. Choose the clip itself.")
	}
	stream := s.format.Streams()[index]
	if err := decodable(path, stream.CodecParameters()); err != nil {
		return nil, err
	}
	audio := bestStream(s.format, astiav.MediaTypeAudio)
	keepOnly(s.format, index)
	s.packet = astiav.AllocPacket()
	raw, readErr := readPackets(ctx, s, stream)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := stop.why(ctx, path); err != nil {
		if len(raw) == 0 {
			return nil, err
		}
		stop.goOn() // what was found until then can be shown
	}
	if errors.Is(readErr, errTooMany) {
		return nil, fileError(path, ErrUnsupported, "claims more than %d pictures, more than the program can hold. Cut it to the swing and choose that.", mostPackets)
	}
	frames := newFrameIndex(raw)
	if frames.frames() == 0 && len(raw) > 0 {
		return nil, fileError(path, ErrNotVideo, "holds pictures, but its table of times is damaged and shows none of them. Copy the clip from the phone again.")
	}
	if frames.frames() == 0 {
		return nil, fileError(path, ErrTruncated, "holds no complete picture; it was cut off very early. Copy the clip from the phone again.")
	}
	if s.Index, err = newIndex(frames, stat, stream); err != nil {
		return nil, fileError(path, ErrUnreadable, "can't be opened: out of memory.")
	}
	s.retimed = marks.edits
	s.describe(path, s.format, audio, marks, readErr)
	indexes.share(s.Index)
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

// openInput opens a file and reads its header, leaving its edit list aside where
// asked to.
func openInput(ctx context.Context, path string, withoutEdits bool) (*astiav.FormatContext, *stopper, error) {
	format := astiav.AllocFormatContext()
	if format == nil {
		return nil, nil, fileError(path, ErrUnreadable, "can't be opened: out of memory.")
	}
	stop := newStopper(format)
	d := astiav.NewDictionary()
	defer d.Free()
	options := map[string]string{"protocol_whitelist": "file", "format_whitelist": containers, "fpsprobesize": "0"}
	if withoutEdits {
		options["ignore_editlist"] = "1"
	}
	for k, v := range options {
		if err := d.Set(k, v, 0); err != nil {
			format.Free()
			return nil, nil, fileError(path, ErrUnreadable, "can't be opened: out of memory.")
		}
	}
	header := stop.during(ctx, headerTime)
	err := format.OpenInput("file:"+path, nil, d)
	header()
	if err != nil {
		format.Free()
		if err := stop.why(ctx, path); err != nil {
			return nil, nil, err
		}
		return nil, nil, explainUnreadable(path)
	}
	return format, stop, nil
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
func readPackets(ctx context.Context, s *Source, stream *astiav.Stream) (raw []rawPacket, err error) {
	codec := stream.CodecParameters().CodecID()
	more, end := s.stop.Load().untilIdle(ctx, packetTime)
	defer end()
	for n := 0; ; n++ {
		if n%contextEvery == 0 {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
		}
		if n%aliveEvery == 0 {
			more()
		}
		r, err := readPacket(s.format, s.packet, codec)
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

// reopen opens the demuxer at the beginning of the file, which must still be the
// one that was indexed: another's packets would be taken for this one's. It leaves
// the Source as it was when it returns an error.
func (s *Source) reopen() error {
	if err := s.Check(); err != nil {
		return err
	}
	format, stop, err := openInput(context.Background(), s.info.Path, s.retimed)
	if err != nil {
		return err
	}
	if !headerIsEnough(format) && findStreamInfo(format) != nil {
		format.CloseInput()
		return explainUnreadable(s.info.Path)
	}
	if err := s.Check(); err != nil { // it was replaced in this moment
		format.CloseInput()
		return err
	}
	if s.streamIndex >= len(format.Streams()) {
		format.CloseInput()
		return fileError(s.info.Path, ErrChanged, "was altered while it was open. Open it again.")
	}
	keepOnly(format, s.streamIndex)
	if s.format != nil {
		s.format.CloseInput()
	}
	s.format = format
	s.stop.Store(stop)
	return nil
}

// overwritten is Check for a Source that is open: only a change of the very file
// that it holds open matters to it.
func (s *Source) overwritten() error {
	now, err := os.Stat(s.info.Path)
	if err != nil || !os.SameFile(now, s.stat) {
		return nil
	}
	return s.altered(now)
}

// interrupt makes what is being read end at once, from any goroutine. Nothing can be read
// afterwards.
func (s *Source) interrupt() {
	if stop := s.stop.Load(); stop != nil {
		stop.interrupt()
	}
}

// Close frees everything. Further calls do nothing.
func (s *Source) Close() error {
	s.closing.Do(func() {
		if s.dec != nil {
			s.dec.close()
		}
		if s.packet != nil {
			s.packet.Free()
		}
		if s.format != nil {
			s.format.CloseInput()
		}
	})
	return nil
}
