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

	"github.com/asticode/go-astiav"
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
	lufs, peak, err := Of(v)
	require.NoError(t, err)
	assert.InDelta(t, -3.01, lufs, 0.02)
	assert.InDelta(t, 0, peak, 0.2)
	for _, silent := range [][]float32{nil, make([]float32, Rate), v[:Rate/4]} {
		lufs, _, err := Of(silent)
		require.NoError(t, err)
		assert.Equal(t, Silence, lufs)
		same, err := Normalize(silent, -16, -1.5)
		require.NoError(t, err)
		assert.Equal(t, silent, same)
	}
}

func TestMain(m *testing.M) {
	astiav.SetLogLevel(astiav.LogLevelFatal) // as package video does
	m.Run()
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

// The loudness and the peak are what FFmpeg's command line finds, before and after; after,
// they are those that were asked for, and the sound is as long and where it was.
func TestAgainstFFmpeg(t *testing.T) {
	for _, level := range []float64{0.06, 0.3, 0.99} {
		v := speech(12, level)
		lufs, peak := ebur128(t, v)
		of, top, err := Of(v)
		require.NoError(t, err)
		assert.InDelta(t, lufs, of, 0.1)
		assert.InDelta(t, peak, top, 0.1)
		out, err := Normalize(v, -16, -1.5)
		require.NoError(t, err)
		assert.Len(t, out, len(v))
		assert.Zero(t, lag(v, out), "in samples")
		lufs, peak = ebur128(t, out)
		t.Logf("level %g: %.1f LUFS, %.1f dBTP, of %.1f and %.1f", level, lufs, peak, of, top)
		assert.InDelta(t, -16, lufs, 1)
		assert.LessOrEqual(t, peak, -1.4)
	}
	quiet := speech(12, 0.0005)
	was, _, err := Of(quiet)
	require.NoError(t, err)
	out, err := Normalize(quiet, -16, -1.5)
	require.NoError(t, err)
	now, _, err := Of(out)
	require.NoError(t, err)
	assert.InDelta(t, was+mostGain, now, 0.2, "what is hardly there is not made a roar")
}

// lag is by how many samples b comes after a, where they correlate best.
func lag(a, b []float32) (best int) {
	most := math.Inf(-1)
	for d := -400; d <= 400; d++ {
		sum := 0.0
		for i := Rate; i < 2*Rate; i++ {
			sum += float64(a[i]) * float64(b[i+d])
		}
		if sum > most {
			most, best = sum, d
		}
	}
	return best
}
