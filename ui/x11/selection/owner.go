// Package selection puts data of any type, such as a picture, on the clipboard
// of the X Window System.
//
// The window toolkit offers text only. This package does what the Inter-Client
// Communication Conventions Manual (ICCCM, version 2.0, chapter 2; X
// Consortium) asks of the owner of the selection CLIPBOARD, on a connection
// and with an invisible window of its own. Large data goes over in parts
// (chapter 2.7.2, INCR).
//
// The data stays with the program: it is gone from the clipboard once the
// program ends, as X has it, unless a clipboard manager took a copy.
package selection

import (
	"errors"
	"fmt"
	"io"
	"log"
	"sync"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// ErrRefused says that the X server did not give us the clipboard.
var ErrRefused = errors.New("selection: another program took the clipboard at the same moment")

// patience is how long the X server may take to answer, and a program that
// fetches data in parts to ask for the next one.
const patience = 5 * time.Second

// Owner offers data on the clipboard. Make it with Open. Its methods may be
// called from any goroutine.
type Owner struct {
	conn   *xgb.Conn
	window xproto.Window
	atoms
	chunk int // bytes that go over at once

	mu      sync.Mutex
	pending *offer // waits for the server's time
	now     *offer // what is on the clipboard; nil where it is not ours
	parts   map[partKey]*part
	done    chan struct{}
}

// offer is data of one type.
type offer struct {
	target xproto.Atom
	data   []byte
	since  xproto.Timestamp
	taken  chan error
}

// part is data on its way in parts.
type part struct {
	target xproto.Atom
	rest   []byte
	last   time.Time
}

type partKey struct {
	window   xproto.Window
	property xproto.Atom
}

type atoms struct {
	clipboard, targets, timestamp, multiple, pair, incr, stamp xproto.Atom
}

// quietly keeps the protocol library from writing on standard error.
var quietly = sync.OnceFunc(func() { xgb.Logger = log.New(io.Discard, "", 0) })

// Open connects to an X server; the empty name is the one of the environment.
func Open(display string) (*Owner, error) {
	quietly()
	conn, err := xgb.NewConnDisplay(display)
	if err != nil {
		return nil, fmt.Errorf("selection: no X server: %w", err)
	}
	o := &Owner{conn: conn, parts: make(map[partKey]*part), done: make(chan struct{})}
	if err := o.prepare(); err != nil {
		conn.Close()
		return nil, err
	}
	go o.serve()
	return o, nil
}

func (o *Owner) prepare() error {
	for _, a := range []struct {
		to   *xproto.Atom
		name string
	}{
		{&o.clipboard, "CLIPBOARD"}, {&o.targets, "TARGETS"}, {&o.timestamp, "TIMESTAMP"}, {&o.multiple, "MULTIPLE"},
		{&o.pair, "ATOM_PAIR"}, {&o.incr, "INCR"}, {&o.stamp, "TURNGAUGE_STAMP"},
	} {
		atom, err := o.intern(a.name)
		if err != nil {
			return err
		}
		*a.to = atom
	}
	setup := xproto.Setup(o.conn)
	o.chunk = min(int(setup.MaximumRequestLength)*4-256, 1<<17)
	screen := setup.DefaultScreen(o.conn)
	var err error
	if o.window, err = xproto.NewWindowId(o.conn); err != nil {
		return fmt.Errorf("selection: no window id: %w", err)
	}
	err = xproto.CreateWindowChecked(o.conn, 0, o.window, screen.Root, -1, -1, 1, 1, 0, xproto.WindowClassInputOnly, 0,
		xproto.CwOverrideRedirect|xproto.CwEventMask, []uint32{1, xproto.EventMaskPropertyChange}).Check()
	if err != nil {
		return fmt.Errorf("selection: no window: %w", err)
	}
	return nil
}

func (o *Owner) intern(name string) (xproto.Atom, error) {
	r, err := xproto.InternAtom(o.conn, false, uint16(len(name)), name).Reply()
	if err != nil {
		return 0, fmt.Errorf("selection: atom %s: %w", name, err)
	}
	return r.Atom, nil
}

// Offer puts data of a MIME type on the clipboard in place of what was there.
// The data must not be changed afterwards. It returns once the clipboard is
// ours, or with the reason why it is not.
func (o *Owner) Offer(mime string, data []byte) error {
	target, err := o.intern(mime)
	if err != nil {
		return err
	}
	f := &offer{target: target, data: data, taken: make(chan error, 1)}
	o.mu.Lock()
	o.pending = f
	o.mu.Unlock()
	// ICCCM 2.1: the time of taking the selection is asked of the server by
	// adding nothing to a property.
	xproto.ChangeProperty(o.conn, xproto.PropModeAppend, o.window, o.stamp, xproto.AtomInteger, 8, 0, nil)
	select {
	case err := <-f.taken:
		return err
	case <-o.done:
		return errors.New("selection: the X server has gone")
	case <-time.After(patience):
		return errors.New("selection: the X server does not answer")
	}
}

// Close gives the clipboard up and ends the connection.
func (o *Owner) Close() {
	o.conn.Close()
	<-o.done
}

// serve answers until the connection ends.
func (o *Owner) serve() {
	defer close(o.done)
	for {
		ev, err := o.conn.WaitForEvent()
		if ev == nil && err == nil {
			return
		}
		o.mu.Lock()
		switch ev := ev.(type) {
		case xproto.PropertyNotifyEvent:
			if ev.Window == o.window && ev.Atom == o.stamp && o.pending != nil {
				o.take(ev.Time)
			} else if ev.State == xproto.PropertyDelete {
				o.next(partKey{ev.Window, ev.Atom})
			}
		case xproto.SelectionClearEvent:
			if ev.Selection == o.clipboard && o.now != nil && ev.Time >= o.now.since {
				o.now = nil
			}
		case xproto.SelectionRequestEvent:
			o.answer(ev)
		case xproto.DestroyNotifyEvent:
			for k := range o.parts {
				if k.window == ev.Window {
					delete(o.parts, k)
				}
			}
		}
		o.mu.Unlock()
	}
}

// take makes the clipboard ours as of a time of the server's.
func (o *Owner) take(at xproto.Timestamp) {
	f := o.pending
	o.pending = nil
	f.since = at
	xproto.SetSelectionOwner(o.conn, o.window, o.clipboard, at)
	r, err := xproto.GetSelectionOwner(o.conn, o.clipboard).Reply()
	switch {
	case err != nil:
		f.taken <- fmt.Errorf("selection: %w", err)
	case r.Owner != o.window:
		f.taken <- ErrRefused
	default:
		o.now = f
		f.taken <- nil
	}
}

// answer serves one request for the clipboard.
func (o *Owner) answer(ev xproto.SelectionRequestEvent) {
	property := ev.Property
	if property == xproto.AtomNone { // a client from before the conventions
		property = ev.Target
	}
	ours := o.now != nil && ev.Selection == o.clipboard && (ev.Time == xproto.TimeCurrentTime || ev.Time >= o.now.since)
	if !ours || !o.convert(ev.Requestor, ev.Target, property) {
		property = xproto.AtomNone
	}
	reply := xproto.SelectionNotifyEvent{
		Time: ev.Time, Requestor: ev.Requestor, Selection: ev.Selection, Target: ev.Target, Property: property,
	}
	xproto.SendEvent(o.conn, false, ev.Requestor, xproto.EventMaskNoEvent, string(reply.Bytes()))
}

// convert puts what is asked for on a property of the requestor's window and
// reports whether it is to be had.
func (o *Owner) convert(to xproto.Window, target, property xproto.Atom) bool {
	words := func(kind xproto.Atom, v ...uint32) bool {
		data := make([]byte, 4*len(v))
		for i, w := range v {
			xgb.Put32(data[4*i:], w)
		}
		xproto.ChangeProperty(o.conn, xproto.PropModeReplace, to, property, kind, 32, uint32(len(v)), data)
		return true
	}
	switch target {
	case o.targets:
		return words(xproto.AtomAtom, uint32(o.targets), uint32(o.timestamp), uint32(o.multiple), uint32(o.now.target))
	case o.timestamp:
		return words(xproto.AtomInteger, uint32(o.now.since))
	case o.multiple:
		return o.several(to, property)
	case o.now.target:
		if len(o.now.data) > o.chunk {
			o.begin(partKey{to, property})
			return words(o.incr, uint32(len(o.now.data)))
		}
		o.write(partKey{to, property}, target, o.now.data)
		return true
	}
	return false
}

// several serves pairs of target and property (ICCCM 2.6.2); what can't be had
// is struck out of the list.
func (o *Owner) several(to xproto.Window, property xproto.Atom) bool {
	r, err := xproto.GetProperty(o.conn, false, to, property, xproto.GetPropertyTypeAny, 0, 256).Reply()
	if err != nil || r.Format != 32 {
		return false
	}
	for v := r.Value; len(v) >= 8; v = v[8:] {
		target, at := xproto.Atom(xgb.Get32(v)), xproto.Atom(xgb.Get32(v[4:]))
		if target == o.multiple || !o.convert(to, target, at) {
			xgb.Put32(v[4:], xproto.AtomNone)
		}
	}
	xproto.ChangeProperty(o.conn, xproto.PropModeReplace, to, property, o.pair, 32, r.ValueLen, r.Value)
	return true
}

// begin starts sending in parts: the requestor asks for each by deleting the
// one before.
func (o *Owner) begin(k partKey) {
	for old, p := range o.parts {
		if time.Since(p.last) > patience {
			delete(o.parts, old)
		}
	}
	o.parts[k] = &part{o.now.target, o.now.data, time.Now()}
	xproto.ChangeWindowAttributes(o.conn, k.window, xproto.CwEventMask,
		[]uint32{xproto.EventMaskPropertyChange | xproto.EventMaskStructureNotify})
}

// next sends the next part; an empty one is the last.
func (o *Owner) next(k partKey) {
	p := o.parts[k]
	if p == nil {
		return
	}
	n := min(len(p.rest), o.chunk)
	o.write(k, p.target, p.rest[:n])
	p.rest, p.last = p.rest[n:], time.Now()
	if n > 0 {
		return
	}
	delete(o.parts, k)
	for other := range o.parts {
		if other.window == k.window {
			return
		}
	}
	if k.window != o.window {
		xproto.ChangeWindowAttributes(o.conn, k.window, xproto.CwEventMask, []uint32{xproto.EventMaskNoEvent})
	}
}

func (o *Owner) write(k partKey, kind xproto.Atom, data []byte) {
	xproto.ChangeProperty(o.conn, xproto.PropModeReplace, k.window, k.property, kind, 8, uint32(len(data)), data)
}
