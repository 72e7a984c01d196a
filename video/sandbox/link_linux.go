package sandbox

import (
	"encoding/binary"
	"encoding/json"
	"io"
	"net"
	"os"
	"syscall"
	"time"
)

// Link is one end of a connection between two processes. One goroutine may send and
// another receive at the same time.
//
// A message is the lengths of its text and of its data, 4 bytes each in the order of
// the network, the text (JSON), and the data. Open files go along with the lengths.
type Link struct {
	c    *net.UnixConn
	head [8]byte
	oob  [mostFiles*4 + syscall.SizeofCmsghdr + 16]byte
	text []byte
}

// Pair returns both ends of a new connection: one to be used here, and one to be sent
// to another process or to be made a Link by NewLink. Close both.
func Pair() (*Link, *os.File, error) {
	fds, err := syscall.Socketpair(syscall.AF_UNIX, syscall.SOCK_STREAM|syscall.SOCK_CLOEXEC|syscall.SOCK_NONBLOCK, 0)
	if err != nil {
		return nil, nil, os.NewSyscallError("socketpair", err)
	}
	there := os.NewFile(uintptr(fds[1]), "link")
	here, err := NewLink(os.NewFile(uintptr(fds[0]), "link"))
	if err != nil {
		there.Close()
		return nil, nil, err
	}
	return here, there, nil
}

// NewLink makes a link of an end that was received. It takes the file over.
func NewLink(f *os.File) (*Link, error) {
	defer f.Close()
	c, err := net.FileConn(f)
	if err != nil {
		return nil, err
	}
	u, ok := c.(*net.UnixConn)
	if !ok {
		c.Close()
		return nil, errMessage
	}
	return &Link{c: u}, nil
}

// Close ends the connection; what waits for a message returns with an error.
func (l *Link) Close() error { return l.c.Close() }

// Expect has Receive give up at a time; the zero time means never.
func (l *Link) Expect(until time.Time) error { return l.c.SetReadDeadline(until) }

// Send sends a message. The files stay the caller's.
func (l *Link) Send(text any, data []byte, files ...*os.File) error {
	t, err := marshal(text, data, files)
	if err != nil {
		return err
	}
	out := make([]byte, 8, 8+len(t))
	binary.BigEndian.PutUint32(out, uint32(len(t)))
	binary.BigEndian.PutUint32(out[4:], uint32(len(data)))
	out = append(out, t...)
	var oob []byte
	if len(files) > 0 {
		fds := make([]int, len(files))
		for i, f := range files {
			raw, err := f.SyscallConn()
			if err == nil {
				err = raw.Control(func(fd uintptr) { fds[i] = int(fd) })
			}
			if err != nil {
				return err
			}
		}
		oob = syscall.UnixRights(fds...)
	}
	n, _, err := l.c.WriteMsgUnix(out, oob, nil)
	if err == nil && n < len(out) {
		_, err = l.c.Write(out[n:])
	}
	if err == nil && len(data) > 0 {
		_, err = l.c.Write(data)
	}
	return err
}

// Receive waits for a message, reads its text into text, and returns its data and its
// files, which are the caller's, also where there is an error.
func (l *Link) Receive(text any) (data []byte, files []*os.File, err error) {
	n, oobn, flags, _, err := l.c.ReadMsgUnix(l.head[:], l.oob[:])
	if oobn > 0 {
		files = received(l.oob[:oobn])
	}
	switch {
	case err != nil:
		return nil, files, err
	case n == 0:
		return nil, files, io.EOF
	case flags&syscall.MSG_CTRUNC != 0:
		return nil, files, errMessage
	}
	if _, err := io.ReadFull(l.c, l.head[n:]); err != nil {
		return nil, files, err
	}
	textLen, dataLen := binary.BigEndian.Uint32(l.head[:]), binary.BigEndian.Uint32(l.head[4:])
	if textLen > mostText || dataLen > mostData {
		return nil, files, errMessage
	}
	if cap(l.text) < int(textLen) {
		l.text = make([]byte, textLen)
	}
	if _, err := io.ReadFull(l.c, l.text[:textLen]); err != nil {
		return nil, files, err
	}
	if err := json.Unmarshal(l.text[:textLen], text); err != nil {
		return nil, files, errMessage
	}
	if dataLen > 0 {
		data, err = readData(l.c, int(dataLen))
	}
	return data, files, err
}

// readData takes memory as data comes, not as it is announced.
func readData(r io.Reader, n int) (data []byte, err error) {
	const step = 4 << 20
	for len(data) < n {
		from := len(data)
		data = append(data, make([]byte, min(step, n-from))...)
		if _, err := io.ReadFull(r, data[from:]); err != nil {
			return nil, err
		}
	}
	return data, nil
}

// received returns the open files that came along with a message.
func received(oob []byte) (files []*os.File) {
	messages, err := syscall.ParseSocketControlMessage(oob)
	if err != nil {
		return nil
	}
	for _, m := range messages {
		fds, err := syscall.ParseUnixRights(&m)
		if err != nil {
			continue
		}
		for _, fd := range fds {
			files = append(files, os.NewFile(uintptr(fd), "received"))
		}
	}
	return files
}
