package drop

import (
	"errors"
	"slices"
	"time"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"

	"turngauge/ui/desktop"
)

// session is the state of the one drag that can be going on. It belongs to the listener's goroutine.
type session struct {
	w    wire
	emit func(desktop.Drag)
	host string // name of this computer, lower case

	source xproto.Window // of the drag; 0: none
	files  bool          // the source offers a list of files
	over   bool          // an Over was emitted
	x, y   int

	asked   time.Time // when the names were asked for after a drop; zero: not asked
	parts   bool      // the names come in parts
	data    []byte    // parts so far
	tooLong bool      // more came than we take; the rest is thrown away
}

// asking reports whether a drop waits for its names.
func (s *session) asking() bool { return !s.asked.IsZero() }

// handle takes one event of the X server and reports whether the target window is gone.
func (s *session) handle(ev xgb.Event) (gone bool) {
	switch ev := ev.(type) {
	case xproto.ClientMessageEvent:
		if ev.Format == 32 {
			s.message(ev.Type, [5]uint32(ev.Data.Data32))
		}
	case xproto.SelectionNotifyEvent:
		if s.asking() && ev.Selection == s.w.selection && ev.Requestor == s.w.proxy {
			s.answered(ev.Property)
		}
	case xproto.PropertyNotifyEvent:
		if s.asking() && s.parts && ev.Atom == s.w.landing && ev.State == xproto.PropertyNewValue {
			s.collect()
		}
	case xproto.DestroyNotifyEvent:
		switch ev.Window {
		case s.w.target:
			return true
		case s.source:
			s.abandon()
		}
	}
	return false
}

// message takes one protocol message. Each names its source first.
func (s *session) message(kind xproto.Atom, data [5]uint32) {
	source := xproto.Window(data[0])
	if kind == s.w.enter {
		s.enter(source, data)
		return
	}
	if source == 0 || source != s.source || s.asking() {
		return // a straggler of a drag that is over
	}
	switch kind {
	case s.w.position:
		s.position(int16(data[2]>>16), int16(data[2]))
	case s.w.leave:
		s.abandon()
	case s.w.drop:
		if !s.files {
			s.fail("What was dropped is not a file. Drop clips or a lesson from a file manager.")
			return
		}
		s.asked = time.Now()
		s.w.ask(xproto.Timestamp(data[2]))
	}
}

// enter begins a drag: bit 0 of the second word says the types are in a property of the source, its upper
// byte is the version of the protocol.
func (s *session) enter(source xproto.Window, data [5]uint32) {
	s.abandon()
	if v := data[1] >> 24; source == 0 || v < oldest || v > version {
		return
	}
	s.source = source
	s.w.watch(source, true)
	types := []xproto.Atom{xproto.Atom(data[2]), xproto.Atom(data[3]), xproto.Atom(data[4])}
	if data[1]&1 != 0 {
		types = s.w.listedTypes(source)
	}
	s.files = slices.Contains(types, s.w.uriList)
}

// position follows the pointer, given on the root window, and says whether a drop there would be taken.
func (s *session) position(rootX, rootY int16) {
	x, y, ok := s.w.local(rootX, rootY)
	accept := ok && s.files
	s.w.sendStatus(s.source, accept)
	if !accept || s.over && x == s.x && y == s.y {
		return
	}
	s.over, s.x, s.y = true, x, y
	s.emit(desktop.Drag{Kind: desktop.Over, X: x, Y: y})
}

// answered takes the source's word that the names are on our window; property 0 is a refusal.
func (s *session) answered(property xproto.Atom) {
	if property != s.w.landing {
		s.fail("The program the files came from did not hand over their names. Use the Open button instead.")
		return
	}
	s.collect()
}

// collect takes the names, or the next part of them.
func (s *session) collect() {
	data, parts, err := s.w.collect()
	switch {
	case err != nil && !(s.parts && errors.Is(err, errTooLong)):
		s.refuse(err)
		return
	case parts:
		s.parts = true
		return
	case s.parts && (err != nil || len(data) > 0):
		// Past the limit the rest is fetched all the same and thrown away, so that the source is not left
		// waiting for us.
		s.tooLong = s.tooLong || err != nil || len(s.data)+len(data) > maxListBytes
		if s.tooLong {
			data, s.data = nil, nil
		}
		s.data = append(s.data, data...)
		return
	case s.tooLong:
		s.refuse(errTooLong)
		return
	case s.parts:
		data = s.data
	}
	paths, err := parseURIList(data, s.host)
	s.end(desktop.Drag{Kind: desktop.Drop, Paths: paths, Err: err}, len(paths) > 0)
}

// refuse ends a drop whose names can't be had.
func (s *session) refuse(err error) {
	if errors.Is(err, errTooLong) {
		s.fail("Too many files were dropped at once. Drop fewer at a time.")
		return
	}
	s.end(desktop.Drag{Kind: desktop.Drop, Err: &desktop.Failure{
		Text:  "The names of the dropped files could not be read. Use the Open button instead.",
		Cause: err,
	}}, false)
}

// fail ends a drop with a sentence.
func (s *session) fail(sentence string) {
	s.end(desktop.Drag{Kind: desktop.Drop, Err: &desktop.Failure{Text: sentence}}, false)
}

// end tells source and program how a drop came out and forgets it.
func (s *session) end(ev desktop.Drag, taken bool) {
	s.w.sendFinished(s.source, taken)
	ev.X, ev.Y = s.x, s.y
	s.forget()
	s.emit(ev)
}

// abandon forgets a drag that will not come to a drop. One whose drop was under way is reported, for the
// coach has seen the files land.
func (s *session) abandon() {
	switch {
	case s.asking():
		s.fail("The program the files came from ended the drop before it handed them over. Drop them again.")
	case s.over:
		s.forget()
		s.emit(desktop.Drag{Kind: desktop.Leave})
	default:
		s.forget()
	}
}

// forget returns to the state of no drag.
func (s *session) forget() {
	if s.source != 0 && s.source != s.w.target {
		s.w.watch(s.source, false)
	}
	*s = session{w: s.w, emit: s.emit, host: s.host}
}
