package sandbox

import (
	"os"
	"sync"
	"time"
)

// works is what Serve was called for, by name.
var works = map[string]func(*Link){}

// Serve remembers the work of that name, for Start. To be called from an init function.
// The limits are for a process of its own.
func Serve(name string, _ Limits, work func(*Link)) { works[name] = work }

// Lacks says in words what of it could not be had, "" when nothing.
func (s State) Lacks() string {
	return "on Windows the program does this work itself, and not in a confined process"
}

// Process stands for the process that another system would have.
type Process struct {
	*Link
	done chan struct{}
	once sync.Once

	mu    sync.Mutex
	wires []*wire // of links that were sent to it
	ended bool
}

// Start starts the work of that name, for which Serve was called. Kill it when it is no
// longer needed.
func Start(name string) (*Process, error) {
	work := works[name]
	if work == nil {
		return nil, os.ErrNotExist
	}
	here, there := pair()
	p := &Process{Link: here, done: make(chan struct{})}
	here.passed = p.pass
	go func() {
		if there.Send(State{}, nil) == nil {
			work(there)
		}
		p.end()
		close(p.done)
	}()
	return p, nil
}

// pass remembers a link that ends with the process.
func (p *Process) pass(w *wire) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		w.close()
		return
	}
	p.wires = append(p.wires, w)
}

// PID returns its number, which is that of this process.
func (p *Process) PID() int { return os.Getpid() }

// Done is closed once it has ended.
func (p *Process) Done() <-chan struct{} { return p.done }

// patience is how long Kill waits for work that does not look at its links.
const patience = 5 * time.Second

// Kill ends all its links, and so its work as soon as that looks at them; it waits for that,
// for a while. Further calls do nothing.
func (p *Process) Kill() {
	p.end()
	select {
	case <-p.done:
	case <-time.After(patience):
	}
}

func (p *Process) end() {
	p.once.Do(func() {
		p.Close()
		p.mu.Lock()
		defer p.mu.Unlock()
		p.ended = true
		for _, w := range p.wires {
			w.close()
		}
	})
}
