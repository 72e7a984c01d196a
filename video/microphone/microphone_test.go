package microphone_test

import (
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/microphone"
	"turngauge/video/microphone/soundtest"
)

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
	go func() { played <- soundtest.Clap(t) }()
	// By the samples, whose clock is steady, and by when the first of them was by the times
	// of all: a single time is off where the computer is busy.
	var heard, starts []float64 // seconds
	n := 0
	for timeout := time.After(time.Minute); len(heard) < soundtest.Claps; {
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
		off = append(off, start+at-begun-soundtest.ClapAt(k))
	}
	slices.Sort(off)
	t.Logf("%.1f ms after they were played, from %.1f to %.1f; single times from %.1f to %.1f ms off", 1000*off[soundtest.Claps/2], 1000*off[0], 1000*off[soundtest.Claps-1],
		1000*(starts[0]-start), 1000*(starts[len(starts)-1]-start))
	return off[soundtest.Claps/2]
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
