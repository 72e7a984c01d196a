package video

import (
	"context"
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var trials = flag.Int("trials", 30, "how often a clip is taken away, cut off or replaced while it is read")

// TestClipsThatChangeAtRandomMoments takes a clip away, cuts it off, and puts
// another in its place, while it is being read. A frame that is had is that frame
// of the clip that was opened, to the pixel, as the ffmpeg command line decodes
// it; all others are refused with a sentence, and Check says what happened.
func TestClipsThatChangeAtRandomMoments(t *testing.T) {
	source := clip(t, "H.264 group of 30")
	a, err := os.ReadFile(source)
	require.NoError(t, err)
	// Another swing filmed with the same camera: nothing but its pictures differs.
	otherPath := filepath.Join(t.TempDir(), "b.mp4")
	ffmpeg(t, picture240+h264+"-vf negate", otherPath)
	b, err := os.ReadFile(otherPath)
	require.NoError(t, err)
	info, err := Probe(source)
	require.NoError(t, err)
	want := decodeWithCLI(t, source, info)

	rng := rand.New(rand.NewPCG(*seed, 6))
	changes := []struct {
		name string
		do   func(path string, at int64) error
		kind error
	}{
		{"taken away", func(p string, _ int64) error { return os.Remove(p) }, ErrMissing},
		{"renamed", func(p string, _ int64) error { return os.Rename(p, p+".away") }, ErrMissing},
		{"replaced", func(p string, _ int64) error {
			return errors.Join(os.WriteFile(p+".new", b, 0o600), os.Rename(p+".new", p))
		}, ErrChanged},
		{"overwritten", func(p string, _ int64) error { return os.WriteFile(p, b, 0o600) }, ErrChanged},
		{"cut off", os.Truncate, ErrChanged},
	}
	shown, refused, wrong := 0, 0, 0
	count := make(map[string]int)
	for n := range *trials {
		path := filepath.Join(t.TempDir(), "clip.mp4")
		require.NoError(t, os.WriteFile(path, a, 0o600))
		s, err := Open(path)
		require.NoError(t, err)
		r := NewReader(s, ReaderOptions{CacheBytes: 1})
		c := changes[rng.IntN(len(changes))]
		count[c.name]++
		wait, cut := time.Duration(rng.IntN(20_000))*time.Microsecond, rng.Int64N(int64(len(a)))
		var changing sync.WaitGroup
		changing.Go(func() {
			time.Sleep(wait)
			assert.NoError(t, c.do(path, cut))
		})
		for range 25 {
			at := rng.IntN(info.Frames)
			f, err := r.Read(context.Background(), at)
			if err != nil {
				require.True(t, errors.Is(err, ErrChanged) || errors.Is(err, ErrFrameUnavailable) || errors.Is(err, ErrMissing), "%v", err)
				refused++
				continue
			}
			shown++
			if md5Of(planes(f)) != want.hashes[at] {
				wrong++
				t.Logf("trial %d, %s: frame %d is another picture, damaged: %v", n, c.name, at, f.Damaged)
			}
			f.Release()
		}
		changing.Wait()
		require.ErrorIs(t, s.Check(), c.kind, c.name)
		require.NoError(t, r.Close())
		require.NoError(t, os.WriteFile(path, a, 0o600)) // it is there again
		_, err = Probe(path)
		require.NoError(t, err)
	}
	assert.Zero(t, wrong, "pictures of another clip under this one's numbers")
	t.Logf("clips %v: %d frames shown, each the right one, %d refused with a sentence", count, shown, refused)
}
