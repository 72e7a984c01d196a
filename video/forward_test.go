package video

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reader that runs forward decodes every picture once, however slowly it is
// read from and with little memory: also where a frame is read again.
func TestForwardDecodesOnce(t *testing.T) {
	needFFmpeg(t)
	const frames = 150
	path := filepath.Join(t.TempDir(), "a.mp4")
	writeTestClip(t, path, WriterOptions{Width: 256, Height: 128, RateNum: 240, GOP: 12, BFrames: 2}, frames)
	r := openReader(t, path, ReaderOptions{CacheBytes: 20 * 256 * 128 * 3 / 2, Forward: true})
	defer r.Close()
	for n := 5; n < frames; n += 2 {
		for range 1 + n%3 {
			f, err := r.Read(context.Background(), n)
			require.NoError(t, err)
			assert.Equal(t, n, f.Index)
			f.Release()
			time.Sleep(2 * time.Millisecond) // for decoding ahead to fill the cache
		}
	}
	s := r.Stats()
	assert.Equal(t, 1, s.Seeks)
	assert.LessOrEqual(t, s.Decoded, frames)
}
