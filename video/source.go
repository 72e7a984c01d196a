package video

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"os"
	"sync"
	"time"

	"github.com/asticode/go-astiav"
)

// containers are the demuxers a clip may need. Play lists and other formats
// that make FFmpeg open further files stay out.
const containers = "mov,mp4,matroska,webm,avi,mpegts,mpeg,flv,asf,ogg,mxf,dv"

// Source is one open clip: its facts, its frame table and, once a frame is
// asked for, its decoder. See the package comment for who may call what.
type Source struct {
	info   Info
	table  *table
	layout *layout
	stat   fs.FileInfo

	closing sync.Once
	format  *astiav.FormatContext
	stream  *astiav.Stream
	packet  *astiav.Packet
	codec   astiav.CodecID
	dec     *decoder // nil until the first frame is decoded
}

// Probe opens the clip, reports what it is, and closes it.
func Probe(path string) (Info, error) {
	s, err := Open(path)
	if err != nil {
		return Info{}, err
	}
	defer s.Close()
	return s.Info(), nil
}

// Open reads the clip's header and every packet's time stamps; it decodes no
// more than FFmpeg needs to learn the format. The error is a *FileError.
func Open(path string) (*Source, error) { return OpenContext(context.Background(), path) }

// OpenContext is Open that can be given up: reading the table of a very long
// clip takes as long as reading the file.
func OpenContext(ctx context.Context, path string) (s *Source, err error) {
	stat, err := statFile(path)
	if err != nil {
		return nil, err
	}
	s = &Source{stat: stat}
	defer func() {
		if err != nil {
			s.Close()
			s = nil
		}
	}()
	if s.format, err = openInput(path); err != nil {
		return s, err
	}
	index := bestStream(s.format, astiav.MediaTypeVideo)
	if index < 0 {
		return s, fileError(path, ErrNoVideoStream, "holds no moving pictures, only sound or other data. Choose the clip itself.")
	}
	s.stream = s.format.Streams()[index]
	s.codec = s.stream.CodecParameters().CodecID()
	s.packet = astiav.AllocPacket()
	if astiav.FindDecoder(s.codec) == nil {
		return s, fileError(path, ErrUnsupported, "uses a video format (%s) this FFmpeg can't decode. Export the clip as H.264 and choose that.", s.codec.Name())
	}
	p := s.stream.CodecParameters()
	if p.Width() <= 0 || p.Height() <= 0 || p.PixelFormat() < 0 {
		return s, fileError(path, ErrNotVideo, "is damaged: no picture in it can be decoded. Copy the clip from the phone again.")
	}
	if p.Width()*p.Height() > maxPixels {
		return s, fileError(path, ErrUnsupported, "claims pictures of %d x %d pixels, more than the program can hold. Export it at 4K or less.", p.Width(), p.Height())
	}
	audio := bestStream(s.format, astiav.MediaTypeAudio)
	keepOnly(s.format, index)
	raw, readErr := s.readTable(ctx, index)
	if err = ctx.Err(); err != nil {
		return s, err
	}
	s.table = buildTable(raw)
	if s.table.frames() == 0 && len(raw) > 0 {
		return s, fileError(path, ErrNotVideo, "holds pictures, but its table of times is damaged and shows none of them. Copy the clip from the phone again.")
	}
	if s.table.frames() == 0 {
		return s, fileError(path, ErrTruncated, "holds no complete picture; it was cut off very early. Copy the clip from the phone again.")
	}
	s.describe(path, audio, readErr)
	return s, nil
}

func openInput(path string) (*astiav.FormatContext, error) {
	format := astiav.AllocFormatContext()
	if format == nil {
		return nil, fileError(path, ErrUnreadable, "can't be opened: out of memory.")
	}
	d := astiav.NewDictionary()
	defer d.Free()
	for k, v := range map[string]string{"protocol_whitelist": "file", "format_whitelist": containers, "fpsprobesize": "0"} {
		if err := d.Set(k, v, 0); err != nil {
			format.Free()
			return nil, fileError(path, ErrUnreadable, "can't be opened: out of memory.")
		}
	}
	if err := format.OpenInput("file:"+path, nil, d); err != nil {
		format.Free()
		return nil, explainUnreadable(path)
	}
	if err := findStreamInfo(format); err != nil {
		format.CloseInput()
		return nil, explainUnreadable(path)
	}
	return format, nil
}

