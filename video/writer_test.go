package video

import (
	"context"
	"crypto/sha256"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/sound"
)

// writeTestClip writes frames pictures of a moving bar and, with sound, a tone.
func writeTestClip(t testing.TB, path string, o WriterOptions, frames int) {
	t.Helper()
	w, err := Create(path, o)
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, o.Width, o.Height))
	perFrame := 0
	if o.AudioRate > 0 {
		perFrame = o.AudioRate / o.RateNum
	}
	tone := make([]float32, perFrame)
	for n := range frames {
		for y := range o.Height {
			for x := range o.Width {
				i := img.PixOffset(x, y)
				img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = uint8(x), uint8(y), 0, 255
				if x >= n && x < n+8 {
					img.Pix[i+2] = 255
				}
			}
		}
		require.NoError(t, w.WriteFrame(img))
		for i := range tone {
			tone[i] = float32(0.3 * math.Sin(float64(n*perFrame+i)*2*math.Pi*440/float64(o.AudioRate)))
		}
		if perFrame > 0 {
			require.NoError(t, w.WriteAudio(tone))
		}
	}
	require.NoError(t, w.Close())
}

func TestWriter(t *testing.T) {
	needFFmpeg(t)
	o := WriterOptions{Width: 128, Height: 96, RateNum: 240, BFrames: 2, AudioRate: 48000, Comment: "made up"}
	a, b := filepath.Join(t.TempDir(), "a.mp4"), filepath.Join(t.TempDir(), "b.mp4")
	writeTestClip(t, a, o, 100)
	writeTestClip(t, b, o, 100)
	dataA, err := os.ReadFile(a)
	require.NoError(t, err)
	dataB, err := os.ReadFile(b)
	require.NoError(t, err)
	assert.Equal(t, sha256.Sum256(dataA), sha256.Sum256(dataB), "the same input must give the same bytes")
	assert.NoFileExists(t, a+".part")

	out, err := exec.Command("ffprobe", "-v", "error", "-count_frames", "-show_entries",
		"stream=codec_name,width,height,pix_fmt,color_space,color_range,color_primaries,color_transfer,has_b_frames,r_frame_rate,nb_read_frames,start_time,sample_rate,channels:format_tags=comment",
		"-of", "default=nw=1", a).CombinedOutput()
	require.NoError(t, err, string(out))
	for _, want := range []string{"codec_name=h264", "width=128", "height=96", "pix_fmt=yuv420p", "color_space=bt709",
		"color_range=tv", "color_primaries=bt709", "color_transfer=bt709", "r_frame_rate=240/1", "nb_read_frames=100",
		"start_time=0.000000", "codec_name=aac", "sample_rate=48000", "channels=1", "TAG:comment=made up"} {
		assert.Contains(t, strings.Split(string(out), "\n"), want)
	}
	assert.Less(t, strings.Index(string(dataA), "moov"), strings.Index(string(dataA), "mdat"), "the index must stand at the front")
}

func TestWriterStoresRotation(t *testing.T) {
	for _, deg := range []int{0, 90, 180, 270} {
		path := filepath.Join(t.TempDir(), "turned.mp4")
		writeTestClip(t, path, WriterOptions{Width: 64, Height: 32, RateNum: 60, RotationDeg: deg}, 3)
		info, err := Probe(path)
		require.NoError(t, err)
		assert.Equal(t, deg, info.RotationDeg)
	}
}

func TestWriterRefusesNonsense(t *testing.T) {
	dir := t.TempDir()
	for name, o := range map[string]WriterOptions{
		"odd width": {Width: 63, Height: 32, RateNum: 60}, "no rate": {Width: 64, Height: 32}, "a turn by 45": {Width: 64, Height: 32, RateNum: 60, RotationDeg: 45},
	} {
		_, err := Create(filepath.Join(dir, "x.mp4"), o)
		require.Error(t, err, name)
	}
	_, err := Create(filepath.Join(dir, "none", "x.mp4"), WriterOptions{Width: 64, Height: 32, RateNum: 60})
	require.ErrorContains(t, err, "does not exist")
	w, err := Create(filepath.Join(dir, "y.mp4"), WriterOptions{Width: 64, Height: 32, RateNum: 60})
	require.NoError(t, err)
	require.Error(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 10, 10))))
	require.Error(t, w.WriteAudio([]float32{0}))
	w.Abort()
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left, "nothing may be left behind")
}

// TestAudioLiesOnThePicturesClock writes a click at a known time through AAC
// and finds it there again, with the encoder's delay removed.
func TestAudioLiesOnThePicturesClock(t *testing.T) {
	const rate, at = 48000, 0.7
	path := filepath.Join(t.TempDir(), "click.mp4")
	w, err := Create(path, WriterOptions{Width: 64, Height: 32, RateNum: 60, AudioRate: rate})
	require.NoError(t, err)
	img := image.NewRGBA(image.Rect(0, 0, 64, 32))
	samples := make([]float32, rate)
	for i := range 200 {
		samples[int(at*rate)+i] = float32(math.Exp(-float64(i)/40) * math.Sin(float64(i)*0.5))
	}
	for n := range 60 {
		require.NoError(t, w.WriteFrame(img))
		require.NoError(t, w.WriteAudio(samples[n*800:(n+1)*800]))
	}
	require.NoError(t, w.Close())
	a, err := ReadAudio(context.Background(), path)
	require.NoError(t, err)
	strikes := sound.FindStrikes(a.Samples, a.Rate)
	require.NotEmpty(t, strikes)
	assert.InDelta(t, at, a.Start+strikes[0].Seconds, 0.001, "seconds")

	silent := filepath.Join(t.TempDir(), "silent.mp4")
	writeTestClip(t, silent, WriterOptions{Width: 64, Height: 32, RateNum: 60}, 3)
	_, err = ReadAudio(context.Background(), silent)
	require.ErrorIs(t, err, ErrNoAudio)
}

func BenchmarkWriteFrame(b *testing.B) {
	if *decodeHere {
		encodeInside(b)
	}
	w, err := Create(filepath.Join(b.TempDir(), "w.mp4"), WriterOptions{Width: 1920, Height: 1080, RateNum: 240, BFrames: 2})
	require.NoError(b, err)
	img := image.NewRGBA(image.Rect(0, 0, 1920, 1080))
	for i := range img.Pix {
		img.Pix[i] = uint8(i*i>>8 + i>>12)
	}
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, w.WriteFrame(img))
	}
	b.StopTimer()
	require.NoError(b, w.Close())
}
