package microphone

import (
	"time"

	"golang.org/x/sys/unix"
)

// systems are FFmpeg's names of what gives and takes sound, in the order of trying.
var systems = []string{"pulse", "alsa"}

// absent is why there can be no sound at all; nil here.
var absent error

// ownProgram is this program, also where its file has been replaced.
func ownProgram() (string, error) { return "/proc/self/exe", nil }

// Now is the time on the clock of Block.At.
func Now() time.Duration {
	var t unix.Timespec
	if unix.ClockGettime(unix.CLOCK_MONOTONIC, &t) != nil {
		return 0 // POSIX has this clock always; the call only fails on a bad address
	}
	return time.Duration(t.Nano())
}
