//go:build !unix

package xtest

import (
	"errors"
	"os"
)

// waitFor has no X servers to wait for on this system.
func waitFor(*os.File) error { return errors.ErrUnsupported }
