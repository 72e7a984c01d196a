package video

import (
	"context"
	"io/fs"
	"math"
	"os"
	"runtime"
	"time"

	"github.com/asticode/go-astiav"
)

// Index is what reading a clip from end to end found out: its facts, and when
// and where each of its frames is. It is made once, when the clip is first
// opened, and shared by all who read it. It never changes, and its methods may
// be called from any goroutine.
type Index struct {
	*frameIndex
	info   Info
	layout *layout
	stat   fs.FileInfo // of the file that was read

	streamIndex int  // of the pictures among the file's streams
	retimed     bool // the file's edit list changes the speed, and is left aside

	// Only where the clip is decoded.
	codec  astiav.CodecID
	params *codecParams

	filmedFPS float64 // see Filmed; 0 where the clip's own times are those of life
}

// codecParams are what a decoder must be told. They are only read.
type codecParams struct{ *astiav.CodecParameters }

// newIndex makes an index, but for its facts, of the frames of a stream.
func newIndex(frames *frameIndex, stat fs.FileInfo, stream *astiav.Stream) (*Index, error) {
	p := astiav.AllocCodecParameters()
	if p == nil {
		return nil, errNoMemory
	}
	x := &Index{
		frameIndex: frames, stat: stat, streamIndex: stream.Index(),
		codec: stream.CodecParameters().CodecID(), params: &codecParams{p},
	}
	runtime.AddCleanup(x.params, func(p *astiav.CodecParameters) { p.Free() }, p)
	return x, stream.CodecParameters().Copy(p)
}

// Open opens the clip again, for another reader. Nothing of it is read yet. The error is
// ctx's or a *FileError, of kind ErrChanged when the file is no longer the one
// that was indexed: another's packets would be taken for this one's.
func (x *Index) Open(ctx context.Context) (*Source, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	f, stat, err := openClip(x.info.Path)
	if err != nil {
		return nil, err
	}
	if err := x.same(stat); err != nil {
		f.Close()
		return nil, err
	}
	return &Source{Index: x, file: f, falseKeys: map[int]bool{}}, nil
}

// Info returns what is known of the clip.
func (x *Index) Info() Info { return x.info }

// Frames returns the number of frames, at least 1.
func (x *Index) Frames() int { return x.frames() }

// PTS returns the presentation time of frame n in ticks of Info().TimeBase.
// It panics when n is not in [0, Frames()).
func (x *Index) PTS(n int) int64 { return x.pts(n) }

// Seconds returns the time of frame n from the first shown frame: that of life
// where the clip is known to play at another speed (Filmed), else the file's own.
func (x *Index) Seconds(n int) float64 {
	if x.filmedFPS > 0 {
		return float64(n) / x.filmedFPS
	}
	return x.played(n)
}

// FrameAt returns the frame on show at a time in seconds from the first shown
// frame, on the clock of Seconds: the last that starts at or before it, clamped to
// the clip.
func (x *Index) FrameAt(seconds float64) int {
	if x.filmedFPS > 0 {
		const rounding = 1e-6 // of a frame: Seconds(n) must lead back to n
		return int(math.Max(0, math.Min(math.Floor(seconds*x.filmedFPS+rounding), float64(x.Frames()-1))))
	}
	return x.playedAt(seconds)
}

// IndexOfPTS returns the frame whose presentation time is exactly pts.
func (x *Index) IndexOfPTS(pts int64) (int, bool) { return x.indexOfPTS(pts) }

// tick is the length of one tick in seconds.
func (x *Index) tick() float64 { return float64(x.info.TimeBase[0]) / float64(x.info.TimeBase[1]) }

// Check looks whether the file on disk is still the one that was indexed. The
// error's kind is ErrMissing when it is gone and ErrChanged when another has
// taken its place or its content was altered. Frames of a removed or replaced
// file can still be decoded by a Source that was open before.
func (x *Index) Check() error {
	now, err := statFile(x.info.Path)
	if err != nil {
		return err
	}
	return x.same(now)
}

// same returns an error of kind ErrChanged unless a file's facts are those of the
// file that was indexed.
func (x *Index) same(now fs.FileInfo) error {
	if !os.SameFile(now, x.stat) {
		return fileError(x.info.Path, ErrChanged, "was replaced by another file while it was open. Open it again; marks made on the old clip may not fit the new one.")
	}
	return x.altered(now)
}

// altered reports a change of content under the same file.
func (x *Index) altered(now fs.FileInfo) error {
	if now.Size() != x.stat.Size() || !now.ModTime().Equal(x.stat.ModTime()) {
		return fileError(x.info.Path, ErrChanged, "was altered while it was open. Open it again; marks made on the old clip may not fit the new one.")
	}
	return nil
}

// duration of the clip: to the end of the last frame, whose length is taken
// from its packet or else from the frame before it.
func (x *Index) duration() time.Duration {
	last := x.frames() - 1
	ticks := x.pts(last) - x.pts(0)
	switch {
	case x.lastTick > 0:
		ticks += x.lastTick
	case last > 0:
		ticks += x.pts(last) - x.pts(last-1)
	}
	return time.Duration(math.Round(float64(ticks) * x.tick() * float64(time.Second)))
}
