package video

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// picture is one decoded picture in a slot of memory. refs counts the cache
// and the Frames that hold it; at zero the slot is released.
type picture struct {
	index   int
	pts     int64
	key     bool
	damaged bool
	layout  *layout
	slot    *slot
	refs    atomic.Int32
	budget  *Budget
}

func (p *picture) release() {
	if p.refs.Add(-1) == 0 {
		p.budget.giveBack(p.slot)
	}
}

// Frame is one decoded picture of a clip. It never changes, and its methods may
// be called from any goroutine. Each Frame is its holder's own: ask the reader
// again rather than passing one on if both sides may release it.
type Frame struct {
	Index         int     // frame number
	PTS           int64   // presentation time in ticks
	Seconds       float64 // from the first shown frame
	Width, Height int     // upright pixels
	Key           bool    // a picture that decodes by itself
	Damaged       bool    // the decoder had to guess parts of it

	mu      sync.RWMutex // held for reading while pixels are read
	picture *picture     // nil once released
	cleanup runtime.Cleanup
}

// newFrame hands a picture out, counting it.
func newFrame(p *picture, seconds float64) *Frame {
	p.refs.Add(1)
	f := &Frame{
		Index: p.index, PTS: p.pts, Seconds: seconds,
		Width: p.layout.uprightWidth, Height: p.layout.uprightHeight,
		Key: p.key, Damaged: p.damaged, picture: p,
	}
	f.cleanup = runtime.AddCleanup(f, func(p *picture) { p.release() }, p)
	return f
}

// Release gives the frame's memory back at once. The frame can't be rendered
// afterwards. Further calls do nothing, and a frame that is merely dropped is
// given back by the garbage collector.
func (f *Frame) Release() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.picture == nil {
		return
	}
	f.cleanup.Stop()
	f.picture.release()
	f.picture = nil
}
