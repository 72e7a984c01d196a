package video

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAMistakeInTheProgramCostsOnePicture gives the reader a decoder that
// panics: that picture fails with a sentence, and the next is decoded.
func TestAMistakeInTheProgramCostsOnePicture(t *testing.T) {
	s, err := Open(clip(t, "H.264 group of 30"))
	require.NoError(t, err)
	s.dec = &decoder{} // nothing in it is there to decode with
	r := NewReader(s, ReaderOptions{CacheBytes: 1})
	defer r.Close()

	_, err = r.Read(context.Background(), 3)
	require.ErrorContains(t, err, "mistake in the program")
	f, err := r.Read(context.Background(), 4)
	require.NoError(t, err)
	require.Equal(t, 4, f.Index)
	f.Release()
}
