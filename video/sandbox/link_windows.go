package sandbox

import (
	"encoding/json"
	"io"
	"net"
	"os"
	"sync"
	"time"

	"golang.org/x/sys/windows"
)

// message is what goes over a link. Its files are the receiver's.
type message struct {
	text, data []byte
	files      []*os.File
}

// wire is what two ends share. It is closed once, by either.
type wire struct {
	ways   [2]chan message
	closed chan struct{}
	once   sync.Once
}

func (w *wire) close() { w.once.Do(func() { close(w.closed) }) }

// Link is one end of a connection within this process. One goroutine may send and
// another receive at the same time.
type Link struct {
	wire     *wire
	out, in  int // of the wire's ways
	deadline time.Time
	passed   func(*wire) // is told of ends of other links that are sent; nil for nobody
}

// ends finds the end of a link by the file that stands for it.
var ends = struct {
	sync.Mutex
	of map[*os.File]*Link
}{of: map[*os.File]*Link{}}

// pair returns both ends of a new connection.
func pair() (here, there *Link) {
	const waiting = 8 // messages on their way
	w := &wire{ways: [2]chan message{make(chan message, waiting), make(chan message, waiting)}, closed: make(chan struct{})}
	return &Link{wire: w, out: 0, in: 1}, &Link{wire: w, out: 1, in: 0}
}

// Pair returns both ends of a new connection: one to be used here, and one to be sent
// over another link or to be made a Link by NewLink. Close both.
func Pair() (*Link, *os.File, error) {
	here, there := pair()
	f, err := there.file()
	if err != nil {
		return nil, nil, err
	}
	return here, f, nil
}

// file returns an open file that stands for the link until NewLink takes it.
func (l *Link) file() (*os.File, error) {
	f, err := os.Open(os.DevNull)
	if err != nil {
		return nil, err
	}
	ends.Lock()
	defer ends.Unlock()
	ends.of[f] = l
	return f, nil
}

// takeEnd returns the end that a file stands for, which it does no more; nil for other files.
func takeEnd(f *os.File) *Link {
	ends.Lock()
	defer ends.Unlock()
	l := ends.of[f]
	delete(ends.of, f)
	return l
}

// NewLink makes a link of an end that was received. It takes the file over.
func NewLink(f *os.File) (*Link, error) {
	defer f.Close()
	if l := takeEnd(f); l != nil {
		return l, nil
	}
	return nil, errMessage
}

// Close ends the connection; what waits for a message returns with an error.
func (l *Link) Close() error {
	l.wire.close()
	return nil
}

// Expect has Receive give up at a time; the zero time means never.
func (l *Link) Expect(until time.Time) error {
	l.deadline = until
	return nil
}

// Send sends a message. The files stay the caller's.
func (l *Link) Send(text any, data []byte, files ...*os.File) error {
	t, err := marshal(text, data, files)
	if err != nil {
		return err
	}
	m := message{text: t, data: append([]byte(nil), data...)}
	for _, f := range files {
		again, err := l.again(f)
		if err != nil {
			CloseAll(m.files)
			return err
		}
		m.files = append(m.files, again)
	}
	select {
	case <-l.wire.closed: // also where there is room for more
		CloseAll(m.files)
		return net.ErrClosed
	default:
	}
	select {
	case l.wire.ways[l.out] <- m:
		return nil
	case <-l.wire.closed:
		CloseAll(m.files)
		return net.ErrClosed
	}
}

// again returns a file for the receiver: another handle of the same, or the end of a link,
// which goes over to it.
func (l *Link) again(f *os.File) (*os.File, error) {
	if end := takeEnd(f); end != nil {
		if l.passed != nil {
			l.passed(end.wire)
		}
		return end.file()
	}
	var h windows.Handle
	self := windows.CurrentProcess()
	if err := windows.DuplicateHandle(self, windows.Handle(f.Fd()), self, &h, 0, false, windows.DUPLICATE_SAME_ACCESS); err != nil {
		return nil, os.NewSyscallError("DuplicateHandle", err)
	}
	return os.NewFile(uintptr(h), f.Name()), nil
}

// Receive waits for a message, reads its text into text, and returns its data and its
// files, which are the caller's, also where there is an error.
func (l *Link) Receive(text any) (data []byte, files []*os.File, err error) {
	m, err := l.next()
	if err != nil {
		return nil, nil, err
	}
	if err := json.Unmarshal(m.text, text); err != nil {
		return nil, m.files, errMessage
	}
	return m.data, m.files, nil
}

func (l *Link) next() (m message, err error) {
	select { // what was sent before the end is received
	case m = <-l.wire.ways[l.in]:
		return m, nil
	default:
	}
	var late <-chan time.Time
	if !l.deadline.IsZero() {
		t := time.NewTimer(time.Until(l.deadline))
		defer t.Stop()
		late = t.C
	}
	select {
	case m = <-l.wire.ways[l.in]:
		return m, nil
	case <-l.wire.closed:
		select {
		case m = <-l.wire.ways[l.in]:
			return m, nil
		default:
			return m, io.EOF
		}
	case <-late:
		return m, os.ErrDeadlineExceeded
	}
}
