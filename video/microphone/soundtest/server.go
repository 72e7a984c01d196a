// Package soundtest gives tests a sound server without a sound card: PulseAudio with a
// sink that goes nowhere, whose monitor is the microphone. It is for tests only.
package soundtest

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Server is a running PulseAudio.
type Server struct {
	dir string
	cmd *exec.Cmd
}

// Microphone is the ID of the server's microphone, for microphone.Record.
const Microphone = "pulse:room.monitor"

// Start starts a server for a test, and has this process and those that it starts use it.
// Where PulseAudio is not installed the test is skipped, in CI it fails; where the system
// does not let it run the test is skipped.
func Start(t testing.TB) *Server {
	t.Helper()
	s := &Server{dir: t.TempDir()}
	for _, e := range s.Environment() {
		name, value, _ := strings.Cut(e, "=")
		t.Setenv(name, value)
	}
	return s.start(t)
}

// StartApart is Start for a test that runs beside others: only processes that are given the
// server's Environment use it.
func StartApart(t testing.TB) *Server {
	t.Helper()
	return (&Server{dir: t.TempDir()}).start(t)
}

// Environment has programs use the server.
func (s *Server) Environment() []string {
	return []string{"HOME=" + s.dir, "XDG_RUNTIME_DIR=" + s.dir, "PULSE_SERVER=unix:" + s.socket()}
}

func (s *Server) start(t testing.TB) *Server {
	t.Helper()
	path, err := exec.LookPath("pulseaudio")
	if _, err2 := exec.LookPath("pacat"); err != nil || err2 != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("PulseAudio is not installed; \"make test\" installs it")
		}
		t.Skip("PulseAudio is not here")
	}
	// "-n": nothing of the computer's own; it runs as root too, with a warning.
	s.cmd = exec.Command(path, "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm=yes",
		"--realtime=no", "--high-priority=no",
		"--load=module-null-sink sink_name=room rate=48000", // before anybody can ask for it
		"--load=module-native-protocol-unix auth-anonymous=1 socket="+s.socket())
	s.cmd.Env = append(os.Environ(), s.Environment()...)
	if err := s.cmd.Start(); err != nil {
		t.Skip("PulseAudio does not start: ", err)
	}
	t.Cleanup(s.Stop)
	for range 200 {
		if c, err := net.Dial("unix", s.socket()); err == nil {
			c.Close()
			return s
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Skip("PulseAudio does not come up here")
	return nil
}

func (s *Server) socket() string { return filepath.Join(s.dir, "socket") }

// Take has the microphone give nothing any more, as when another program takes a device for
// itself, or lets it go.
func (s *Server) Take(t testing.TB, taken bool) {
	t.Helper()
	what := "0"
	if taken {
		what = "1"
	}
	cmd := exec.Command("pactl", "suspend-sink", "room", what)
	cmd.Env = append(os.Environ(), s.Environment()...)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
}

// Stop ends the server, as when a microphone is pulled out. Further calls do nothing.
func (s *Server) Stop() {
	if s.cmd.ProcessState == nil {
		_ = s.cmd.Process.Kill() // may have ended by now
		_ = s.cmd.Wait()
	}
}
