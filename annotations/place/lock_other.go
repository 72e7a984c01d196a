//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package place

import (
	"errors"
	"io/fs"
	"os"
)

const noFollow, noWait = 0, 0

func ownedByUser(fs.FileInfo) bool { return true }

func hasOtherNames(fs.FileInfo) bool { return false }

// flock has no locks to give on this system: two windows are not kept apart.
func flock(*os.File) (held bool, err error) { return false, errors.ErrUnsupported }
