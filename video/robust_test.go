package video

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func written(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, data, 0o644))
	return path
}

func TestOpenSaysWhatIsWrong(t *testing.T) {
	whole, err := os.ReadFile(clip(t, "MOV"))
	require.NoError(t, err)
	for _, c := range []struct {
		name, path string
		kind       error
		says       string
	}{
		{"missing", filepath.Join(t.TempDir(), "gone.mp4"), ErrMissing, "choose it again"},
		{"a folder", t.TempDir(), ErrNotVideo, "is a folder"},
		{"zero bytes", written(t, "empty.mp4", nil), ErrNotVideo, "zero bytes"},
		{"text", written(t, "notes.mp4", []byte("Grip a little weaker.\nBall back.\n")), ErrNotVideo, "plain text"},
		{"a still picture", written(t, "still.mp4", []byte("\xff\xd8\xff\xe0 JFIF etc")), ErrNotVideo, "still picture"},
		{"an archive", written(t, "clips.mp4", []byte("PK\x03\x04 whatever")), ErrNotVideo, "zip archive"},
		{"noise", written(t, "noise.mp4", bytes.Repeat([]byte{0, 1, 254, 7, 130}, 999)), ErrNotVideo, "unknown or damaged"},
		{"index cut off", written(t, "cut.mov", whole[:len(whole)/2]), ErrTruncated, "cut off"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Open(c.path)
			var file *FileError
			require.ErrorAs(t, err, &file)
			require.ErrorIs(t, err, c.kind)
			require.ErrorContains(t, err, c.says)
			require.ErrorContains(t, err, "“"+filepath.Base(c.path)+"”")
		})
	}
	if os.Getuid() != 0 { // root may read everything
		locked := written(t, "locked.mp4", whole)
		require.NoError(t, os.Chmod(locked, 0))
		_, err := Open(locked)
		require.ErrorIs(t, err, ErrUnreadable)
	}
}

func TestOpenSoundOnly(t *testing.T) {
	needFFmpeg(t)
	path := filepath.Join(t.TempDir(), "sound.m4a")
	ffmpeg(t, "-f lavfi -i sine=440:duration=1 -c:a aac", path)
	_, err := Open(path)
	require.ErrorIs(t, err, ErrNoVideoStream)
}

func TestTruncatedClipStaysUsable(t *testing.T) {
	needFFmpeg(t)
	path := filepath.Join(t.TempDir(), "front.mp4")
	ffmpeg(t, picture240+h264+"-movflags +faststart", path)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	r := openReader(t, written(t, "half.mp4", data[:len(data)*2/3]), ReaderOptions{})
	info := r.Source().Info()
	require.NotEmpty(t, info.Warnings)
	assert.Contains(t, info.Warnings[0], "cut off")
	ok := 0
	for n := range info.Frames {
		if f, err := r.Read(context.Background(), n); err == nil {
			ok++
			f.Release()
		} else {
			require.ErrorIs(t, err, ErrFrameUnavailable)
		}
	}
	assert.Greater(t, ok, info.Frames-8, "only frames that need the missing end may fail")
}

