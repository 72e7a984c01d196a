package video

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFurtherReadersShareOneIndex opens a clip a second time while it is open. That the
// frames which come by the index are right is shown by TestExactFrames.
func TestFurtherReadersShareOneIndex(t *testing.T) {
	t.Parallel()
	path := clip(t, "MKV")
	first, err := Open(path)
	require.NoError(t, err)
	defer first.Close()
	named, err := Open(path)
	require.NoError(t, err)
	defer named.Close()
	assert.Same(t, first.Index, named.Index)
}

// TestManyReadersOfOneIndex reads one clip by several readers at once; the race
// detector looks on (make race).
func TestManyReadersOfOneIndex(t *testing.T) {
	path := clip(t, "HEVC 8 bit open groups")
	x, err := ReadIndex(context.Background(), path)
	require.NoError(t, err)
	want := decodeWithCLI(t, path, x.Info())
	var readers sync.WaitGroup
	for k := range 4 {
		readers.Go(func() {
			s, err := x.Open(context.Background())
			if !assert.NoError(t, err) {
				return
			}
			r := NewReader(s, ReaderOptions{CacheBytes: 1})
			defer r.Close()
			for i := range 12 {
				n := (i*17 + k*5) % x.Frames()
				f, err := r.Read(context.Background(), n)
				if !assert.NoError(t, err) {
					return
				}
				assert.Equal(t, want.hashes[n], md5Of(planes(f)), "frame %d", n)
				f.Release()
			}
		})
	}
	readers.Wait()
}

// TestIndexesAreForgotten holds that the clips of a day do not pile up.
func TestIndexesAreForgotten(t *testing.T) {
	path := clip(t, "MOV")
	s, err := Open(path)
	require.NoError(t, err)
	known := func() bool {
		indexes.mu.Lock()
		defer indexes.mu.Unlock()
		_, ok := indexes.byPath[path]
		return ok
	}
	runtime.GC()
	require.True(t, known(), "as long as it is open")
	require.NoError(t, s.Close())
	s = nil
	require.Eventually(t, func() bool { runtime.GC(); return !known() }, 10*time.Second, 10*time.Millisecond)
}

// TestClipOpenedTwiceAtOnceHasOneIndex opens a clip from many sides before anybody has
// read it.
func TestClipOpenedTwiceAtOnceHasOneIndex(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clip.mov")
	data, err := os.ReadFile(clip(t, "MOV"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, data, 0o600))
	sources := make([]*Source, 8)
	var readers sync.WaitGroup
	for i := range sources {
		readers.Go(func() {
			s, err := openFirst(context.Background(), path)
			assert.NoError(t, err)
			sources[i] = s
		})
	}
	readers.Wait()
	for _, s := range sources {
		require.NotNil(t, s)
		assert.True(t, s.Index == sources[0].Index)
		assert.NoError(t, s.Close())
	}
}
