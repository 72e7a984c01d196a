package faultfs

import (
	"testing"

	"github.com/adrg/xdg"
)

// SetBase gives the test, and the programs that it runs, a folder of their own for what
// a variable of the XDG base directory specification names, such as XDG_STATE_HOME, or
// for HOME.
func SetBase(t testing.TB, variable, folder string) {
	t.Helper()
	t.Cleanup(xdg.Reload) // after the variable is back
	t.Setenv(variable, folder)
	xdg.Reload()
}