func TestCorruptPacketsAreCountedAndSkipped(t *testing.T) {
	data, err := os.ReadFile(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	s, err := Open(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	const victim = 40 // in the second group
	at := s.packets[victim].pos
	require.NoError(t, s.Close())
	binary.BigEndian.PutUint32(data[at:], 0x7fffffff) // a NAL unit longer than its packet
	r := openReader(t, written(t, "hurt.mp4", data), ReaderOptions{})
	ok := 0
	for n := range r.Source().Frames() {
		f, err := r.Read(context.Background(), n)
		if err != nil {
			require.ErrorIs(t, err, ErrFrameUnavailable)
			continue
		}
		ok++
		f.Release()
	}
	assert.Positive(t, r.Stats().BadPackets)
	assert.Contains(t, r.Stats().Trouble(), "damaged part")
	assert.GreaterOrEqual(t, ok, r.Source().Frames()-30, "the groups before and after must not suffer")
	_, err = r.Read(context.Background(), 0)
	require.NoError(t, err)
}

// TestTicksOfNoLength opens clips whose header gives no length of a tick
// (ISO/IEC 14496-12, 8.4.2: the timescale of the media header).
func TestTicksOfNoLength(t *testing.T) {
	for kind, says := range map[string]string{"H.264 group of 30": "table of times is damaged", "no edit list": "times can't be right"} {
		data, err := os.ReadFile(clip(t, kind))
		require.NoError(t, err)
		at := bytes.Index(data, []byte("mdhd"))
		require.Positive(t, at)
		const beforeScale = 16 // name, version and flags, two times
		binary.BigEndian.PutUint32(data[at+beforeScale:], 0)
		info, err := Probe(written(t, "ticks.mp4", data))
		if err != nil {
			require.ErrorIs(t, err, ErrNotVideo)
			require.ErrorContains(t, err, says)
		} else {
			require.Contains(t, strings.Join(info.Warnings, " "), says)
		}
	}
}

func TestAbsurdSizesAreRefused(t *testing.T) {
	data, err := os.ReadFile(clip(t, "AVI, Motion JPEG"))
	require.NoError(t, err)
	at := bytes.Index(data, []byte("strf"))
	require.Positive(t, at)
	binary.LittleEndian.PutUint32(data[at+12:], 1<<20) // biWidth
	binary.LittleEndian.PutUint32(data[at+16:], 1<<20) // biHeight
	s, err := Open(written(t, "huge.avi", data))
	if err == nil { // the pictures themselves say 160 x 120
		defer s.Close()
		assert.LessOrEqual(t, s.Info().StoredWidth*s.Info().StoredHeight, maxPixels)
	}
}

func TestFileGoneOrReplacedIsNoticed(t *testing.T) {
	data, err := os.ReadFile(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	path := written(t, "clip.mp4", data)
	r := openReader(t, path, ReaderOptions{CacheBytes: 1})
	require.NoError(t, r.Source().Check())
	before, err := Fingerprint(path)
	require.NoError(t, err)

	require.NoError(t, os.Rename(path, path+".away"))
	require.ErrorIs(t, r.Source().Check(), ErrMissing)
	_, err = r.Read(context.Background(), 50)
	require.NoError(t, err, "the open file can still be read")

	require.NoError(t, os.WriteFile(path, append(data, 0), 0o644))
	require.ErrorIs(t, r.Source().Check(), ErrChanged)
	after, err := Fingerprint(path)
	require.NoError(t, err)
	assert.NotEqual(t, before, after)

	require.NoError(t, os.Rename(path+".away", path))
	require.NoError(t, r.Source().Check())
	require.NoError(t, os.WriteFile(path, data[:len(data)/2], 0o644)) // in place
	_, err = r.Read(context.Background(), 10)
	require.ErrorIs(t, err, ErrChanged)
}

func TestOpenCanBeGivenUp(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := OpenContext(ctx, clip(t, "MOV"))
	require.ErrorIs(t, err, context.Canceled)
}

func TestReaderAfterClose(t *testing.T) {
	r := openReader(t, clip(t, "MOV"), ReaderOptions{})
	f, err := r.Read(context.Background(), 3)
	require.NoError(t, err)
	require.NoError(t, r.Close())
	require.NoError(t, r.Close())
	_, err = r.Read(context.Background(), 4)
	require.ErrorIs(t, err, ErrClosed)
	img := image.NewRGBA(image.Rect(0, 0, 80, 60))
	require.NoError(t, f.Render(img, f.Bounds()), "a frame outlives its reader")
	f.Release()
	f.Release()
	require.ErrorIs(t, f.Render(img, f.Bounds()), ErrReleased)
}

// waitFrame polls until the reader has frame n.
func waitFrame(t testing.TB, r *Reader, n int) *Frame {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(time.Millisecond) {
		f, err := r.Frame(n)
		require.NoError(t, err)
		if f != nil {
			return f
		}
	}
	t.Fatalf("frame %d never came", n)
	return nil
}

func TestNewestRequestWins(t *testing.T) {
	r := openReader(t, clip(t, "H.264 group of 250"), ReaderOptions{})
	last := r.Source().Frames() - 1
	for n := range last {
		r.Request(n*7%last, 0)
	}
	r.Request(last, 1)
	waitFrame(t, r, last).Release()
	assert.Less(t, r.Stats().Seeks, 60, "old requests must not be served one by one")
	assert.NotNil(t, r.Nearest(last-1))
	assert.NotEmpty(t, r.CachedRuns())
}

func TestStepBackOverKeyFrameIsDecodedAhead(t *testing.T) {
	r := openReader(t, clip(t, "H.264 group of 30"), ReaderOptions{})
	const key = 30
	r.Request(key, -1)
	waitFrame(t, r, key).Release()
	for n := key - 1; n >= 0; n-- { // without another request
		waitFrame(t, r, n).Release()
	}
}

func TestBudgetIsSharedAndBounded(t *testing.T) {
	budget := NewBudget(0)
	a := openReader(t, clip(t, "H.264 group of 250"), ReaderOptions{Budget: budget})
	b := openReader(t, clip(t, "rotated by 90"), ReaderOptions{Budget: budget})
	size := int64(a.Source().layout.size) + 64<<10 // decoders pad their pictures
	budget.SetLimit(20 * size)
	for n := range 60 {
		for _, r := range []*Reader{a, b} {
			f, err := r.Read(context.Background(), n)
			require.NoError(t, err)
			f.Release()
			require.LessOrEqual(t, budget.Used(), budget.Limit()+size)
		}
	}
	budget.SetLimit(10 * size)
	require.Eventually(t, func() bool { return budget.Used() <= 10*size }, time.Minute, 5*time.Millisecond)
	require.NoError(t, a.Close())
	require.NoError(t, b.Close())
	require.Zero(t, budget.Used(), "closing gives all memory back")
}

func TestForgottenFramesAreGivenBack(t *testing.T) {
	budget := NewBudget(64 << 20)
	r := openReader(t, clip(t, "MOV"), ReaderOptions{Budget: budget})
	for n := range 20 {
		_, err := r.Read(context.Background(), n)
		require.NoError(t, err)
	}
	require.NoError(t, r.Close())
	require.Eventually(t, func() bool {
		runtime.GC()
		return budget.Used() == 0
	}, 10*time.Second, 10*time.Millisecond)
}
