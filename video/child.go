package video

import (
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	_ "turngauge/video/lazy" // before FFmpeg is linked
	"turngauge/video/sandbox"
)

// child is a process that decodes one clip for all its readers here.
type child struct {
	process interface {
		Send(text any, data []byte, files ...*os.File) error
		Kill()
		PID() int
	}
	state sandbox.State

	// Guarded by children.mu.
	stat  fs.FileInfo // of the clip; nil while it waits for one
	users int
	idle  *time.Timer // set while there are no users
}

// children are the processes that decode. A clip that is opened again soon finds the
// one that it had: starting another takes longer than reading a clip's index.
var children childPool

type childPool struct {
	mu    sync.Mutex
	all   []*child
	ready *child // started ahead of need
	ahead bool   // whether one is kept ready
}

// idleTime is how long a child stays without readers, mostIdle how many do, and
// startTime how long one may take to be there.
const (
	idleTime  = 5 * time.Second
	mostIdle  = 4
	startTime = time.Minute
)

// StartAhead keeps a process ready for the next clip that is opened, for a program in
// which somebody waits for that. It returns at once.
func StartAhead() {
	children.mu.Lock()
	children.ahead = true
	children.mu.Unlock()
	go children.refill()
}

// Confined says how the processes that decode are confined, by starting one if there
// is none.
func Confined() (sandbox.State, error) {
	children.mu.Lock()
	if len(children.all) > 0 {
		defer children.mu.Unlock()
		return children.all[0].state, nil
	}
	children.mu.Unlock()
	c, err := children.take(nil)
	if err != nil {
		return sandbox.State{}, err
	}
	defer children.leave(c)
	return c.state, nil
}

// visit opens a link to the child of a clip, for one reader.
func (p *childPool) visit(f *os.File, stat fs.FileInfo) (*child, *sandbox.Link, error) {
	c, err := p.take(stat)
	if err != nil {
		return nil, nil, err
	}
	here, there, err := sandbox.Pair()
	if err == nil {
		err = c.process.Send(filepath.Base(f.Name()), nil, there, f)
		there.Close()
	}
	if err != nil {
		if here != nil {
			here.Close()
		}
		p.end(c)
		p.leave(c)
		return nil, nil, errDied
	}
	return c, here, nil
}

// take returns the child of a clip, counting a user. Leave it once.
func (p *childPool) take(stat fs.FileInfo) (*child, error) {
	p.mu.Lock()
	for _, c := range p.all {
		if c.stat != nil && stat != nil && sameFile(c.stat, stat) {
			c.use()
			p.mu.Unlock()
			return c, nil
		}
	}
	c := p.ready
	p.ready = nil
	p.mu.Unlock()
	if c == nil {
		var err error
		if c, err = startChild(); err != nil {
			return nil, err
		}
	}
	p.mu.Lock()
	c.stat = stat
	c.use()
	p.all = append(p.all, c)
	p.mu.Unlock()
	go p.refill()
	return c, nil
}

func (c *child) use() {
	c.users++
	if c.idle != nil {
		c.idle.Stop()
		c.idle = nil
	}
}

// refill starts a child to be ready, where one is to be and none is.
func (p *childPool) refill() {
	p.mu.Lock()
	wanted := p.ahead && p.ready == nil
	p.mu.Unlock()
	if !wanted {
		return
	}
	c, err := startChild()
	if err != nil {
		return // whoever needs one is told
	}
	p.mu.Lock()
	if p.ready == nil {
		p.ready, c = c, nil
	}
	p.mu.Unlock()
	if c != nil {
		c.process.Kill()
	}
}

// leave counts a user fewer. Without any the child ends after a while, or when there are
// too many such.
func (p *childPool) leave(c *child) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if c.users--; c.users > 0 {
		return
	}
	c.idle = time.AfterFunc(idleTime, func() { p.endIdle(c) })
	idle := 0
	for i := len(p.all) - 1; i >= 0; i-- {
		if other := p.all[i]; other.users == 0 {
			if idle++; idle > mostIdle {
				go p.endIdle(other)
			}
		}
	}
}

func (p *childPool) endIdle(c *child) {
	p.mu.Lock()
	unused := c.users == 0
	if unused {
		c.stat = nil // nobody is given it any more
	}
	p.mu.Unlock()
	if unused {
		p.end(c)
	}
}

// end ends a child, which nobody is given any more. Its users find their links closed.
func (p *childPool) end(c *child) {
	p.mu.Lock()
	for i, other := range p.all {
		if other == c {
			p.all = append(p.all[:i], p.all[i+1:]...)
			break
		}
	}
	p.mu.Unlock()
	c.process.Kill()
}

// sameFile reports whether facts are those of one file with one content.
func sameFile(a, b fs.FileInfo) bool {
	return os.SameFile(a, b) && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}

// startChild starts one. Tests that count this process's memory have it in here.
var startChild = func() (*child, error) {
	p, err := sandbox.Start(decoderName)
	if err != nil {
		return nil, err
	}
	c := &child{process: p}
	_ = p.Expect(time.Now().Add(startTime))
	if _, _, err := p.Receive(&c.state); err != nil {
		p.Kill()
		return nil, err
	}
	return c, nil
}
