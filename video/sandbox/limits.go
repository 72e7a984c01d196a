package sandbox

import (
	"encoding/json"
	"errors"
	"fmt"
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

// What one message may hold. The other side may be in the hands of a hostile file.
const (
	mostText  = 8 << 20
	mostData  = 512 << 20
	mostFiles = 16
)

// marshal is the text of a message that is to be sent, which has bounds.
func marshal(text any, data []byte, files []*os.File) ([]byte, error) {
	t, err := json.Marshal(text)
	if err == nil && (len(t) > mostText || len(data) > mostData || len(files) > mostFiles) {
		err = fmt.Errorf("sandbox: a message of %d and %d bytes with %d files is too large", len(t), len(data), len(files))
	}
	return t, err
}

// CloseAll closes files that came with a message.
func CloseAll(files []*os.File) {
	for _, f := range files {
		f.Close()
	}
}
