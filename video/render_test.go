package video

import (
	"context"
	"image"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRenderFullFrame(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bar.mp4")
	writeTestClip(t, path, WriterOptions{Width: 128, Height: 96, RateNum: 240}, 20)
	s, err := Open(path)
	require.NoError(t, err)
	r := NewReader(s, ReaderOptions{})
	defer r.Close()
	f, err := r.Read(context.Background(), 10)
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 128, 96))
	require.NoError(t, f.Render(img, f.Bounds()))
	c := img.RGBAAt(14, 50)
	require.InDelta(t, 14, c.R, 12)
	require.InDelta(t, 50, c.G, 12)
	require.Greater(t, c.B, uint8(200))
}
