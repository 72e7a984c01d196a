package saver

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/place"
)

const (
	// saveDelay is how long a change waits for others to be written with it.
	saveDelay = 250 * time.Millisecond
	// retryDelay is how long after a failure saving is tried again unasked.
	retryDelay = 5 * time.Second
)

// Saver keeps a lesson document up to date in the background. While it is
// open no other Saver, in this process or another, can have the document. Its
// methods are safe for concurrent use.
type Saver struct {
	path    string
	onError func(error)
	replace func(path string, data []byte) error
	lock    *place.Lock

	wake chan struct{}
	stop chan struct{}
	done chan struct{}

	mu      sync.Mutex          // guards the next three
	pending *annotations.Lesson // newest lesson not yet on the disk
	closed  bool
	problem string // reported last, "" when saving works

	writing sync.Mutex  // held while a document is written; guards seen
	seen    fs.FileInfo // the document as this Saver knows it; nil where there is none
}

// NotSavedError says why a lesson is not at its place and where it is instead.
type NotSavedError struct {
	Path  string
	Spare string // path of the spare copy; "" where that could not be written either
	Cause error
}

// Error is a sentence for the coach.
func (e *NotSavedError) Error() string {
	if e.Spare == "" {
		return fmt.Sprintf("the lesson can't be saved as %s: %v. It is only in this window: leave it open until that is mended", e.Path, e.Cause)
	}
	return fmt.Sprintf("the lesson can't be saved as %s: %v. A copy is safe as %s, and saving is tried again", e.Path, e.Cause, e.Spare)
}

// Unwrap returns the cause.
func (e *NotSavedError) Unwrap() error { return e.Cause }

// SavedAgain tells that saving works again after a *NotSavedError.
type SavedAgain struct{ Path string }

// Error is a sentence for the coach.
func (e *SavedAgain) Error() string {
	return fmt.Sprintf("Saving works again: the lesson is safe as %s", e.Path)
}

// ChangedElsewhereError says that another program changed the document while
// it was open here. The lesson is saved; the other version is kept as Kept.
type ChangedElsewhereError struct{ Path, Kept string }

// Error is a sentence for the coach.
func (e *ChangedElsewhereError) Error() string {
	return fmt.Sprintf("%s was changed by another program while it was open here: that version is kept as %s", e.Path, e.Kept)
}

// Open takes the document at path, which need not exist yet, for saving.
// The error is an *InUseError where another window has it. Temporary files of
// a killed program are cleaned up.
//
// onError is called, never twice at once, from a goroutine of the Saver or
// from Flush and Close: with a *NotSavedError when saving starts to fail or
// fails for another reason, with *SavedAgain when it works again, and with a
// *ChangedElsewhereError; never with nil. It must not call the Saver's Flush or
// Close.
func Open(path string, onError func(error)) (*Saver, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("the lesson's place can't be told: %w", err)
	}
	if _, err := place.Target(path); err != nil {
		return nil, fmt.Errorf("the lesson can't be saved there: %w", err)
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // two names of one document are one document
	}
	lock, err := lockDocument(path)
	if err != nil {
		return nil, err
	}
	place.Sweep(path)
	s := &Saver{
		path: path, onError: onError, replace: place.Bytes, lock: lock,
		wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{}),
	}
	s.seen, _ = os.Stat(path)
	go s.run()
	return s, nil
}

// lockDocument locks beside the document or, where that folder can't be
// written, among the spare copies.
func lockDocument(path string) (*place.Lock, error) {
	var inUse *InUseError
	lock, err := lockFile(lockName(path), path)
	if err == nil || errors.As(err, &inUse) {
		return lock, err
	}
	spare, err := SparePath(path)
	if err != nil {
		return nil, nil // no folder that a second window could write to either
	}
	if err := os.MkdirAll(filepath.Dir(spare), 0o700); err != nil {
		return nil, nil
	}
	lock, err = lockFile(lockName(spare), path)
	if errors.As(err, &inUse) {
		return nil, err
	}
	return lock, nil
}

