package video

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAMistakeInTheProgramCostsOnePicture gives the reader a decoder that
// panics: that picture fails with a sentence, and the others are decoded.
func TestAMistakeInTheProgramCostsOnePicture(t *testing.T) {
	s, err := Open(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	s.run = &run{s: s} // nothing in it is there to decode with
	r := NewReader(s, ReaderOptions{CacheBytes: 1})
	defer r.Close()

	// It costs the picture that was decoded first: that of the first read, or one
	// that is decoded ahead before.
	failed := 0
	for n := range 12 {
		f, err := r.Read(context.Background(), n)
		if err != nil {
			require.ErrorContains(t, err, "mistake in the program")
			failed++
			continue
		}
		require.Equal(t, n, f.Index)
		f.Release()
	}
	require.Equal(t, 1, failed)
}
