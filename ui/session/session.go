// Package session is an open lesson without a window: what is worked on, where
// it is kept, and the work that goes on beside the coach's hand.
package session

import (
	"turngauge/annotations"
	"turngauge/ui/bench"
)

// Session is an open lesson. It belongs to the goroutine that owns the window.
type Session struct {
	// Path is where the lesson's document lies.
	Path string
	// Bench is the lesson under the coach's hand, with one of its swings.
	Bench *bench.Bench
}

// Edit changes the lesson; it can be undone. The error says, for the coach, why
// it can't be done.
func (s *Session) Edit(e annotations.Edit) error { return s.Bench.Editor().Apply(e) }
