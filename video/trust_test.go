package video

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/asticode/go-astiav"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sparse is a file with a beginning and then nothing, up to a length.
func sparse(t *testing.T, name string, head []byte, length int64) string {
	t.Helper()
	path := written(t, name, head)
	require.NoError(t, os.Truncate(path, length))
	return path
}

// given is what opening a clip came to, and how long it took.
type given struct {
	err  error
	took time.Duration
}

// openUntil opens a clip, gives up after a while, and sees that this ends it.
func openUntil(t *testing.T, path string, giveUp time.Duration) given {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), giveUp)
	defer cancel()
	done := make(chan given, 1)
	go func() {
		start := time.Now()
		s, err := OpenContext(ctx, path)
		if err == nil {
			err = s.Close()
		}
		done <- given{err, time.Since(start)}
	}()
	select {
	case g := <-done:
		return g
	case <-time.After(giveUp + 20*time.Second):
		t.Fatal(filepath.Base(path), "is still being read")
		return given{}
	}
}

// TestFilesOfNothingCanBeGivenUp opens 200 GB that hold nothing behind a beginning that
// looks like a clip. Reading on to the end would take minutes.
func TestFilesOfNothingCanBeGivenUp(t *testing.T) {
	const huge = 200 << 30
	stream := bytes.Repeat(append([]byte{0x47, 0x40, 0x00, 0x10}, make([]byte, 184)...), 40)
	pack := append([]byte{0, 0, 1, 0xba, 0x44, 0, 4, 0, 4, 1, 0, 0, 3, 0xf8}, 0, 0, 1, 0xbb, 0, 6, 0, 0, 0, 0, 0, 0)
	whole, err := os.ReadFile(clip(t, "MOV"))
	require.NoError(t, err)
	for name, head := range map[string][]byte{
		"zeros.mp4": nil, "stream.ts": stream, "pack.mpg": bytes.Repeat(pack, 40), "film.mov": whole[:len(whole)/2],
		"page.ogg": append([]byte("OggS"), make([]byte, 23)...), "matroska.mkv": {0x1a, 0x45, 0xdf, 0xa3, 0x01, 0, 0, 0, 0, 0, 0, 1, 0},
	} {
		g := openUntil(t, sparse(t, name, head, huge), 300*time.Millisecond)
		require.Error(t, g.err, name)
		var file *FileError
		assert.True(t, errors.Is(g.err, context.DeadlineExceeded) || errors.As(g.err, &file), "%s: %v", name, g.err)
	}
	pipe := filepath.Join(t.TempDir(), "pipe.mp4")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	g := openUntil(t, pipe, time.Second)
	require.ErrorIs(t, g.err, ErrNotVideo)
}

// boxed returns data with the 32 bits at an offset behind a box's name set
// (ISO/IEC 14496-12: big-endian).
func boxed(t *testing.T, data []byte, box string, behind int, v uint32) []byte {
	t.Helper()
	out := bytes.Clone(data)
	at := bytes.Index(out, []byte(box))
	require.Positive(t, at, box)
	binary.BigEndian.PutUint32(out[at+4+behind:], v)
	return out
}

// TestAnIndexWithoutEnd opens clips whose tables say, in a few bytes, that there are a
// billion frames.
func TestAnIndexWithoutEnd(t *testing.T) {
	decodeInside(t) // whose memory is counted
	data, err := os.ReadFile(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	const billion = 1_000_000_000
	// stsz: version and flags, a size for all, count; stts: count, then runs of frames.
	endless := boxed(t, boxed(t, boxed(t, data, "stsz", 4, 1), "stsz", 8, billion), "stts", 8, billion)
	for name, data := range map[string][]byte{
		"sizes":       boxed(t, boxed(t, data, "stsz", 4, 1), "stsz", 8, billion),
		"times":       boxed(t, data, "stts", 8, billion),
		"both":        endless,
		"chunks":      boxed(t, endless, "stsc", 12, billion), // frames in a chunk
		"some chunks": boxed(t, boxed(t, boxed(t, data, "stsz", 4, 1), "stsz", 8, 10_000_000), "stsc", 12, 10_000_000),
	} {
		before := peak(t)
		g := openUntil(t, written(t, name+".mp4", data), 30*time.Second)
		assert.False(t, errors.Is(g.err, context.DeadlineExceeded), "%s: %v", name, g.err)
		assert.Less(t, peak(t)-before, int64(600<<20), "%s: %v", name, g.err)
	}
}

// peak is the most memory that this process has had at once.
func peak(t *testing.T) int64 {
	t.Helper()
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return u.Maxrss << 10 // Linux counts kilobytes
}

// TestPicturesThatAreTooLarge holds what is said of a clip's size to what the program can
// hold: 8K film as phones make it opens, and more does not.
func TestPicturesThatAreTooLarge(t *testing.T) {
	for _, c := range []struct {
		width, height int
		format        astiav.PixelFormat
		ok            bool
	}{
		{7680, 4320, astiav.PixelFormatYuv420P, true},
		{7680, 4320, astiav.PixelFormatYuv420P10Le, true},
		{4320, 7680, astiav.PixelFormatYuv420P, true},
		{7680, 4320, astiav.PixelFormatYuv444P12Le, false},
		{8192, 8192, astiav.PixelFormatYuv420P, false},
		{8192, 8192, astiav.PixelFormatNone, false},
	} {
		p := astiav.AllocCodecParameters()
		defer p.Free()
		p.SetWidth(c.width)
		p.SetHeight(c.height)
		p.SetPixelFormat(c.format)
		err := fits("x.mp4", p)
		if c.ok {
			assert.NoError(t, err, c)
			continue
		}
		assert.ErrorIs(t, err, ErrUnsupported, c)
	}
	data, err := os.ReadFile(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	// The only sample entry, behind the head of its table, says width and height
	// (ISO/IEC 14496-12, 8.5.2 and 12.1.3).
	_, err = Open(written(t, "large.mp4", boxed(t, data, "stsd", 40, 8192<<16|8192)))
	require.ErrorIs(t, err, ErrUnsupported)
	assert.ErrorContains(t, err, "8192 x 8192 pixels, more than the program can hold")
}

// TestStopperGoesOn: what was interrupted can be read again once it may.
func TestStopperGoesOn(t *testing.T) {
	s, _ := streamOf(t, clip(t, "MOV"))
	require.NoError(t, s.reopen())
	stop := s.in.Load().stop
	require.NoError(t, stop.why(context.Background(), "x"))
	done := stop.during(context.Background(), time.Nanosecond)
	require.Eventually(t, stop.wasStopped, 10*time.Second, time.Millisecond)
	done()
	require.ErrorContains(t, stop.why(context.Background(), "x"), "takes too long to read")
	stop.goOn()
	require.NoError(t, stop.why(context.Background(), "x"))
	_, err := readPacket(s.in.Load().format, s.packet, s.codec)
	require.NoError(t, err)
}
