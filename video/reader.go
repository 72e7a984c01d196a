package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"sync"
	"time"
)

// ReaderOptions set up a Reader. The zero value is usable.
type ReaderOptions struct {
	Budget     *Budget // shared with other readers; nil makes an own one of CacheBytes
	CacheBytes int64   // limit of the own budget; 0 means DefaultCacheBytes
	Forward    bool    // the clip is worked through once: nothing is decoded again behind the last read
	Asked      bool    // the caller asks ahead himself: nothing is decoded but what is asked for, and on the way to it
	OnReady    func()  // called from the reader's goroutine when the requested frame, or a nearer one than was there, can be had, or has failed; it must not block
}

// Reader decodes a clip's frames on its own goroutine and keeps those around
// the playhead. Its methods may be called from any goroutine and none blocks
// but Read and Close.
type Reader struct {
	s       *Source
	cache   *cache
	onReady func()
	asked   bool // ReaderOptions.Asked
	wake    chan struct{}
	done    chan struct{}

	mu       sync.Mutex
	want     request
	notified bool // whether OnReady was called for the request
	reads    []*pendingRead
	failed   map[int]error
	stats    Stats
	closing  bool

	// The decoding goroutine's own.
	work      job
	deaths    int   // of the process that decodes, in a row, on the way to diedAt
	diedAt    int   // a frame
	refused   error // once the file has killed it too often
	badBefore int   // bad packets that decoders before the present one met
	full      place // where decoding ahead found no more room; it rests until the playhead moves
}

// request is what the playhead asks for; only the newest counts.
type request struct {
	n, direction int
	made         bool // whether any was made yet
}

// pendingRead is one blocked Read.
type pendingRead struct {
	n      int
	answer chan result
}

type result struct {
	frame *Frame
	err   error
}

// NewReader takes s over and starts decoding as asked.
func NewReader(s *Source, o ReaderOptions) *Reader {
	b := o.Budget
	if b == nil {
		b = NewBudget(o.CacheBytes)
	}
	r := &Reader{
		s: s, cache: newCache(b, s.layout, o.Forward), onReady: o.OnReady, asked: o.Asked,
		wake: make(chan struct{}, 1), done: make(chan struct{}), failed: map[int]error{},
		full: place{cursor: -1},
	}
	go r.run()
	return r
}

// Source returns the clip that is read. Do not close it.
func (r *Reader) Source() *Source { return r.s }

// Frames returns the number of frames, at least 1.
func (r *Reader) Frames() int { return r.s.Frames() }

// Size returns the size of the upright picture in pixels.
func (r *Reader) Size() image.Point { return image.Pt(r.s.info.Width, r.s.info.Height) }

// Seconds returns the time of frame n from the first shown frame.
func (r *Reader) Seconds(n int) float64 { return r.s.Seconds(n) }

// Gray draws the luma of the whole of frame n, scaled to fill dst, decoding it if
// need be; see Frame.RenderGray and Read.
func (r *Reader) Gray(ctx context.Context, n int, dst *image.Gray) error {
	f, err := r.Read(ctx, n)
	if err != nil {
		return err
	}
	defer f.Release()
	return f.RenderGray(dst, f.Bounds())
}

// Request moves the playhead to frame n, which is clamped to the clip. It
// never blocks, and replaces any request not yet served. direction is the way
// of travel, -1, 0 or 1, and says what to decode ahead.
func (r *Reader) Request(n, direction int) {
	n = max(0, min(n, r.s.Frames()-1))
	direction = max(-1, min(direction, 1))
	r.mu.Lock()
	same := r.want == request{n, direction, true}
	r.want = request{n, direction, true}
	if !same {
		r.notified = r.settled(n) // then the caller finds it at once
	}
	r.mu.Unlock()
	if !same {
		r.cache.look(n, direction)
		r.signal()
	}
}

