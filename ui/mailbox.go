package ui

import "sync"

// mailbox takes closures from any goroutine to the one that owns the window.
// It is not bounded: what posts into it is bounded by having at most one
// request under way each.
type mailbox struct {
	mu      sync.Mutex
	waiting []func()
	wake    func()
}

// post queues do for the start of the next frame.
func (m *mailbox) post(do func()) {
	m.mu.Lock()
	m.waiting = append(m.waiting, do)
	m.mu.Unlock()
	m.wake()
}

// run does what has been posted so far.
func (m *mailbox) run() {
	m.mu.Lock()
	todo := m.waiting
	m.waiting = nil
	m.mu.Unlock()
	for _, do := range todo {
		do()
	}
}
