// Package desktop is the door between the window and the desktop it stands on: what
// the window wants of that and the toolkit does not give, files dropped on it and
// pictures on the clipboard. Each system has its room behind the door; ui/x11 is
// that of the X Window System.
package desktop

import "errors"

// Desktop is what the window has joined. Its methods are safe for concurrent use.
type Desktop interface {
	// CopyPNG puts a picture, encoded as PNG, on the clipboard.
	CopyPNG(data []byte) error
	// Close leaves the desktop. No drag is told of after it returns. Calling it
	// again does nothing.
	Close() error
}

// Kind says what happened to a drag.
type Kind int

// The kinds of Drag. A drag gives any number of Over and then exactly one Leave or Drop; a drag of
// something that is not files gives nothing until it is dropped all the same.
const (
	_     Kind = iota
	Over       // files are held over the window at X, Y
	Leave      // the drag went away, or was called off, without a drop
	Drop       // files were let go at X, Y: Paths, or Err, or both
)

// Drag is one step of a drag over the window.
type Drag struct {
	Kind  Kind
	X, Y  int      // pointer, pixels of the window from its upper left corner; for Drop where it was last seen
	Paths []string // Drop only: absolute local paths in the order of the source; not checked to exist

	// Err is a whole sentence for the coach when something dropped could not be taken. Paths may still
	// hold those that could.
	Err error
}

// Failure is an error whose text is a whole sentence for the coach.
type Failure struct {
	Text  string
	Cause error // what the system said, or nil
}

// Error returns the sentence.
func (f *Failure) Error() string { return f.Text }

// Unwrap returns the cause.
func (f *Failure) Unwrap() error { return f.Cause }

// Is reports two failures with the same sentence as the same.
func (f *Failure) Is(target error) bool {
	t, ok := target.(*Failure)
	return ok && t.Text == f.Text
}

// ErrNoDrops says that files can't be dropped on the window. The program works without; files are opened
// by other means.
var ErrNoDrops = &Failure{Text: "Files can't be dropped on the window on this desktop. Open them with the Open button instead."}

// ErrNoPictures says that no picture can be put on the clipboard.
var ErrNoPictures = errors.New("this desktop takes no pictures from the program")
