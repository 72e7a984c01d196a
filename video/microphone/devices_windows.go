package microphone

import (
	"errors"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// systems are FFmpeg's names of what gives and takes sound, in the order of trying. It has
// DirectShow to record by, which nobody has tried with the program, and nothing to play by.
var systems []string

// absent is why there can be no sound at all.
var absent = errors.New("on Windows the program can neither record nor play sound yet: a review can be made without a voice")

func ownProgram() (string, error) { return os.Executable() }

// Now is the time on the clock of Block.At: since the start of the system, in milliseconds.
func Now() time.Duration { return windows.DurationSinceBoot() }
