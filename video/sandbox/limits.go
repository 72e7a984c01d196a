package sandbox

import (
	"errors"
	"os"
)

// prefix is how the names of confined processes begin; confine_linux.c knows it.
const prefix = "turngauge-apart-"

// Name returns the name under which a process does a kind of work.
func Name(work string) string { return prefix + work }

// Limits is what a process may take.
type Limits struct {
	OwnBytes  uint64 // memory that is only its own (RLIMIT_DATA)
	FileBytes uint64 // length of one file, or of one piece of shared memory; 0 for any
	Files     uint64 // open at the same time
}

// State is how a process is confined.
type State struct {
	Landlock bool `json:"landlock"` // no file by its name
	Seccomp  bool `json:"seccomp"`  // only the system calls of a list
	Memory   bool `json:"memory"`   // a limit on its own memory
}

var errMessage = errors.New("sandbox: a message that is none")

// CloseAll closes files that came with a message.
func CloseAll(files []*os.File) {
	for _, f := range files {
		f.Close()
	}
}
