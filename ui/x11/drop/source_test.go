package drop

import (
	"testing"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/stretchr/testify/require"
)

// fakeSource is a program files are dragged from, written after the XDND specification's steps for the
// source and sharing nothing with the code under test.
type fakeSource struct {
	t       *testing.T
	conn    *xgb.Conn
	win     xproto.Window
	target  xproto.Window // the window under the pointer, named in every message
	to      xproto.Window // where messages are sent: the target or its proxy
	version uint32

	list     string // what text/uri-list gives
	chunk    int    // > 0: send in parts of this size (ICCCM 2.7.2)
	mute     bool   // never answer a request for the list
	refusing bool   // answer it with a refusal

	messages chan xproto.ClientMessageEvent
	asked    chan struct{} // told of each request for the list
}

// newSource opens a drag source and finds out how to talk to the target.
func newSource(t *testing.T, display string, target xproto.Window) *fakeSource {
	t.Helper()
	s := &fakeSource{t: t, conn: connect(t, display), target: target, to: target, messages: make(chan xproto.ClientMessageEvent, 1000), asked: make(chan struct{}, 1000)}
	screen := xproto.Setup(s.conn).DefaultScreen(s.conn)
	var err error
	s.win, err = xproto.NewWindowId(s.conn)
	require.NoError(t, err)
	require.NoError(t, xproto.CreateWindowChecked(s.conn, screen.RootDepth, s.win, screen.Root, 0, 0, 10, 10, 0,
		xproto.WindowClassInputOutput, screen.RootVisual, 0, nil).Check())
	require.NoError(t, xproto.SetSelectionOwnerChecked(s.conn, s.win, atom(t, s.conn, "XdndSelection"), xproto.TimeCurrentTime).Check())

	// "The proxy window must have the XdndProxy property set to point to itself. If it doesn't or if the
	// proxy window doesn't exist at all, one should ignore XdndProxy."
	if p := property(t, s.conn, target, "XdndProxy", xproto.AtomWindow); p != 0 &&
		property(t, s.conn, xproto.Window(p), "XdndProxy", xproto.AtomWindow) == p {
		s.to = xproto.Window(p)
	}
	s.version = min(5, property(t, s.conn, s.to, "XdndAware", xproto.AtomAtom))
	return s
}

// serve answers requests for the list and collects the target's messages. Call it when the list is set.
func (s *fakeSource) serve() {
	incr := atom(s.t, s.conn, "INCR")
	go func() {
		var rest []byte
		var to xproto.Window
		var prop, kind xproto.Atom
		for {
			ev, xerr := s.conn.WaitForEvent()
			if ev == nil && xerr == nil {
				return
			}
			switch ev := ev.(type) {
			case xproto.ClientMessageEvent:
				s.messages <- ev
			case xproto.SelectionRequestEvent:
				s.asked <- struct{}{}
				if s.mute {
					continue
				}
				answer := xproto.SelectionNotifyEvent{
					Time: ev.Time, Requestor: ev.Requestor, Selection: ev.Selection, Target: ev.Target, Property: ev.Property,
				}
				switch {
				case s.refusing:
					answer.Property = 0
				case s.chunk > 0:
					rest, to, prop, kind = []byte(s.list), ev.Requestor, ev.Property, ev.Target
					xproto.ChangeWindowAttributes(s.conn, to, xproto.CwEventMask, []uint32{xproto.EventMaskPropertyChange})
					size := make([]byte, 4)
					xgb.Put32(size, uint32(len(rest)))
					xproto.ChangeProperty(s.conn, xproto.PropModeReplace, to, prop, incr, 32, 1, size)
				default:
					xproto.ChangeProperty(s.conn, xproto.PropModeReplace, ev.Requestor, ev.Property, ev.Target, 8,
						uint32(len(s.list)), []byte(s.list))
				}
				xproto.SendEvent(s.conn, false, ev.Requestor, 0, string(answer.Bytes()))
			case xproto.PropertyNotifyEvent:
				// "... waits for the property to be deleted, then writes the next part; the last has length zero."
				if to == 0 || ev.Window != to || ev.Atom != prop || ev.State != xproto.PropertyDelete {
					continue
				}
				n := min(s.chunk, len(rest))
				xproto.ChangeProperty(s.conn, xproto.PropModeReplace, to, prop, kind, 8, uint32(n), rest[:n])
				if rest = rest[n:]; n == 0 {
					to = 0
				}
			}
		}
	}()
}

func (s *fakeSource) send(kind string, words ...uint32) {
	s.t.Helper()
	data := make([]uint32, 5)
	data[0] = uint32(s.win)
	copy(data[1:], words)
	ev := xproto.ClientMessageEvent{
		Format: 32, Window: s.target, Type: atom(s.t, s.conn, kind), Data: xproto.ClientMessageDataUnionData32New(data),
	}
	require.NoError(s.t, xproto.SendEventChecked(s.conn, false, s.to, 0, string(ev.Bytes())).Check())
}

// enter announces the drag with its types; more than three go to the property XdndTypeList.
func (s *fakeSource) enter(types ...string) {
	s.t.Helper()
	words := make([]uint32, 4)
	words[0] = s.version << 24
	var list []byte
	for i, name := range types {
		a := uint32(atom(s.t, s.conn, name))
		list = append(list, 0, 0, 0, 0)
		xgb.Put32(list[4*i:], a)
		if i < 3 {
			words[1+i] = a
		}
	}
	if len(types) > 3 {
		words[0] |= 1
		require.NoError(s.t, xproto.ChangePropertyChecked(s.conn, xproto.PropModeReplace, s.win, atom(s.t, s.conn, "XdndTypeList"),
			xproto.AtomAtom, 32, uint32(len(types)), list).Check())
	}
	s.send("XdndEnter", words...)
}

// move reports the pointer at a point of the screen and returns the target's answer.
func (s *fakeSource) move(x, y int) (accepted bool, action string) {
	s.t.Helper()
	s.send("XdndPosition", 0, uint32(x)<<16|uint32(y), xproto.TimeCurrentTime, uint32(atom(s.t, s.conn, "XdndActionMove")))
	d := s.answer("XdndStatus")
	require.Equal(s.t, uint32(s.target), d[0], "the status names the window under the pointer, not the proxy")
	require.Zero(s.t, d[2]|d[3], "an empty rectangle: every move is of interest")
	return d[1]&1 != 0, s.name(d[4])
}

// drop lets go and returns the target's last word.
func (s *fakeSource) drop() (taken bool, action string) {
	s.t.Helper()
	s.send("XdndDrop", 0, xproto.TimeCurrentTime)
	d := s.answer("XdndFinished")
	require.Equal(s.t, uint32(s.target), d[0])
	return d[1]&1 != 0, s.name(d[2])
}

func (s *fakeSource) answer(kind string) []uint32 {
	s.t.Helper()
	select {
	case m := <-s.messages:
		require.Equal(s.t, kind, s.name(uint32(m.Type)))
		require.Equal(s.t, s.win, m.Window)
		return m.Data.Data32
	case <-time.After(20 * time.Second):
		require.Fail(s.t, "no "+kind+" came")
		return nil
	}
}

func (s *fakeSource) name(a uint32) string {
	s.t.Helper()
	if a == 0 {
		return ""
	}
	r, err := xproto.GetAtomName(s.conn, xproto.Atom(a)).Reply()
	require.NoError(s.t, err)
	return r.Name
}
