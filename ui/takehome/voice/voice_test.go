package voice

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each sample belongs to one frame, in order, and silence follows: 20 samples at 46 a
// second, under 4 frames a second,
// are 11 or 12 a frame.
func TestSamplesGoAlongWithTheFrames(t *testing.T) {
	track := &Track{Rate: 46}
	for i := range 20 {
		track.samples = append(track.samples, float32(i+1))
	}
	assert.Equal(t, 2, track.Frames(4))
	var all []float32
	for n := 1; n <= 4; n++ {
		all = append(all, track.Upto(n, 4)...)
	}
	assert.Len(t, all, 46)
	for i, v := range all {
		want := float32(0)
		if i < 20 {
			want = float32(i + 1)
		}
		assert.Equal(t, want, v)
	}
	var none *Track
	assert.Zero(t, none.Frames(30))
	assert.Empty(t, none.Upto(5, 30))
}

// A WAV file as FFmpeg writes it, in three formats, comes back as the sine that it was
// asked for.
func TestWaveFilesOfFFmpeg(t *testing.T) {
	for _, codec := range []string{"pcm_s16le", "pcm_s24le", "pcm_f32le", "pcm_u8"} {
		path := filepath.Join(t.TempDir(), "voice.wav")
		cmd := exec.Command("ffmpeg", "-loglevel", "error", "-f", "lavfi", "-i", "aevalsrc=0.5*sin(2*PI*100*t)|0.25*sin(2*PI*100*t):s=8000:d=1", "-c:a", codec, path)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Skipf("ffmpeg is not here: %v %s", err, out)
		}
		track, err := Read(t.Context(), path)
		require.NoError(t, err)
		require.Equal(t, 8000, track.Rate)
		require.Len(t, track.samples, 8000)
		for i, v := range track.samples {
			assert.InDelta(t, 0.375*math.Sin(2*math.Pi*100*float64(i)/8000), v, 0.01)
		}
	}
	path := filepath.Join(t.TempDir(), "voice.wav")
	require.NoError(t, os.WriteFile(path, []byte("RIFF1234WAVEfmt "), 0o644))
	_, err := Read(t.Context(), path)
	assert.ErrorContains(t, err, "Give a WAV file")
}
