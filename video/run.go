package video

import (
	"errors"
	"io"
	"sync"

	"turngauge/video/sandbox"
)

// run is this end of a decoder in another process. It is part of a Source and used by
// the one goroutine that uses the Source; only slots are given back from any.
type run struct {
	s  *Source
	at position

	// skipTill is the presentation time before which pictures that no other
	// refers to need not be decoded, noPTS for none.
	skipTill int64

	bad       int      // packets that could not be read or decoded
	picture   *decoded // the last, nil where there is none
	hold      bool     // whether its memory was taken
	falseKeys []int    // that the other side has not heard of
	arenas    map[int]*sandbox.Memory

	mu     sync.Mutex
	free   []int // slots given back that the other side has not heard of
	ended  bool
	notify func() // called where many are; must not block
}

// mostFree is how many slots may wait to be given back while nothing is decoded, and
// mostArena how large an arena may be, bytes.
const (
	mostFree  = 8
	mostArena = 512 << 20
)

func newRun(s *Source, notify func()) *run {
	return &run{s: s, skipTill: noPTS, arenas: map[int]*sandbox.Memory{}, notify: notify}
}

// ask makes a call, with what the other side has not heard of yet.
func (r *run) ask(c call) (answer, []byte, error) {
	at, err := r.s.link()
	if err != nil {
		return answer{}, nil, err
	}
	r.mu.Lock()
	c.Free, r.free = r.free, nil
	r.mu.Unlock()
	c.Hold, c.FalseKeys, c.SkipTill = r.hold, r.falseKeys, r.skipTill
	if c.Do != callKeep {
		r.picture, r.hold = nil, false
	}
	r.falseKeys = nil
	a, data, files, err := at.ask(c, r.s.info.Path, nil)
	defer sandbox.CloseAll(files)
	if err != nil {
		return a, nil, err
	}
	r.bad = a.Bad
	for _, p := range []*stored{a.Stored, a.stored()} {
		if p == nil || r.arenas[p.Arena] != nil {
			continue
		}
		if len(files) != 1 || len(r.arenas) > mostPackets {
			return a, nil, r.broken()
		}
		m, err := sandbox.MapMemory(files[0], mostArena)
		if err != nil {
			return a, nil, r.broken()
		}
		r.arenas[p.Arena] = m
	}
	return a, data, nil
}

// broken ends a process that gives answers that make no sense, which counts as its death.
func (r *run) broken() error {
	if at := r.s.session.Load(); at != nil {
		children.end(at.child)
	}
	return errDied
}

// seek starts a run at a key packet.
func (r *run) seek(key int) error {
	r.at = position{}
	a, _, err := r.ask(call{Do: callSeek, Key: key})
	if err != nil {
		return err
	}
	r.at = position{known: true, start: key, next: a.At.Next, last: -1}
	return nil
}

// next decodes the next shown picture of the run and returns its number. At
// the end of the run it returns io.EOF, after which only seek helps.
func (r *run) next() (int, error) {
	a, _, err := r.ask(call{Do: callNext})
	if err != nil {
		r.at.known = false
		return -1, err
	}
	r.at.next, r.at.last = a.At.Next, a.At.Last
	if a.Picture == nil {
		r.at.known = false
		return -1, io.EOF
	}
	if n := a.Picture.Frame; n < 0 || n >= r.s.Frames() {
		return -1, r.broken()
	}
	r.picture = a.Picture
	return a.Picture.Frame, nil
}

// keep returns the memory of the picture last handed out, converted if need be.
func (r *run) keep() (*slot, error) {
	if r.picture == nil {
		return nil, errors.New("there is no picture to be kept")
	}
	p := r.picture.Stored
	if p != nil {
		r.hold = true
	} else {
		a, _, err := r.ask(call{Do: callKeep})
		if err != nil {
			return nil, err
		}
		if p = a.Stored; p == nil {
			return nil, r.broken()
		}
	}
	m := r.arenas[p.Arena]
	if m == nil || !p.fits(len(m.Bytes()), r.s.layout) {
		return nil, r.broken()
	}
	m.Use()
	id := p.ID
	return &slot{
		pix:   m.Bytes()[p.At+p.First : p.At+p.Bytes],
		width: r.s.layout.width, height: r.s.layout.height, lumaStride: p.Luma, chromaStride: p.Chroma,
		u: int(p.U), v: int(p.V), bytes: p.Bytes,
		done: func() { r.givenBack(id); m.Leave() },
	}, nil
}

// fits reports whether a picture lies in an arena of so many bytes, and its samples in
// it, with what vector code may read past them.
func (p *stored) fits(arena int, l *layout) bool {
	const most = 1 << 32
	for _, v := range []int64{p.At, p.Bytes, p.First, int64(p.Luma), int64(p.Chroma), p.U, p.V} {
		if v < 0 || v > most {
			return false
		}
	}
	plane := func(from int64, stride, w, h int) bool {
		return stride >= w && p.First+from+int64(stride)*int64(h-1)+int64(w)+readAhead <= p.Bytes
	}
	w, h := (l.width+1)/2, (l.height+1)/2
	return p.At+p.Bytes <= int64(arena) && plane(0, p.Luma, l.width, l.height) && plane(p.U, p.Chroma, w, h) && plane(p.V, p.Chroma, w, h)
}

// givenBack remembers a slot that the other side may use again.
func (r *run) givenBack(id int) {
	r.mu.Lock()
	if !r.ended {
		r.free = append(r.free, id)
	}
	many := len(r.free) >= mostFree
	r.mu.Unlock()
	if many && r.notify != nil {
		r.notify()
	}
}

// settle tells the other side of slots that were given back, where there are many and
// nothing else is to be said.
func (r *run) settle() error {
	r.mu.Lock()
	many := len(r.free) >= mostFree
	r.mu.Unlock()
	if !many {
		return nil
	}
	a := r.at
	_, _, err := r.ask(call{Do: callFree})
	r.at = a
	return err
}

// end drops the run. Its pictures stay for as long as somebody holds them.
func (r *run) end() {
	r.mu.Lock()
	r.ended, r.free = true, nil
	r.mu.Unlock()
	for _, m := range r.arenas {
		m.Leave()
	}
	r.arenas = nil
}