// Frame returns frame n if it is decoded, nil and no error when it is not there
// yet, and an error when it can't be decoded.
func (r *Reader) Frame(n int) (*Frame, error) {
	if f := r.held(n, false); f != nil {
		return f, nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closing {
		return nil, ErrClosed
	}
	return nil, r.failed[n]
}

// Nearest returns the decoded frame nearest to n, or nil.
func (r *Reader) Nearest(n int) *Frame { return r.held(n, true) }

func (r *Reader) held(n int, nearest bool) (f *Frame) {
	r.cache.hold(n, nearest, func(p *picture) { f = newFrame(p, r.s.Seconds(p.index)) })
	return f
}

// CachedRuns returns the decoded frames as [first, last] pairs in order. The
// slice is shared: do not change it.
func (r *Reader) CachedRuns() [][2]int { return r.cache.cachedRuns() }

// Stats returns the counts so far.
func (r *Reader) Stats() Stats {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.stats
}

// Read returns frame n, decoding it if need be. It waits behind the
// playhead's request; without one, frames around n are decoded ahead in the
// direction of the last two reads. Work through whole clips on a reader of your own.
func (r *Reader) Read(ctx context.Context, n int) (*Frame, error) {
	if n < 0 || n >= r.s.Frames() {
		return nil, &FrameError{Path: r.s.info.Path, Index: n, Text: "the clip has no such frame"}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p := &pendingRead{n: n, answer: make(chan result, 1)}
	r.mu.Lock()
	if r.closing {
		r.mu.Unlock()
		return nil, ErrClosed
	}
	if !r.want.made {
		d := n - r.placeLooked().cursor
		r.cache.look(n, max(-1, min(d, 1)))
	}
	if f := r.held(n, false); f != nil {
		r.mu.Unlock()
		r.signal()
		return f, nil
	}
	r.reads = append(r.reads, p)
	r.mu.Unlock()
	r.signal()
	select {
	case a := <-p.answer:
		return a.frame, a.err
	case <-ctx.Done():
		r.abandon(p)
		return nil, ctx.Err()
	}
}

// abandon takes a read back; if it was answered meanwhile, the frame is released.
func (r *Reader) abandon(p *pendingRead) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for i, q := range r.reads {
		if q == p {
			r.reads = append(r.reads[:i], r.reads[i+1:]...)
			return
		}
	}
	if a := <-p.answer; a.frame != nil {
		a.frame.Release()
	}
}

// Close stops decoding, drops the cache and closes the Source. Frames already
// handed out stay valid. Further calls do nothing.
func (r *Reader) Close() error {
	r.mu.Lock()
	first := !r.closing
	r.closing = true
	r.mu.Unlock()
	if first {
		r.s.interrupt()
		r.signal()
	}
	<-r.done
	return nil
}

func (r *Reader) signal() {
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// politeWait is how long decoding ahead steps aside for another reader's urgent frame.
const politeWait = 3 * time.Millisecond

// run is the decoding goroutine: after every picture it looks again at what is
// wanted most.
func (r *Reader) run() {
	defer close(r.done)
	urgent := false
	markUrgent := func(now bool) {
		if now != urgent {
			r.cache.budget.urgent.Add(map[bool]int32{true: 1, false: -1}[now])
			urgent = now
		}
	}
	for {
		j := r.pick()
		markUrgent(j.kind == jobWanted)
		switch {
		case j.kind == jobClose:
			r.shutDown()
			return
		case j.kind == jobNone:
			if r.s.run != nil && r.s.run.settle() != nil {
				r.s.hangUp() // what decodes next starts another
			}
			<-r.wake
		case j.kind == jobAhead && r.cache.budget.urgent.Load() > 0:
			select {
			case <-r.wake:
			case <-time.After(politeWait):
			}
		default:
			r.stepOrFail(j)
		}
	}
}

// stepOrFail does a step. It makes of a panic on the way to a picture, which is a mistake
// in the program, a picture that can't be shown: the others still can, by a new decoder.
func (r *Reader) stepOrFail(j job) {
	defer func() {
		if v := recover(); v != nil {
			r.s.hangUp()
			r.work = job{}
			r.fail(j.target, fmt.Errorf("it met a mistake in the program (%v)", v))
		}
	}()
	err := r.refused
	if err == nil {
		err = r.step(j)
	}
	switch {
	case errors.Is(err, errDied):
		r.died(j)
	case errors.Is(err, ErrClosed):
	case err != nil:
		r.fail(j.target, err)
	}
}

// died has the work go on with another process, unless the file has ended one on the way
// to the same frame before.
func (r *Reader) died(j job) {
	if r.s.run != nil {
		r.badBefore += r.s.run.bad
	}
	r.s.hangUp()
	r.work = job{}
	if r.diedAt != j.target {
		r.deaths, r.diedAt = 0, j.target
	}
	r.deaths++
	r.mu.Lock()
	r.stats.Restarts++
	r.mu.Unlock()
	if r.deaths >= mostDeaths {
		r.refused = refused(r.s.info.Path)
		r.fail(j.target, r.refused)
	}
}

func (r *Reader) shutDown() {
	r.mu.Lock()
	reads := r.reads
	r.reads = nil
	r.mu.Unlock()
	for _, p := range reads {
		p.answer <- result{err: ErrClosed}
	}
	r.cache.budget.leave(r.cache)
	r.s.Close()
}

// fail remembers that frame n can't be shown and tells whoever waits for it.
func (r *Reader) fail(n int, err error) {
	if !errors.Is(err, ErrChanged) && !errors.Is(err, ErrFrameUnavailable) && err != r.refused {
		err = &FrameError{Path: r.s.info.Path, Index: n, Text: err.Error()}
	}
	r.mu.Lock()
	r.failed[n] = err
	answered := r.takeReads(n)
	r.mu.Unlock()
	for _, p := range answered {
		p.answer <- result{err: err}
	}
}

// takeReads removes and returns the reads that wait for frame n; r.mu is held.
func (r *Reader) takeReads(n int) (taken []*pendingRead) {
	kept := r.reads[:0]
	for _, p := range r.reads {
		if p.n == n {
			taken = append(taken, p)
		} else {
			kept = append(kept, p)
		}
	}
	r.reads = kept
	return taken
}

func (r *Reader) ready() {
	if r.onReady != nil {
		r.onReady()
	}
}
