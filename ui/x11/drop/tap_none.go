//go:build !linux || android || nox11 || !cgo

package drop

import (
	"unsafe"

	"github.com/jezek/xgb"
)

// tap is not to be had where the toolkit does not use Xlib.
type tap struct{}

func openTap(unsafe.Pointer, wire) *tap           { return nil }
func (*tap) incoming() <-chan xgb.Event           { return nil }
func (*tap) close()                               {}
func displayName(unsafe.Pointer) (display string) { return "" }
