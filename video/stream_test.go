package video

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// streamOf opens a clip as the process that decodes it does, in this one.
func streamOf(t testing.TB, path string) (*stream, []rawPacket) {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	s, raw, err := openStream(context.Background(), clipFile{f, path}, func() {})
	require.NoError(t, err)
	t.Cleanup(func() {
		s.close()
		f.Close()
	})
	return s, raw
}
