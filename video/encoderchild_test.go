package video

import (
	"image"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video/sandbox"
)

// encodeInside has clips encoded in this process until the test ends.
func encodeInside(t testing.TB) {
	t.Helper()
	before := startEncoder
	startEncoder = func() (encoderProcess, error) {
		here, file, err := sandbox.Pair()
		if err != nil {
			return nil, err
		}
		there, err := sandbox.NewLink(file)
		if err != nil {
			return nil, err
		}
		done := make(chan struct{})
		go func() {
			defer close(done)
			defer there.Close()
			serveEncoder(there)
		}()
		return insideEncoder{inside{here}, done}, nil
	}
	t.Cleanup(func() { startEncoder = before })
}

// insideEncoder is over once it has been killed, as a process is.
type insideEncoder struct {
	inside
	done chan struct{}
}

func (i insideEncoder) Kill() {
	i.Close()
	<-i.done
}

// TestTheWindowOutlivesTheEncoder ends the process that writes a clip by SIGSEGV. The
// clip fails with a sentence and leaves nothing, and the next one is written.
func TestTheWindowOutlivesTheEncoder(t *testing.T) {
	o := WriterOptions{Width: 64, Height: 48, RateNum: 60, AudioRate: 48000}
	dir := t.TempDir()
	path := filepath.Join(dir, "clip.mp4")
	img := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for n := range 10 {
		w, err := Create(path, o)
		require.NoError(t, err)
		require.NoError(t, w.WriteFrame(img))
		pid := w.encoder.process.(*sandbox.Process).PID()
		require.Positive(t, pid)
		require.NoError(t, syscall.Kill(pid, syscall.SIGSEGV))
		for k := 0; err == nil && k < 10_000; k++ { // until the signal has come
			if n%2 == 0 {
				err = w.WriteFrame(img)
			} else {
				err = w.WriteAudio(make([]float32, 4096))
			}
		}
		require.Error(t, err)
		require.ErrorContains(t, w.Close(), "was not written")
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Empty(t, left)
	}
	writeTestClip(t, path, o, 5)
	info, err := Probe(path)
	require.NoError(t, err)
	assert.Equal(t, 5, info.Frames)
	// Those of tests before are waited for as they end.
	assert.Eventually(t, func() bool { return zombies(t) == 0 }, time.Minute, 10*time.Millisecond)
}
