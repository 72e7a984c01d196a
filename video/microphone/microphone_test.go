package microphone_test

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/microphone"
	"turngauge/video/microphone/soundtest"
)

// The claps lie a quarter of a second apart in what is played, from this one on, seconds.
const (
	firstClap = 0.75
	claps     = 8
)

// clap has PulseAudio's own player play silence with loud milliseconds in it, and returns
// when the beginning was played by the player's own account: it says again and again how
// much of its stream has been played ("Time: 0.731 sec").
func clap(t *testing.T) time.Duration {
	t.Helper()
	samples := make([]byte, 2*3*microphone.Rate)
	for k := range claps {
		for i := range 48 {
			binary.LittleEndian.PutUint16(samples[2*(microphone.Rate*(3+k)/4+i):], 30000)
		}
	}
	path := filepath.Join(t.TempDir(), "clap")
	require.NoError(t, os.WriteFile(path, samples, 0o600))
	cmd := exec.Command("pacat", "--playback", "--verbose", "--raw", "--rate=48000", "--channels=1", "--format=s16le", "--device=room", path)
	said, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	var begun []time.Duration
	lines := bufio.NewScanner(said)
	lines.Split(func(data []byte, _ bool) (int, []byte, error) {
		if i := bytes.Index(data, []byte("usec.")); i >= 0 {
			return i + 5, data[:i], nil
		}
		return 0, nil, nil
	})
	for lines.Scan() {
		now := microphone.Now()
		var played float64
		_, after, _ := strings.Cut(lines.Text(), "Time: ")
		if n, _ := fmt.Sscan(after, &played); n == 1 && played > 0.3 && played < 2.9 {
			begun = append(begun, now-time.Duration(played*float64(time.Second)))
		}
	}
	require.NoError(t, cmd.Wait())
	require.NotEmpty(t, begun, "the player says nothing of its time")
	slices.Sort(begun)
	return begun[len(begun)/2]
}

// Claps that PulseAudio plays to its null sink are heard on the monitor when the player says
// that it plays them, to 20 ms. Where other programs keep the server waiting it plays late
// itself, so of eight claps the one in the middle counts, and of three tries the best.
func TestClapsAreHeardWhenTheyWere(t *testing.T) {
	var best float64
	for try := range 3 {
		t.Run(fmt.Sprint("try ", try+1), func(t *testing.T) { best = clapsOff(t) })
		if t.Failed() || math.Abs(best) <= 0.020 {
			break
		}
	}
	assert.InDelta(t, 0, best, 0.020)
}

// clapsOff is by how much claps are heard later than they were played, seconds.
func clapsOff(t *testing.T) float64 {
	soundtest.Start(t)
	r, err := microphone.Record(soundtest.Microphone)
	require.NoError(t, err)
	defer r.Close()
	for b := range r.Blocks() {
		if !b.Rough {
			break
		}
	}
	played := make(chan time.Duration, 1)
	go func() { played <- clap(t) }()
	// By the samples, whose clock is steady, and by when the first of them was by the times
	// of all: a single time is off where the computer is busy.
	var heard, starts []float64 // seconds
	n := 0
	for timeout := time.After(time.Minute); len(heard) < claps; {
		select {
		case b, open := <-r.Blocks():
			require.True(t, open, "%v", r.Err())
			starts = append(starts, b.At.Seconds()-float64(n)/microphone.Rate)
			for i, v := range b.Samples {
				at := float64(n+i) / microphone.Rate
				if v > 10000 && (len(heard) == 0 || at-heard[len(heard)-1] > 0.1) {
					assert.InDelta(t, 30000.0/(1<<15), b.Level(), 0.2)
					heard = append(heard, at)
				}
			}
			n += len(b.Samples)
		case <-timeout:
			t.Fatalf("%d claps were heard", len(heard))
		}
	}
	begun := (<-played).Seconds()
	slices.Sort(starts)
	start := starts[len(starts)/2]
	var off []float64
	for k, at := range heard {
		off = append(off, start+at-begun-firstClap-float64(k)/4)
	}
	slices.Sort(off)
	t.Logf("%.1f ms after they were played, from %.1f to %.1f; single times from %.1f to %.1f ms off", 1000*off[claps/2], 1000*off[0], 1000*off[claps-1],
		1000*(starts[0]-start), 1000*(starts[len(starts)-1]-start))
	return off[claps/2]
}

// Each way in which there is no sound is one sentence, and the end of the blocks.
func TestNoMicrophone(t *testing.T) {
	server := soundtest.Start(t)
	all, err := microphone.Devices(t.Context())
	require.NoError(t, err)
	require.Len(t, all, 1)
	assert.Equal(t, microphone.Device{ID: soundtest.Microphone, Name: "Monitor of Null Output"}, all[0])

	other, err := microphone.Record("pulse:that was unplugged")
	require.NoError(t, err)
	_, open := <-other.Blocks()
	assert.False(t, open)
	assert.ErrorContains(t, other.Err(), "plug it in")

	r, err := microphone.Record("")
	require.NoError(t, err)
	require.NotEmpty(t, (<-r.Blocks()).Samples)
	server.Stop() // as it is pulled out
	for range r.Blocks() {
	}
	assert.ErrorContains(t, r.Err(), "pulled out")
	r.Close()

	r, err = microphone.Record("")
	require.NoError(t, err)
	_, open = <-r.Blocks()
	if !open { // no ALSA either
		assert.ErrorContains(t, r.Err(), "no microphone")
	}
	r.Close()
	p, err := microphone.Play()
	require.NoError(t, err)
	for err == nil {
		err = p.Write(make([]int16, microphone.Rate/10))
		time.Sleep(10 * time.Millisecond)
	}
	assert.ErrorContains(t, err, "nothing to play sound through")
	p.Close()
}

// What is played is what the sink's monitor hears.
func TestWhatIsPlayed(t *testing.T) {
	soundtest.Start(t)
	r, err := microphone.Record(soundtest.Microphone)
	require.NoError(t, err)
	require.NotEmpty(t, (<-r.Blocks()).Samples)
	p, err := microphone.Play()
	require.NoError(t, err)
	defer p.Close()
	loud := make([]int16, microphone.Rate/2)
	for i := range loud {
		loud[i] = 16384
	}
	require.NoError(t, p.Write(loud))
	deadline := time.After(time.Minute)
	for n := 0; n < microphone.Rate/8; {
		select {
		case b, open := <-r.Blocks():
			require.True(t, open, "%v", r.Err())
			for _, v := range b.Samples {
				if v > 16000 && v < 17000 {
					n++
				}
			}
		case <-deadline:
			t.Fatalf("%d samples were heard", n)
		}
	}
	r.Close()
	for range r.Blocks() {
	}
	assert.NoError(t, r.Err())
}

// The process ends when this end of it is gone.
func TestItEndsWithItsParent(t *testing.T) {
	soundtest.Start(t)
	cmd := exec.Command("/proc/self/exe")
	cmd.Args = []string{"turngauge-microphone", "record", soundtest.Microphone}
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	var one [1]byte
	_, err = io.ReadFull(out, one[:])
	require.NoError(t, err)
	require.NoError(t, in.Close())
	done := make(chan error, 1)
	go func() { _, _ = io.Copy(io.Discard, out); done <- cmd.Wait() }()
	select {
	case <-done:
	case <-time.After(time.Minute):
		_ = cmd.Process.Signal(os.Kill)
		t.Fatal("it is still there")
	}
}
