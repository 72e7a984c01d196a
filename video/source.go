package video

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"sync"
	"sync/atomic"

	"github.com/asticode/go-astiav"

	"turngauge/video/orient"
)

// Source is one open clip: its index, the file that it holds open, and, once a frame is
// asked for, its end of the process that decodes. See the package comment for who
// may call what.
type Source struct {
	*Index

	closing sync.Once
	file    *os.File
	session atomic.Pointer[session] // nil until one is needed, and after a death
	closed  atomic.Bool
	run     *run // nil until the first frame is decoded

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
	s, err := openFirst(ctx, path)
	if err != nil {
		return nil, err
	}
	return s.Index, s.Close()
}

// Open opens a clip to read its frames. The first time it reads the clip's header
// and every packet's time stamps, and decodes no more than FFmpeg needs to learn
// the format; as long as somebody holds the clip's Index, opening it again takes
// none of that. The error is a *FileError.
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
	}
	return openFirst(ctx, path)
}

// openFirst opens a clip and has it indexed.
func openFirst(ctx context.Context, path string) (*Source, error) {
	f, stat, err := openClip(path)
	if err != nil {
		return nil, err
	}
	s := &Source{file: f, falseKeys: map[int]bool{}}
	at, a, data, err := begin(ctx, f, path, stat, call{Do: callIndex}, func() func(answer, []byte) error { return nil })
	if err == nil {
		s.session.Store(at)
		s.Index, err = indexOf(path, stat, a.Found, data)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	s.Index = indexes.share(s.Index)
	return s, nil
}

// indexOf makes an index of what the process that read the clip says. It is believed
// about the clip, but not about memory.
func indexOf(path string, stat fs.FileInfo, f *found, data []byte) (*Index, error) {
	nonsense := fileError(path, ErrUnreadable, "can't be read: %v. Copy the clip from the phone again.", errAnswer)
	if f == nil || len(data)/packetBytes > mostPackets {
		return nil, nonsense
	}
	i := f.Info
	o := orient.Orientation{XX: f.Orient[0], XY: f.Orient[1], YX: f.Orient[2], YY: f.Orient[3]}
	if i.StoredWidth <= 0 || i.StoredHeight <= 0 || i.StoredWidth > maxPixels || i.StoredHeight > maxPixels ||
		i.StoredWidth*i.StoredHeight > maxPixels || !o.Valid() || i.TimeBase[0] <= 0 || i.TimeBase[1] <= 0 ||
		f.Matrix > astiav.ColorSpace(math.MaxUint8) {
		return nil, nonsense
	}
	frames := newFrameIndex(readPacketsOf(data))
	if frames.frames() == 0 {
		return nil, nonsense
	}
	i.Path, i.Frames, i.SizeBytes = path, frames.frames(), stat.Size()
	x := &Index{frameIndex: frames, info: i, stat: stat, streamIndex: f.Stream, retimed: f.Retimed}
	x.layout = newLayout(i.StoredWidth, i.StoredHeight, o, i.SampleAspect)
	x.layout.matrix, x.layout.full, x.layout.assumed = f.Matrix, f.Full, i.ColourAssumed
	x.info.Width, x.info.Height = x.layout.uprightWidth, x.layout.uprightHeight
	return x, nil
}

// link returns the session of this reader, opening one where there is none.
func (s *Source) link() (*session, error) {
	if at := s.session.Load(); at != nil {
		return at, nil
	}
	at, err := openSession(s.file, s.stat)
	if err != nil {
		return nil, err
	}
	s.session.Store(at)
	if s.closed.Load() { // in this moment
		at.interrupt()
		return nil, ErrClosed
	}
	return at, nil
}

// overwritten is Check for a Source that is open: only a change of the very file
// that it holds open matters to it.
func (s *Source) overwritten() error {
	now, err := s.file.Stat()
	if err != nil {
		return fmt.Errorf("the file can't be looked at: %w", cause(err))
	}
	return s.altered(now)
}

// interrupt makes what is being read end at once, from any goroutine. Nothing can be read
// afterwards.
func (s *Source) interrupt() {
	s.closed.Store(true)
	if at := s.session.Load(); at != nil {
		at.interrupt()
	}
}

// hangUp drops the run and the session, to be made anew.
func (s *Source) hangUp() {
	if s.run != nil {
		s.run.end()
		s.run = nil
	}
	if at := s.session.Swap(nil); at != nil {
		at.close()
	}
}

// Close frees everything. Further calls do nothing.
func (s *Source) Close() error {
	s.closing.Do(func() {
		s.hangUp()
		s.file.Close()
	})
	return nil
}
