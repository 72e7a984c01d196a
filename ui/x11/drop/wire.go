package drop

import (
	"errors"
	"fmt"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// version is the protocol version we announce; a source speaks the lower of its own and ours.
const version = 5

// oldest is the lowest version understood: "a program must support all versions from 3 up to the one it
// announces" (XDND, Technical Details).
const oldest = 3

// The limits on what a source may send. A list of 1 MiB is several thousand clips.
const (
	maxListBytes = 1 << 20
	maxTypes     = 1024
)

// atoms are the names the X server knows by number.
type atoms struct {
	aware, proxy, selection, typeList            xproto.Atom
	enter, position, status, leave, drop, finish xproto.Atom
	copy, uriList, incr, landing                 xproto.Atom
}

// wire is our end of the protocol: the windows, the atoms and the messages.
type wire struct {
	conn   *xgb.Conn
	root   xproto.Window // of the screen the window is on
	target xproto.Window // the program's window
	proxy  xproto.Window // ours, never shown
	atoms
}

// newWire makes the proxy window and marks the target.
func newWire(conn *xgb.Conn, target xproto.Window) (wire, error) {
	w := wire{conn: conn, target: target}
	if err := w.intern(); err != nil {
		return wire{}, err
	}
	geo, err := xproto.GetGeometry(conn, xproto.Drawable(target)).Reply()
	if err != nil {
		return wire{}, fmt.Errorf("drop: the window can't be found: %w", err)
	}
	w.root = geo.Root
	if w.proxy, err = xproto.NewWindowId(conn); err != nil {
		return wire{}, fmt.Errorf("drop: no window id: %w", err)
	}
	err = xproto.CreateWindowChecked(conn, 0, w.proxy, w.root, -1, -1, 1, 1, 0, xproto.WindowClassInputOnly, 0,
		xproto.CwOverrideRedirect|xproto.CwEventMask, []uint32{1, xproto.EventMaskPropertyChange}).Check()
	if err != nil {
		return wire{}, fmt.Errorf("drop: no proxy window: %w", err)
	}
	// The proxy points to itself; that is how a source tells it from one left over by a program that died.
	for _, win := range []xproto.Window{w.proxy, target} {
		if err := w.set(win, w.atoms.proxy, xproto.AtomWindow, uint32(w.proxy)); err != nil {
			return wire{}, err
		}
		if err := w.set(win, w.aware, xproto.AtomAtom, version); err != nil {
			return wire{}, err
		}
	}
	// To hear when the target goes away. Masks are per connection, so the toolkit's own is not touched. It
	// may go at any time: without the answer awaited it could go before it is watched.
	if err := w.watch(target, true).Check(); err != nil {
		return wire{}, fmt.Errorf("drop: the window is gone: %w", err)
	}
	return w, nil
}

// intern asks for all atoms at once.
func (w *wire) intern() error {
	names := []struct {
		to   *xproto.Atom
		name string
	}{
		{&w.aware, "XdndAware"}, {&w.atoms.proxy, "XdndProxy"}, {&w.selection, "XdndSelection"},
		{&w.typeList, "XdndTypeList"}, {&w.enter, "XdndEnter"}, {&w.position, "XdndPosition"},
		{&w.status, "XdndStatus"}, {&w.leave, "XdndLeave"}, {&w.drop, "XdndDrop"},
		{&w.finish, "XdndFinished"}, {&w.copy, "XdndActionCopy"}, {&w.uriList, "text/uri-list"},
		{&w.incr, "INCR"}, {&w.landing, "TURNGAUGE_DROP"},
	}
	cookies := make([]xproto.InternAtomCookie, len(names))
	for i, n := range names {
		cookies[i] = xproto.InternAtom(w.conn, false, uint16(len(n.name)), n.name)
	}
	for i, n := range names {
		r, err := cookies[i].Reply()
		if err != nil {
			return fmt.Errorf("drop: atom %s: %w", n.name, err)
		}
		*n.to = r.Atom
	}
	return nil
}

// set writes one 32-bit property.
func (w *wire) set(win xproto.Window, name, kind xproto.Atom, value uint32) error {
	data := make([]byte, 4)
	xgb.Put32(data, value)
	err := xproto.ChangePropertyChecked(w.conn, xproto.PropModeReplace, win, name, kind, 32, 1, data).Check()
	if err != nil {
		return fmt.Errorf("drop: the window can't be marked: %w", err)
	}
	return nil
}

// unmark takes our properties off the target. It may be gone: errors are of no use.
func (w *wire) unmark() {
	xproto.DeleteProperty(w.conn, w.target, w.aware)
	_ = xproto.DeletePropertyChecked(w.conn, w.target, w.atoms.proxy).Check()
}

// watch asks to be told, or no longer told, when a window of another program is destroyed. The answer need
// not be awaited.
func (w *wire) watch(win xproto.Window, on bool) xproto.ChangeWindowAttributesCookie {
	mask := uint32(xproto.EventMaskNoEvent)
	if on {
		mask = xproto.EventMaskStructureNotify
	}
	return xproto.ChangeWindowAttributesChecked(w.conn, win, xproto.CwEventMask, []uint32{mask})
}

// send delivers one protocol message to a drag source.
func (w *wire) send(source xproto.Window, message xproto.Atom, data [5]uint32) {
	ev := xproto.ClientMessageEvent{
		Format: 32,
		Window: source,
		Type:   message,
		Data:   xproto.ClientMessageDataUnionData32New(data[:]),
	}
	xproto.SendEvent(w.conn, false, source, xproto.EventMaskNoEvent, string(ev.Bytes()))
}

// sendStatus answers a position: bit 0 the drop would be taken, bit 1 with an empty rectangle that every
// move is of interest.
func (w *wire) sendStatus(source xproto.Window, accept bool) {
	data := [5]uint32{0: uint32(w.target)}
	if accept {
		data[1], data[4] = 3, uint32(w.copy)
	}
	w.send(source, w.status, data)
}

// sendFinished ends a drop.
func (w *wire) sendFinished(source xproto.Window, taken bool) {
	data := [5]uint32{0: uint32(w.target)}
	if taken {
		data[1], data[2] = 1, uint32(w.copy)
	}
	w.send(source, w.finish, data)
}

// local converts a point of the root window to one of the target.
func (w *wire) local(x, y int16) (int, int, bool) {
	r, err := xproto.TranslateCoordinates(w.conn, w.root, w.target, x, y).Reply()
	if err != nil || !r.SameScreen {
		return 0, 0, false
	}
	return int(r.DstX), int(r.DstY), true
}

// listedTypes reads the types a source offers when they are more than the three that fit the message.
func (w *wire) listedTypes(source xproto.Window) []xproto.Atom {
	r, err := xproto.GetProperty(w.conn, false, source, w.typeList, xproto.AtomAtom, 0, maxTypes).Reply()
	if err != nil || r.Format != 32 {
		return nil
	}
	types := make([]xproto.Atom, 0, r.ValueLen)
	for v := r.Value; len(v) >= 4; v = v[4:] {
		types = append(types, xproto.Atom(xgb.Get32(v)))
	}
	return types
}

// ask wants the dropped names put on our window.
func (w *wire) ask(at xproto.Timestamp) {
	xproto.DeleteProperty(w.conn, w.proxy, w.landing)
	xproto.ConvertSelection(w.conn, w.proxy, w.selection, w.uriList, w.landing, at)
}

// errTooLong is a list over maxListBytes.
var errTooLong = errors.New("drop: list too long")

// collect takes what a source has put on our window and clears it, which tells a source that sends in
// parts (ICCCM 2.7.2) to go on. parts reports that it does.
func (w *wire) collect() (data []byte, parts bool, err error) {
	r, err := xproto.GetProperty(w.conn, false, w.proxy, w.landing, xproto.GetPropertyTypeAny, 0, maxListBytes/4).Reply()
	if err != nil {
		return nil, false, fmt.Errorf("drop: the list can't be read: %w", err)
	}
	xproto.DeleteProperty(w.conn, w.proxy, w.landing)
	if r.BytesAfter > 0 {
		return nil, false, errTooLong
	}
	if r.Type == w.incr {
		return nil, true, nil
	}
	if r.Format != 8 && r.ValueLen > 0 {
		return nil, false, fmt.Errorf("drop: the list has %d-bit units", r.Format)
	}
	return r.Value[:r.ValueLen], false, nil
}
