package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"turngauge/video"
	"turngauge/video/sandbox/oldsystem"
)

// soundClip writes two seconds of pictures with a quiet noise and a click that
// rings off at the given second, and returns its path.
func soundClip(t *testing.T, click float64) string {
	t.Helper()
	const rate, sounds = 60, 48000
	path := filepath.Join(t.TempDir(), "sound.mp4")
	w, err := video.Create(path, video.WriterOptions{Width: 160, Height: 96, RateNum: rate, RateDen: 1, AudioRate: sounds})
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 1))
	picture := image.NewRGBA(image.Rect(0, 0, 160, 96))
	for i := range 2 * rate {
		for k := range picture.Pix {
			picture.Pix[k] = byte(i + k/640)
		}
		require.NoError(t, w.WriteFrame(picture))
		samples := make([]float32, sounds/rate)
		for k := range samples {
			at := float64(i*len(samples)+k)/sounds - click
			v := 0.002 * rng.NormFloat64()
			if at >= 0 {
				v += 0.5 * math.Exp(-at/0.003) * math.Sin(2*math.Pi*5000*at+1)
			}
			samples[k] = float32(v)
		}
		require.NoError(t, w.WriteAudio(samples))
	}
	require.NoError(t, w.Close())
	return path
}

func TestProbeTellsAllThereIs(t *testing.T) {
	const click = 1.2345
	path := soundClip(t, click)
	stdout, stderr, code := program(t, "probe", "--decode", "--json", path)
	require.Equal(t, 0, code, stderr)
	var p probed
	require.NoError(t, json.Unmarshal([]byte(stdout), &p))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	sum := sha256.Sum256(data)
	assert.Equal(t, hex.EncodeToString(sum[:]), p.Fingerprint)
	require.NotEmpty(t, p.Strikes)
	assert.InDelta(t, click, p.Strikes[0].Seconds, 0.002)
	assert.Equal(t, 74, p.Strikes[0].Frame)
	assert.True(t, p.Strikes[0].Sure)
	require.NotNil(t, p.Decoded)
	assert.Empty(t, p.Decoded.Refused)
	assert.GreaterOrEqual(t, p.PictureBytes, int64(160*96*3/2))

	stdout, stderr, code = program(t, "probe", "--decode", path)
	require.Equal(t, 0, code, stderr)
	for _, want := range []string{"strike", "in frame 74", "sure", "memory", p.Fingerprint, "120 of 120 frames", "in a process of its own, without files, network or other programs"} {
		assert.Contains(t, stdout, want)
	}
}

// TestProbeCountsWhatCanNotBeDecoded spoils the pictures in the middle of a clip.
func TestProbeCountsWhatCanNotBeDecoded(t *testing.T) {
	data, err := os.ReadFile(clip(t))
	require.NoError(t, err)
	for i := len(data) / 2; i < len(data)/2+len(data)/8; i++ {
		data[i] = 0xff
	}
	stdout, stderr, code := program(t, "probe", "--decode", write(t, "hurt.mp4", string(data)))
	require.Equal(t, 0, code, stderr)
	assert.Contains(t, stdout, "  note: ")
	assert.NotContains(t, stdout, "48 of 48 frames, 0 packets bad, 0 pictures damaged")
}

// TestProbeTellsOfASystemWithoutASandbox decodes on systems that lack what confines the
// process that decodes: the clip is read all the same, every frame, and what could not be
// had is told, to people and to programs.
func TestProbeTellsOfASystemWithoutASandbox(t *testing.T) {
	path := clip(t)
	want, stderr, code := program(t, "probe", "--decode", "--json", path)
	require.Equal(t, 0, code, stderr)
	var whole probed
	require.NoError(t, json.Unmarshal([]byte(want), &whole))
	require.Empty(t, whole.Unconfined)
	for lacking, says := range map[string]string{
		"seccomp,landlock":           "this system has neither seccomp nor Landlock",
		"no seccomp,landlock,limits": "this system has neither seccomp nor Landlock",
		"seccomp":                    "it may make any system call, though it can open no files",
		"limits":                     "its memory is not limited",
		"landlock":                   "", // the list of system calls leaves no way to open a file
	} {
		if lacking == "seccomp" && !landlockHere() {
			says = "this system has neither seccomp nor Landlock"
		}
		t.Run(lacking, func(t *testing.T) {
			t.Setenv(oldsystem.Variable, lacking)
			stdout, stderr, code := program(t, "probe", "--decode", "--json", path)
			require.Equal(t, 0, code, stderr)
			var p probed
			require.NoError(t, json.Unmarshal([]byte(stdout), &p))
			assert.Equal(t, says, p.Unconfined)
			p.Unconfined = ""
			assert.Equal(t, whole, p, "what is told of the clip")

			stdout, stderr, code = program(t, "probe", path)
			require.Equal(t, 0, code, stderr)
			if says == "" {
				assert.Contains(t, stdout, "in a process of its own, without files, network or other programs")
			} else {
				assert.Contains(t, stdout, "in a process of its own that is not fully confined: "+says)
			}
		})
	}
}

// landlockHere reports whether the kernel has Landlock (landlock_create_ruleset(2): asked
// for its version it answers one, or ENOSYS).
func landlockHere() bool {
	version, _, errno := unix.Syscall(unix.SYS_LANDLOCK_CREATE_RULESET, 0, 0, unix.LANDLOCK_CREATE_RULESET_VERSION)
	return errno == 0 && version > 0
}
