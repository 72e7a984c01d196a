package sandbox

import (
	"errors"
	"sync/atomic"
)

var errMemory = errors.New("sandbox: shared memory that is none")

// Memory is memory that two processes map: the one that has made it to write, the other
// to read. What it holds may change at any time, but it can't go away.
type Memory struct {
	bytes []byte
	users atomic.Int32
}

// Bytes returns what is mapped, for as long as there is a user.
func (m *Memory) Bytes() []byte { return m.bytes }

// Use counts another user.
func (m *Memory) Use() { m.users.Add(1) }

// Leave counts a user fewer; with the last the mapping goes.
func (m *Memory) Leave() {
	if m.users.Add(-1) == 0 {
		unmap(m.bytes)
		m.bytes = nil
	}
}
