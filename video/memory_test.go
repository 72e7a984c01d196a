package video

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// resident is the memory of this process that is in use, bytes.
func resident(t testing.TB) int64 {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("resident memory is read from /proc")
	}
	debug.FreeOSMemory()
	b, err := os.ReadFile("/proc/self/statm")
	require.NoError(t, err)
	var total, pages int64
	_, err = fmt.Sscan(string(b), &total, &pages)
	require.NoError(t, err)
	return pages * int64(os.Getpagesize())
}

// TestLongClipTakesNoMoreMemory reads half an hour of pictures and goes to a
// few hundred places in it: memory must not grow with what was read.
func TestLongClipTakesNoMoreMemory(t *testing.T) {
	if nativeBytes != nil {
		t.Skip("the address sanitizer keeps freed memory for a while")
	}
	needFFmpeg(t)
	path := filepath.Join(t.TempDir(), "long.mp4") // half an hour at 30 frames a second
	ffmpeg(t, "-f lavfi -i testsrc2=size=64x48:rate=30:duration=60 -c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 60", path+".minute.mp4")
	ffmpeg(t, "-stream_loop 29 -i "+path+".minute.mp4 -c copy", path)
	budget := NewBudget(2 << 20)
	r := openReader(t, path, ReaderOptions{Budget: budget})
	frames := r.Source().Frames()
	require.Equal(t, 54000, frames)
	read := func(n int) {
		f, err := r.Read(context.Background(), n)
		require.NoError(t, err)
		f.Release()
		require.LessOrEqual(t, budget.Used(), budget.Limit())
	}
	var before int64
	for n := range frames {
		if n == frames/6 {
			before = resident(t)
		}
		read(n)
	}
	const grown = 16 << 20 // 350 bytes a frame, less than any forgotten picture or packet takes
	assert.Less(t, resident(t)-before, int64(grown), "bytes more after reading on for %d frames", frames*5/6)

	rng := rand.New(rand.NewPCG(*seed, 1))
	for range 50 {
		read(rng.IntN(frames))
	}
	before = resident(t)
	for range 250 {
		read(rng.IntN(frames))
	}
	assert.Less(t, resident(t)-before, int64(grown), "bytes more after 250 seeks")
	assert.Contains(t, strings.Join(r.Source().Info().Warnings, " "), "slow for a golf swing")
}

// TestLargePicturesStayInTheBudget reads a 4K clip at 60 frames a second over
// and over with room for few of its pictures.
func TestLargePicturesStayInTheBudget(t *testing.T) {
	needFFmpeg(t)
	path := filepath.Join(t.TempDir(), "4k60.mp4")
	ffmpeg(t, "-f lavfi -i testsrc2=size=3840x2160:rate=60:duration=0.5 -c:v libx264 -preset ultrafast -pix_fmt yuv420p -g 15", path)
	before := resident(t)
	budget := NewBudget(100 << 20) // 8 pictures
	r := openReader(t, path, ReaderOptions{Budget: budget})
	info := r.Source().Info()
	require.Equal(t, [3]int{3840, 2160, 30}, [3]int{info.Width, info.Height, info.Frames})
	rng := rand.New(rand.NewPCG(*seed, 2))
	var most int64
	for round := range 3 {
		for _, n := range rng.Perm(info.Frames)[:10] {
			f, err := r.Read(context.Background(), n)
			require.NoError(t, err)
			f.Release()
			require.LessOrEqual(t, budget.Used(), budget.Limit())
		}
		now := resident(t) - before
		// The decoder's own: its threads' contexts and the pictures it refers to.
		const decoder = 400 << 20
		assert.Less(t, now, budget.Limit()+decoder, "bytes")
		if round == 0 {
			most = now
		}
		assert.Less(t, now, most+64<<20, "bytes after round %d", round)
	}
	require.NoError(t, r.Close())
	assert.Zero(t, budget.Used())
}
