// Package lazy puts off loading two of FFmpeg's libraries until one of their functions is
// called. They are rarely needed, and bring half of what the dynamic loader had to do at
// each start of the program and of the processes that decode for it: with libavdevice and
// libavfilter it loads some 210 libraries in 90 ms of processor time, without them 135 in
// 30 ms (Debian 12).
//
// It defines each of their functions that the Go binding refers to (libraries_linux.c). The
// linker takes these, and then has no need of the libraries themselves (--as-needed). A
// function that is missing here shows in the program's list of needed libraries, at which
// the test looks. Where a library is not installed, functions fail as their own
// documentation says: with a negative error or a null pointer. On Windows both are linked as
// the others are.
package lazy

// #cgo pkg-config: libavdevice libavfilter libavutil
// #cgo linux LDFLAGS: -Wl,--as-needed -ldl
import "C"
