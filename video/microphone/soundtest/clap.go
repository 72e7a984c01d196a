package soundtest

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"turngauge/video/microphone"
)

// Claps is how many claps Clap plays.
const Claps = 8

// ClapAt is when clap k is, seconds after what is played begins.
func ClapAt(k int) float64 { return 0.75 + float64(k)/4 }

// Clap has PulseAudio's own player play silence with loud milliseconds in it, and returns
// when the beginning was played by the player's own account: it says again and again how
// much of its stream has been played ("Time: 0.731 sec"). It is not for the test's own
// goroutine alone, so it does not end the test: 0 where the player says nothing.
func Clap(t testing.TB) time.Duration {
	samples := make([]byte, 2*3*microphone.Rate)
	for k := range Claps {
		for i := range 48 {
			binary.LittleEndian.PutUint16(samples[2*(int(ClapAt(k)*microphone.Rate)+i):], 30000)
		}
	}
	path := filepath.Join(t.TempDir(), "clap")
	if err := os.WriteFile(path, samples, 0o600); err != nil {
		t.Error(err)
		return 0
	}
	cmd := exec.Command("pacat", "--playback", "--verbose", "--raw", "--rate=48000", "--channels=1", "--format=s16le", "--device=room", path)
	said, err := cmd.StderrPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Error(err)
		return 0
	}
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
	if err := cmd.Wait(); err != nil || len(begun) == 0 {
		t.Error("the player says nothing of its time: ", err)
		return 0
	}
	slices.Sort(begun)
	return begun[len(begun)/2]
}
