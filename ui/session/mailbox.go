package session

import "sync"

// Mailbox takes closures from any goroutine to the one that owns the window.
// It is not bounded: what posts into it is bounded by having at most one
// request under way each.
type Mailbox struct {
	// Wake asks the owner to come and Run; it is called on any goroutine.
	Wake func()

	mu      sync.Mutex
	waiting []func()
}

// Post queues do for the owner's goroutine. It may be called on any.
func (m *Mailbox) Post(do func()) {
	m.mu.Lock()
	m.waiting = append(m.waiting, do)
	m.mu.Unlock()
	m.Wake()
}

// Run does, on the owner's goroutine, what has been posted so far.
func (m *Mailbox) Run() {
	m.mu.Lock()
	todo := m.waiting
	m.waiting = nil
	m.mu.Unlock()
	for _, do := range todo {
		do()
	}
}
