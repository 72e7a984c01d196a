package film

import (
	"image"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/ui/x11/xtest"
	"turngauge/video"
)

// A film that is to be small is, in pictures that move all over, which are the most that a
// film can be; ffprobe reads all of it. What can't be is said, and leaves nothing behind.
func TestAtMostSoLarge(t *testing.T) {
	t.Parallel()
	ffprobe := xtest.Need(t, "ffprobe")
	l, path := fixture(t)
	c := l.Swings[0].ClipOf(geometry.FaceOn)
	rough(t, c.PathIn(filepath.Dir(path)), c.Width, c.Height)
	const length = 2
	states := map[float64]review.State{}
	for i := range 4 * length {
		states[float64(i)/4] = review.State{Swing: l.Swings[0].ID, Views: []review.View{view(l, c.ID, 3*i)}}
	}
	voice := make([]int16, length*review.Rate)
	r := rand.New(rand.NewPCG(7, 8))
	for i := range voice {
		voice[i] = int16(3000 * r.NormFloat64())
	}
	q := Request{Lesson: l, Path: path, Review: recorded(t, path, length, voice, states), MP4: filepath.Join(t.TempDir(), "film.mp4")}
	made := func() (bytes int64, width string, last int) {
		last = -1
		q.Progress = func(done, total int) {
			assert.GreaterOrEqual(t, done*1000/total, last, "progress goes back")
			last = done * 1000 / total
		}
		_, err := Write(t.Context(), q)
		require.NoError(t, err)
		info, err := os.Stat(q.MP4)
		require.NoError(t, err)
		out, err := exec.Command(ffprobe, "-v", "error", "-count_frames", "-select_streams", "v", "-show_entries", "stream=width,nb_read_frames", "-of", "csv=p=0", q.MP4).CombinedOutput()
		require.NoError(t, err)
		fields := strings.Split(strings.TrimSpace(string(out)), ",")
		require.Len(t, fields, 2, "%s", out)
		assert.Equal(t, "60", fields[1])
		return info.Size(), fields[0], last
	}
	whole, width, last := made()
	assert.Equal(t, "1280", width)
	assert.Equal(t, 1000, last)
	for _, share := range []float64{1.2, 0.6, 0.1} {
		q.MostMB = share * float64(whole) / 1e6
		bytes, width, last := made()
		t.Logf("%d bytes at any size, %d of %.0f, %s wide", whole, bytes, q.MostMB*1e6, width)
		assert.LessOrEqual(t, float64(bytes), q.MostMB*1e6)
		assert.Equal(t, 1000, last)
		assert.Equal(t, share > 0.5, width == "1280", "smaller pictures, not mush")
		if share > 1 {
			assert.Equal(t, whole, bytes, "there was no need")
		} else {
			assert.Greater(t, float64(bytes), 0.5*q.MostMB*1e6, "the room is used")
		}
	}
	q.Progress = nil
	q.MostMB, q.MP4 = 0.002, filepath.Join(t.TempDir(), "small.mp4")
	_, err := Write(t.Context(), q)
	require.ErrorContains(t, err, "can't be as small as 0.002 MB: allow ")
	left, err := os.ReadDir(filepath.Dir(q.MP4))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// rough writes a clip that takes many bytes.
func rough(t *testing.T, path string, w, h int) {
	r := rand.New(rand.NewPCG(1, 1))
	out, err := video.Create(path, video.WriterOptions{Width: w, Height: h, RateNum: 24, GOP: 12, CRF: 20, Preset: "ultrafast"})
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for range 58 {
		for y := range h {
			for x := range w {
				if i := img.PixOffset(x, y); (x|y)%6 == 0 {
					img.Pix[i] = uint8(r.IntN(200))
				} else {
					img.Pix[i] = img.Pix[img.PixOffset(x/6*6, y/6*6)]
				}
			}
		}
		require.NoError(t, out.WriteFrame(img))
	}
	require.NoError(t, out.Close())
}
