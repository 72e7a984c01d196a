//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package place

import (
	"errors"
	"os"
)

// flock has no locks to give on this system: two windows are not kept apart.
func flock(*os.File) (held bool, err error) { return false, errors.ErrUnsupported }
