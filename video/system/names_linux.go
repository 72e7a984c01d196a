package system

import "os"

// Rename gives a file another name, in place of what has that.
func Rename(from, to string) error { return os.Rename(from, to) }

// OpenToSync opens a file or a folder that is to be brought to the disk; nil where the
// system needs no such thing.
func OpenToSync(path string) (*os.File, error) { return os.Open(path) }