// contextEvery is how many packets are read between two looks at the context.
const contextEvery = 256

// readTable reads every packet of the stream. The error is what ended the
// reading early, nil at the regular end of the file.
func (s *Source) readTable(ctx context.Context, stream int) (raw []rawPacket, err error) {
	for n := 0; ; n++ {
		if n%contextEvery == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		r, err := readPacket(s.format, s.packet, s.codec)
		if errors.Is(err, astiav.ErrEof) {
			return raw, nil
		}
		if err != nil {
			return raw, err
		}
		s.packet.Unref()
		if r.stream == stream {
			raw = append(raw, r)
		}
	}
}

// Info returns what is known of the clip.
func (s *Source) Info() Info { return s.info }

// Frames returns the number of frames, at least 1.
func (s *Source) Frames() int { return s.table.frames() }

// PTS returns the presentation time of frame n in ticks of Info().TimeBase.
// It panics when n is not in [0, Frames()).
func (s *Source) PTS(n int) int64 { return s.table.pts(n) }

// Seconds returns the time of frame n from the first shown frame.
func (s *Source) Seconds(n int) float64 {
	return float64(s.table.pts(n)-s.table.pts(0)) * s.tick()
}

// FrameAt returns the frame on show at a time in seconds from the first shown
// frame: the last that starts at or before it, clamped to the clip.
func (s *Source) FrameAt(seconds float64) int {
	ticks := seconds / s.tick()
	const halfTick = 0.5 // Seconds(n) must lead back to n in spite of rounding
	switch {
	case math.IsNaN(ticks) || ticks < 0:
		return 0
	case ticks > float64(s.table.pts(s.Frames()-1)-s.table.pts(0)):
		return s.Frames() - 1
	}
	return s.table.frameAt(s.table.pts(0) + int64(math.Floor(ticks+halfTick)))
}

// IndexOfPTS returns the frame whose presentation time is exactly pts.
func (s *Source) IndexOfPTS(pts int64) (int, bool) { return s.table.indexOfPTS(pts) }

// tick is the length of one tick in seconds.
func (s *Source) tick() float64 { return float64(s.info.TimeBase[0]) / float64(s.info.TimeBase[1]) }

// Check looks whether the file on disk is still the one that was opened. The
// error's kind is ErrMissing when it is gone and ErrChanged when another has
// taken its place or its content was altered. Frames of a removed or replaced
// file can still be decoded as long as the Source is open.
func (s *Source) Check() error {
	now, err := statFile(s.info.Path)
	if err != nil {
		return err
	}
	if !os.SameFile(now, s.stat) {
		return fileError(s.info.Path, ErrChanged, "was replaced by another file while it was open. Open it again; marks made on the old clip may not fit the new one.")
	}
	return s.altered(now)
}

// altered reports a change of content under the open file.
func (s *Source) altered(now fs.FileInfo) error {
	if now.Size() != s.stat.Size() || !now.ModTime().Equal(s.stat.ModTime()) {
		return fileError(s.info.Path, ErrChanged, "was altered while it was open. Open it again; marks made on the old clip may not fit the new one.")
	}
	return nil
}

// overwritten is Check for the decoder: only a change of the very file that is
// open matters to it.
func (s *Source) overwritten() error {
	now, err := os.Stat(s.info.Path)
	if err != nil || !os.SameFile(now, s.stat) {
		return nil
	}
	return s.altered(now)
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

// duration of the clip: to the end of the last frame, whose length is taken
// from its packet or else from the frame before it.
func (s *Source) duration() time.Duration {
	t := s.table
	last := t.frames() - 1
	ticks := t.pts(last) - t.pts(0)
	switch {
	case t.lastTick > 0:
		ticks += t.lastTick
	case last > 0:
		ticks += t.pts(last) - t.pts(last-1)
	}
	return time.Duration(math.Round(float64(ticks) * s.tick() * float64(time.Second)))
}
