package place

import "errors"

// reason is an error of the system, and what a coach is told of it.
type reason struct {
	is   error
	text string
}

const (
	full       = "the disk is full; make room on it"
	quota      = "your share of the disk is used up; make room on it"
	readOnly   = "the disk is read-only; choose another folder"
	notAllowed = "you may not write in this folder; choose another one"
	gone       = "the folder is not there any more"
	faulty     = "the disk reports a fault; save to another one"
)

// Reason puts the usual reasons why a file can't be written into words; "" for others.
func Reason(err error) string {
	for _, r := range reasons {
		if errors.Is(err, r.is) {
			return r.text
		}
	}
	return ""
}

// IsReadOnly reports whether an error says that a disk takes nothing.
func IsReadOnly(err error) bool { return Reason(err) == readOnly }
