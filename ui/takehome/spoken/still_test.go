package spoken

import (
	"bytes"
	"image"
	"image/jpeg"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/video"
)

// The picture is of the newest film that is there, in its shape, in a width of its own; a
// name that leads elsewhere is none.
func TestOf(t *testing.T) {
	dir := t.TempDir()
	out, err := video.Create(filepath.Join(dir, "film.mp4"), video.WriterOptions{Width: 720, Height: 1280, RateNum: 30, Preset: "ultrafast"})
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 720, 1280))
	for i := range img.Pix {
		img.Pix[i] = 150
	}
	for range 61 {
		require.NoError(t, out.WriteFrame(img))
	}
	require.NoError(t, out.Close())
	film := review.Review{ID: "a", Title: "For Mara", Film: "film.mp4"}
	taken := map[int]bool{315: true, 314: true}
	for _, all := range []review.List{{film}, {film, {ID: "b"}, {ID: "c", Film: "gone.mp4"}, {ID: "d", Film: "../" + filepath.Base(dir) + "/film.mp4"}}} {
		s := Of(t.Context(), all, dir, taken)
		require.NotNil(t, s)
		assert.Equal(t, "For Mara. The film that goes with this sheet: film.mp4 (0:02)", s.Caption())
		got, err := jpeg.Decode(bytes.NewReader(s.JPEG))
		require.NoError(t, err)
		assert.Equal(t, image.Pt(s.Width, s.Height), got.Bounds().Size())
		assert.InDelta(t, 720.0/1280, float64(s.Width)/float64(s.Height), 0.005)
		r, _, _, _ := got.At(100, 100).RGBA()
		assert.InDelta(t, 150, r>>8, 4)
		assert.True(t, taken[s.Width])
	}
	assert.Len(t, taken, 4)
	assert.Nil(t, Of(t.Context(), nil, dir, taken))
	assert.Nil(t, Of(t.Context(), review.List{{ID: "c", Film: "gone.mp4"}}, dir, taken))
}
