package loudness

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A sine of 997 Hz at full scale in one channel is -3.01 LUFS (BS.1770-4, annex 1, the note
// to equation 2).
func TestTheSineOfTheStandard(t *testing.T) {
	v := make([]float32, 5*Rate)
	for i := range v {
		v[i] = float32(math.Sin(2 * math.Pi * 997 * float64(i) / Rate))
	}
	assert.InDelta(t, -3.01, Of(v), 0.02)
	assert.InDelta(t, 0, Peak(v[Rate:]), 0.2)
	assert.Equal(t, Silence, Of(make([]float32, Rate)))
	assert.Equal(t, Silence, Of(nil))
}

// speech is noise that comes and goes like words, with clicks in it.
func speech(seconds int, level float64) []float32 {
	r := rand.New(rand.NewPCG(3, 4))
	v := make([]float32, seconds*Rate)
	low := 0.0
	for i := range v {
		when := float64(i) / Rate
		low += 0.1 * (r.NormFloat64() - low)
		on := math.Max(0, math.Sin(2*math.Pi*when*1.7)) * math.Max(0, math.Sin(2*math.Pi*when*0.21))
		v[i] = float32(level * low * on)
		if i%(Rate*3/2) == 0 {
			v[i] = float32(level)
		}
	}
	return v
}

var integrated, truePeak = regexp.MustCompile(`I:\s+(-?[0-9.]+) LUFS`), regexp.MustCompile(`Peak:\s+(-?[0-9.]+) dBFS`)

// ebur128 is what FFmpeg's filter of that name says of sound.
func ebur128(t *testing.T, samples []float32) (lufs, peak float64) {
	t.Helper()
	data := make([]byte, 4*len(samples))
	for i, v := range samples {
		binary.LittleEndian.PutUint32(data[4*i:], math.Float32bits(v))
	}
	path := filepath.Join(t.TempDir(), "sound")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	out, err := exec.Command("ffmpeg", "-hide_banner", "-f", "f32le", "-ar", "48000", "-ac", "1", "-i", path, "-af", "ebur128=peak=true:framelog=verbose", "-f", "null", "-").CombinedOutput()
	if errors.Is(err, exec.ErrNotFound) && os.Getenv("CI") == "" {
		t.Skip("ffmpeg is not here")
	}
	require.NoError(t, err, "%s", out)
	last := func(re *regexp.Regexp) (v float64) {
		all := re.FindAllSubmatch(out, -1)
		require.NotEmpty(t, all, "%s", out)
		_, err := fmt.Sscan(string(all[len(all)-1][1]), &v)
		require.NoError(t, err)
		return v
	}
	return last(integrated), last(truePeak)
}

// The loudness and the peak are what FFmpeg finds, before and after; after, they are those
// that were asked for.
func TestAgainstFFmpeg(t *testing.T) {
	for _, level := range []float64{0.06, 0.3, 0.99} {
		v := speech(12, level)
		lufs, peak := ebur128(t, v)
		assert.InDelta(t, lufs, Of(v), 0.1)
		assert.InDelta(t, peak, Peak(v), 0.3)
		out := Normalize(v, -16, -1.5)
		lufs, peak = ebur128(t, out)
		t.Logf("level %g: %.1f LUFS, %.1f dBTP, of %.1f and %.1f", level, lufs, peak, Of(v), Peak(v))
		assert.InDelta(t, -16, lufs, 1)
		assert.Less(t, peak, -1.2) // FFmpeg's filter for peaks is another, some tenths apart
	}
	quiet := speech(12, 0.0005)
	assert.InDelta(t, Of(quiet)+mostGain, Of(Normalize(quiet, -16, -1.5)), 0.2, "what is hardly there is not made a roar")
}
