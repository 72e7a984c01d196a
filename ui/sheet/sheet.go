package sheet

import (
	"strings"

	"gioui.org/gesture"
	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/unit"
	"gioui.org/widget"

	"turngauge/geometry"
	"turngauge/ui/draw"
)

// Sheet is the state of the sheet between frames. The zero value is ready to
// use. It must not be copied.
type Sheet struct {
	// At is the position on the stages. When it changes, its rows come into
	// view; the coach may choose to see them only.
	At geometry.PositionName
	// Order names measures in the coach's own order, which their rows stand in; those
	// that it does not name follow as usual. It is replaced, never changed.
	Order []string
	// View is which rows are shown; OnlyMeasured hides missing rows.
	View         View
	OnlyMeasured bool
	// Changes shows the change since the previous lesson in place of the
	// verdict, where there is a previous lesson.
	Changes bool

	// MendKeys is the shortcut shown on the button of a notice.
	MendKeys string

	cursor  string // key of the selected row
	hovered string // key of the row under the pointer
	keyed   string // key of the row that was chosen with the keyboard
	away    bool   // the keyboard has left it for its key position

	copyAll, copyRow, measured draw.Button
	up, down                   draw.Button // move the selected row
	mend, worst                draw.Button
	which, last, over          draw.Segmented

	areaTag    bool   // the whole sheet
	pointerTag bool   // the list
	detail     string // the row last pointed at, while the pointer is in the sheet
	pointerIn  bool
	pointerY   int // in the list's view
	scroll     gesture.Scroll
	bar        widget.Scrollbar
	cardScroll gesture.Scroll
	cardOffset int
	cardMore   int    // how far the card can scroll
	cardKey    string // the row the card was last scrolled for

	items   []item
	inShort bool // they say what is known, a line each
	built   shown
	offset  int // of the list, pixels
	lastAt  geometry.PositionName

	lastMetric unit.Metric

	reveal bool // bring the cursor's row into view at the next layout
	view   int  // height of the list, pixels
	total  int  // height of all items, pixels
	wants  int  // height that would show all that is decided, pixels
}

// shown is what items was made from.
type shown struct {
	model                 *Model
	at                    geometry.PositionName
	view                  View
	onlyMeasured, changes bool
	order                 *string // the first of Sheet.Order
}

// item is one line of the list: a group's header (row nil) or a row.
type item struct {
	group *Group
	row   *Row
	top   int // pixels from the top of the list; set by Layout
	bot   int
}

// EventKind says what the coach did.
type EventKind uint8

// What a coach does with the sheet.
const (
	// Selected: a row was clicked or reached with the keyboard.
	Selected EventKind = iota + 1
	// Opened: Return on the selected row.
	Opened
	// Copied: Text is to go to the clipboard.
	Copied
	// Mended: the button of the notice.
	Mended
	// WentTo: what is marked worst, at Event.At.
	WentTo
	// Averaged: the numbers are to be means over the visit, or, with Event.Alone, those
	// of this swing.
	Averaged
	// Ordered: rows are to stand in Event.Order.
	Ordered
)

// Event is something the coach did. Row is nil where the whole sheet is
// meant.
type Event struct {
	Kind EventKind
	Row  *Row
	Text string
	At   geometry.PositionName
	// Alone is as in Input.
	Alone bool
	// Order names measures; nil for the usual order.
	Order []string
}

// Wants is the height at which all is shown that is decided, pixels, as last laid out; 0
// where the sheet shows something else.
func (s *Sheet) Wants() int { return s.wants }

// Selected returns the key of the selected row, or "".
func (s *Sheet) Selected() string { return s.cursor }

// Select selects the row with the key and brings it into view.
func (s *Sheet) Select(key string) {
	if s.cursor != key {
		s.cursor, s.reveal = key, true
	}
}

// Hovered returns the key of the row under the pointer, or "".
func (s *Sheet) Hovered() string { return s.hovered }

// Pointed returns the key of the row under the pointer, else of the one that was chosen with
// the keyboard, while it has that or its key position is on the stages; or "".
func (s *Sheet) Pointed() string {
	if s.hovered != "" || s.keyed != s.cursor || s.away && !strings.HasSuffix(s.keyed, Key("", s.At)) {
		return s.hovered
	}
	return s.keyed
}

// Focus gives the sheet the keyboard.
func (s *Sheet) Focus(gtx layout.Context) { gtx.Execute(key.FocusCmd{Tag: s}) }

// Focused reports whether the sheet has the keyboard.
func (s *Sheet) Focused(gtx layout.Context) bool { return gtx.Focused(s) }

// Update handles input and returns the next thing the coach did. Call it until
// it returns false, then Layout.
func (s *Sheet) Update(gtx layout.Context, m *Model) (Event, bool) {
	s.build(m)
	if s.copyAll.Clicked(gtx) {
		return Event{Kind: Copied, Text: m.Text()}, true
	}
	if s.copyRow.Clicked(gtx) {
		if r, ok := m.Find(s.detailKey()); ok {
			return Event{Kind: Copied, Row: r, Text: r.Text() + "\n"}, true
		}
	}
	if s.up.Clicked(gtx) {
		if e, ok := s.move(-1); ok {
			return e, true
		}
	}
	if s.down.Clicked(gtx) {
		if e, ok := s.move(1); ok {
			return e, true
		}
	}
	if s.mend.Clicked(gtx) && m != nil && m.Notice != nil {
		return Event{Kind: Mended}, true
	}
	if s.worst.Clicked(gtx) && m != nil && m.marked.at != "" {
		return Event{Kind: WentTo, At: m.marked.at}, true
	}
	if s.measured.Clicked(gtx) {
		s.OnlyMeasured = !s.OnlyMeasured
	}
	if i, ok := s.which.Update(gtx); ok {
		s.View, s.offset = View(i), 0
	}
	if i, ok := s.last.Update(gtx); ok {
		s.Changes = i == 1
	}
	if i, ok := s.over.Update(gtx); ok {
		return Event{Kind: Averaged, Alone: i == 1}, true
	}
	s.build(m)
	s.updateArea(gtx)
	if e, ok := s.updatePointer(gtx); ok {
		return e, true
	}
	return s.updateKeys(gtx)
}