// Save takes a copy of l and returns at once; the copy is written soon, or a
// newer one in its place. It panics after Close.
func (s *Saver) Save(l *annotations.Lesson) {
	c := l.Clone()
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		panic("annotations: Save after Close")
	}
	s.pending = c
	s.mu.Unlock()
	select {
	case s.wake <- struct{}{}:
	default: // it is awake
	}
}

// Flush writes what is not yet written. Where it returns nil, everything given
// to Save before is on the disk.
func (s *Saver) Flush() error { return s.write() }

// Close writes what is not yet written and gives the document back. The error
// is that of the last writing; a second Close returns nil.
func (s *Saver) Close() error {
	s.mu.Lock()
	again := s.closed
	s.closed = true
	s.mu.Unlock()
	if again {
		return nil
	}
	close(s.stop)
	<-s.done
	err := s.write()
	s.lock.Unlock()
	return err
}

func (s *Saver) run() {
	defer close(s.done)
	var retry <-chan time.Time
	for {
		select {
		case <-s.stop:
			return
		case <-retry:
		case <-s.wake:
			select {
			case <-s.stop:
				return
			case <-time.After(saveDelay):
			}
		}
		retry = nil
		if s.write() != nil {
			retry = time.After(retryDelay)
		}
	}
}

// write saves the pending lesson, if any. A panic on the way, which is a mistake
// in the program, is told like a full disk: what was written before stays.
func (s *Saver) write() (err error) {
	s.writing.Lock()
	defer s.writing.Unlock()
	defer func() {
		if v := recover(); v != nil {
			err = &NotSavedError{Path: s.path, Cause: fmt.Errorf("writing it met a mistake in the program (%v)", v)}
			s.report(err)
		}
	}()
	s.mu.Lock()
	l := s.pending
	s.mu.Unlock()
	if l == nil {
		return nil
	}
	data, err := l.Encode()
	if err != nil {
		err = &NotSavedError{Path: s.path, Cause: err}
		s.report(err)
		return err
	}
	err = s.keepOther()
	if err == nil {
		err = s.replace(s.path, data)
	}
	if err != nil {
		failure := &NotSavedError{Path: s.path, Cause: annotations.Explain(err)}
		if spare, err := keepSpare(s.path, data); err == nil {
			failure.Spare = spare
		}
		s.report(failure)
		return failure
	}
	s.seen, _ = os.Stat(s.path)
	s.mu.Lock()
	if s.pending == l {
		s.pending = nil
	}
	s.mu.Unlock()
	removeSpare(s.path)
	s.report(nil)
	return nil
}

// keepOther keeps the version of another program that took the document's
// place since this Saver saw it last.
func (s *Saver) keepOther() error {
	if _, err := place.Target(s.path); err != nil {
		return err
	}
	now, err := os.Stat(s.path)
	if err != nil || s.seen != nil && os.SameFile(now, s.seen) && now.Size() == s.seen.Size() && now.ModTime().Equal(s.seen.ModTime()) {
		return nil
	}
	data, err := place.Read(s.path, annotations.MaxBytes)
	if errors.Is(err, place.ErrNotRegular) {
		return nil // no version of it
	}
	if err != nil {
		return fmt.Errorf("another program changed it, and that version can't be read to keep it: %w", err)
	}
	ext := filepath.Ext(s.path)
	kept := place.FreeName(fmt.Sprintf("%s (other version %s)%s", strings.TrimSuffix(s.path, ext), now.ModTime().Format("2006-01-02 15.04.05"), ext))
	if err := place.New(kept, bytes.NewReader(data)); err != nil {
		return err
	}
	s.seen = now
	if s.onError != nil {
		s.onError(&ChangedElsewhereError{s.path, kept})
	}
	return nil
}

// report passes on what the coach does not know yet: a new problem, or, for
// nil, the end of one. It is called with writing held.
func (s *Saver) report(err error) {
	text := ""
	if err != nil {
		text = err.Error()
	}
	s.mu.Lock()
	news := text != s.problem
	s.problem = text
	s.mu.Unlock()
	if !news || s.onError == nil {
		return
	}
	if err == nil {
		err = &SavedAgain{s.path}
	}
	s.onError(err)
}
