package annotations

import (
	"errors"
	"fmt"
	"syscall"

	"turngauge/annotations/place"
)

// Save writes the document of l to path, in one step (see package place). The
// error is a sentence for the coach.
func Save(path string, l *Lesson) error {
	data, err := l.Encode()
	if err != nil {
		return err
	}
	if err := place.Bytes(path, data); err != nil {
		return fmt.Errorf("the lesson can't be saved as %s: %w", path, Explain(err))
	}
	return nil
}

// plainError is a sentence in place of an error of the file system, which it
// still wraps.
type plainError struct {
	text  string
	cause error
}

func (e *plainError) Error() string { return e.text }
func (e *plainError) Unwrap() error { return e.cause }

// Explain puts the usual reasons why a file can't be written into words.
func Explain(err error) error {
	for _, r := range []struct {
		is   error
		text string
	}{
		{syscall.ENOSPC, "the disk is full; make room on it"},
		{syscall.EDQUOT, "your share of the disk is used up; make room on it"},
		{syscall.EROFS, "the disk is read-only; choose another folder"},
		{syscall.EACCES, "you may not write in this folder; choose another one"},
		{syscall.EPERM, "you may not write in this folder; choose another one"},
		{syscall.ENOENT, "the folder is not there any more"},
		{syscall.ENOTDIR, "the folder is not there any more"},
		{syscall.EIO, "the disk reports a fault; save to another one"},
	} {
		if errors.Is(err, r.is) {
			return &plainError{r.text, err}
		}
	}
	return err
}