// build makes the list of items again where what it shows has changed.
func (s *Sheet) build(m *Model) {
	now := shown{m, s.At, s.View, s.OnlyMeasured, s.Changes, nil}
	if len(s.Order) > 0 {
		now.order = &s.Order[0]
	}
	if s.built == now {
		return
	}
	s.built = now
	s.items = s.items[:0]
	if m == nil {
		return
	}
	s.inShort = false
	known := s.knownNow(m)
	for g := range known {
		s.inShort = true
		s.items = append(s.items, item{group: &known[g].Group})
		if known[g].open {
			continue
		}
		for _, r := range s.inOrder(known[g].rows) {
			s.items = append(s.items, item{row: r})
		}
	}
	if s.inShort {
		return
	}
	for g := range m.Groups {
		group := &m.Groups[g]
		head := len(s.items)
		s.items = append(s.items, item{group: group})
		var rows []*Row
		for i := range group.Rows {
			r := &group.Rows[i]
			if s.OnlyMeasured && r.Missing != "" || s.View == AtNow && s.At != "" && r.Position != s.At || s.View == Targeted && !r.HasTarget {
				continue
			}
			rows = append(rows, r)
		}
		for _, r := range s.inOrder(rows) {
			s.items = append(s.items, item{row: r})
		}
		if len(s.items) == head+1 {
			s.items = s.items[:head]
		}
	}
}

func (s *Sheet) updatePointer(gtx layout.Context) (Event, bool) {
	for {
		ev, ok := gtx.Event(pointer.Filter{
			Target: &s.pointerTag,
			Kinds:  pointer.Press | pointer.Move | pointer.Enter | pointer.Leave | pointer.Cancel,
		})
		if !ok {
			return Event{}, false
		}
		e, ok := ev.(pointer.Event)
		if !ok {
			continue
		}
		r := s.rowAt(int(e.Position.Y))
		s.pointerIn = e.Kind != pointer.Leave && e.Kind != pointer.Cancel
		s.pointerY = int(e.Position.Y)
		s.point()
		if e.Kind == pointer.Press && r != nil && (e.Source != pointer.Mouse || e.Buttons == pointer.ButtonPrimary) {
			gtx.Execute(key.FocusCmd{Tag: s})
			s.cursor, s.reveal = r.Key, true
			return Event{Kind: Selected, Row: r}, true
		}
	}
}

// updateArea forgets the row last pointed at when the pointer leaves the sheet.
func (s *Sheet) updateArea(gtx layout.Context) {
	for {
		ev, ok := gtx.Event(pointer.Filter{Target: &s.areaTag, Kinds: pointer.Enter | pointer.Leave | pointer.Cancel})
		if !ok {
			return
		}
		if e, ok := ev.(pointer.Event); ok && e.Kind != pointer.Enter {
			s.detail = ""
		}
	}
}

// point finds the row under the pointer; rows also move under a pointer that
// keeps still.
func (s *Sheet) point() {
	s.hovered = ""
	if !s.pointerIn {
		return
	}
	if r := s.rowAt(s.pointerY); r != nil {
		s.hovered, s.detail = r.Key, r.Key
	}
}

// rowAt returns the row at a height in the list's own view.
func (s *Sheet) rowAt(y int) *Row {
	y += s.offset
	for i := range s.items {
		if it := &s.items[i]; y >= it.top && y < it.bot {
			return it.row
		}
	}
	return nil
}

// index returns the item of the selected row, or -1.
func (s *Sheet) index() int {
	if s.cursor == "" {
		return -1
	}
	for i := range s.items {
		if r := s.items[i].row; r != nil && r.Key == s.cursor {
			return i
		}
	}
	return -1
}

// step returns the first row past item i in a direction.
func (s *Sheet) step(i, d int) *Row {
	for i += d; i >= 0 && i < len(s.items); i += d {
		if r := s.items[i].row; r != nil {
			return r
		}
	}
	return nil
}

// page returns the row about one view further on.
func (s *Sheet) page(i, d int) *Row {
	if i < 0 {
		return s.step(-1, 1)
	}
	goal := s.items[i].top + d*s.view
	best := s.items[i].row
	for j := i; j >= 0 && j < len(s.items); j += d {
		if s.items[j].row == nil {
			continue
		}
		if d > 0 && s.items[j].top > goal || d < 0 && s.items[j].top < goal {
			break
		}
		best = s.items[j].row
	}
	return best
}

// detailKey returns the row the card tells of: the one pointed at last while
// the pointer is in the sheet, else the selected one. The pointer may so move
// onto the card without losing it.
func (s *Sheet) detailKey() string {
	if s.detail != "" {
		return s.detail
	}
	return s.cursor
}
