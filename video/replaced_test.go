package video

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestAReplacedClipIsNotReadUnderTheOldIndex puts another clip of the same camera
// in a clip's place while it is open: nothing but its pictures differs. What the
// open file holds can still be read, also where the demuxer gets back to the beginning
// by opening it anew. Opening it by its name is refused: its frames would be taken for
// the old clip's.
func TestAReplacedClipIsNotReadUnderTheOldIndex(t *testing.T) {
	for _, k := range []string{"H.264 group of 30", "MPEG-TS"} {
		t.Run(k, func(t *testing.T) {
			original := clip(t, k)
			data, err := os.ReadFile(original)
			require.NoError(t, err)
			path := written(t, filepath.Base(original), data)
			s, err := Open(path)
			require.NoError(t, err)
			want := decodeWithCLI(t, original, s.Info())
			negative := filepath.Join(t.TempDir(), filepath.Base(original))
			ffmpeg(t, kindNamed(t, k).args+" -vf negate", negative)
			require.NoError(t, os.Rename(negative, path))
			require.ErrorIs(t, s.Check(), ErrChanged)
			_, err = s.Index.Open(context.Background())
			require.ErrorIs(t, err, ErrChanged)
			r := NewReader(s, ReaderOptions{CacheBytes: 1})
			defer r.Close()
			for _, n := range []int{s.Frames() - 1, 0, s.Frames() / 2, 3} {
				f, err := r.Read(context.Background(), n)
				require.NoError(t, err)
				assert.Equal(t, want.hashes[n], md5Of(planes(f)), "pixels of frame %d", n)
				f.Release()
			}

			// Opened by its name it is the other clip, with an index of its own.
			other, err := Open(path)
			require.NoError(t, err)
			defer other.Close()
			assert.NotSame(t, s.Index, other.Index)
		})
	}
}
