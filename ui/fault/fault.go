// Package fault turns a panic, which is a mistake in the program, into an error
// that can be told to the coach, so that one in a worker never takes the window
// and an unsaved lesson with it.
package fault

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"time"
)

// Error is a panic that was caught.
type Error struct {
	Value any    // what was panicked with
	Stack []byte // where
}

// Error is a sentence for the coach.
func (e *Error) Error() string {
	return fmt.Sprintf("it met a mistake in the program (%v)", e.Value)
}

// Unwrap returns the error that was panicked with, if it was one.
func (e *Error) Unwrap() error {
	err, _ := e.Value.(error)
	return err
}

// Catch, deferred, makes err an *Error where the function panics.
func Catch(err *error) {
	if v := recover(); v != nil {
		*err = &Error{Value: v, Stack: debug.Stack()}
	}
}

// Guard returns do with its panics made errors, for a goroutine of its own.
func Guard(do func() error) func() error {
	return func() (err error) {
		defer Catch(&err)
		return do()
	}
}

// keptReports is how many reports a folder holds before the oldest goes.
const keptReports = 20

// prefix and suffix make the name of a report, with the time between them.
const (
	prefix, suffix = "fault ", ".txt"
	timeInName     = "2006-01-02 15.04.05.000"
)

// Keep writes a report of e into dir, which is made if need be, and returns its
// path. The report names the version, the time and the trace, and holds nothing
// of a lesson.
func Keep(dir, version string, now time.Time, e *Error) (path string, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	path = filepath.Join(dir, prefix+now.Format(timeInName)+suffix)
	text := fmt.Sprintf("%s\n%s\n%v\n\n%s", version, now.Format(time.RFC3339), e.Value, e.Stack)
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return "", err
	}
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return "", err
	}
	if old, _ := filepath.Glob(filepath.Join(dir, prefix+"*"+suffix)); len(old) > keptReports {
		slices.Sort(old)
		for _, p := range old[:len(old)-keptReports] {
			_ = os.Remove(p) // the newest matter
		}
	}
	return path, nil
}
