package video

import (
	"context"
	"sync"
	"time"

	"github.com/asticode/go-astiav"
)

// How long a file may keep FFmpeg busy with nothing to show for it: with its header, and
// with some packets. What a phone writes takes a hundredth of a second; a slow network
// drive may take a few. There are files made to take for ever.
const (
	headerTime = 20 * time.Second
	packetTime = 20 * time.Second
)

// stopper makes FFmpeg give up reading a file, from any goroutine.
type stopper struct {
	interrupter astiav.IOInterrupter // holds memory that the format reads: it lives as long

	mu      sync.Mutex
	stopped bool
}

// newStopper is to be called before the file is opened.
func newStopper(format *astiav.FormatContext) *stopper {
	return &stopper{interrupter: format.SetInterruptCallback()}
}

// interrupt may be called from any goroutine. What fails then fails of that.
func (s *stopper) interrupt() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.interrupter.Interrupt()
	s.stopped = true
}

// wasStopped reports whether it was interrupted.
func (s *stopper) wasStopped() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stopped
}

// goOn lets the file be read again, once nothing can interrupt it any more.
func (s *stopper) goOn() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.interrupter.Resume()
	s.stopped = false
}

// during has reading given up when ctx ends, and after a time, until done is called.
func (s *stopper) during(ctx context.Context, most time.Duration) (done func()) {
	ended := context.AfterFunc(ctx, s.interrupt)
	late := time.AfterFunc(most, s.interrupt)
	return func() { ended(); late.Stop() }
}

// untilIdle is during with a time that begins anew with every call of more.
func (s *stopper) untilIdle(ctx context.Context, most time.Duration) (more, done func()) {
	ended := context.AfterFunc(ctx, s.interrupt)
	late := time.AfterFunc(most, s.interrupt)
	return func() { late.Reset(most) }, func() { ended(); late.Stop() }
}

// why says why reading was given up, nil where it was not.
func (s *stopper) why(ctx context.Context, path string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if !s.wasStopped() {
		return nil
	}
	return fileError(path, ErrUnreadable, "takes too long to read: it is damaged, or the drive it is on is too slow. Copy it to this computer's disk and choose it there.")
}
