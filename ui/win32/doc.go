// Package win32 joins the window to the desktop of Windows: it receives the files that are
// dropped on it, puts pictures on the clipboard, asks for files by the system's own dialog and
// knows the room on the screen. It calls the system without a compiler of C; what doesn't call
// it can be tested anywhere.
//
// The window has a thread of its own, which alone may register as a target of drops (OLE
// lives in apartments). Messages that the window doesn't know reach it there.
package win32
