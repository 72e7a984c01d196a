// Package strip is the room under the pictures: a card for each key position, and
// beside them the guide, which says what to mark next.
package strip

import (
	"context"
	"fmt"
	"image"
	"strconv"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/propose"
	"turngauge/ui/session"
)

// Height is that of the strip, GuideWidth that of the guide as far as there is
// room for it.
const (
	Height     unit.Sp = 124
	GuideWidth unit.Sp = 344
)

// numCards is how many key positions the strip shows: all of them.
const numCards = 7

// Room is the cards of the key positions with the guide.
type Room struct {
	host  kit.Host
	doors Doors

	cards  [numCards]draw.Button
	of     *bench.Bench // that the small pictures are of
	thumbs thumbs
	counts map[[2]int]string // as they are written
	figure draw.Button       // the small drawing of the body in the guide
	stop   draw.Button       // of proposing marks
	stick  stickChoice
}

// Doors are what the room asks of the window beside the open lesson.
type Doors struct {
	// Buttons draws the buttons of commands that there is room for.
	Buttons func(gtx layout.Context, buttons []kit.GuideButton) layout.Dimensions
}

// New makes the room.
func New(host kit.Host, doors Doors) *Room {
	room := &Room{host: host, doors: doors}
	room.thumbs.make = func(ctx context.Context, f *session.Film, frame int, part image.Rectangle) (*image.RGBA, error) {
		return f.Thumbnail(ctx, frame, part, thumbSize)
	}
	return room
}

// Commands set the key positions and go from one to another.
func (room *Room) Commands() []kit.Command {
	b := func() *bench.Bench { return room.host.Session().Bench }
	note := func(do func(b *bench.Bench) bench.Note) func() {
		return func() { room.host.Tell(do(b())) }
	}
	list := []kit.Command{
		{ID: "next position", Group: "Key positions", Help: "Next key position", Keys: kit.On(key.NamePageDown),
			Do: func() { room.host.Session().GoToNeighbour(1) }},
		{ID: "previous position", Group: "Key positions", Help: "Key position before", Keys: kit.On(key.NamePageUp),
			Do: func() { room.host.Session().GoToNeighbour(-1) }},
		{ID: "accept positions", Group: "Key positions", Help: "Take all key positions that are proposed; once they are, all marks proposed here", Keys: kit.WithMod(key.ModShift, key.NameReturn),
			Do: note((*bench.Bench).AcceptAll), Enabled: func() bool { return b().Proposals() > 0 || b().Waiting() > 0 }},
		{ID: "clear position", Group: "Key positions", Help: "Take this key position off, with its marks", Keys: kit.WithMod(key.ModCtrl, key.NameDeleteBackward),
			Do: note(func(b *bench.Bench) bench.Note { return b.ClearPosition(b.Position) })},
	}
	for i, name := range geometry.KeyPositions {
		digit := key.Name(strconv.Itoa(i + 1))
		list = append(list,
			kit.Command{ID: "set " + string(name), Group: "Key positions", Help: "This frame is " + bench.InText(name), Keys: kit.On(digit),
				Do: note(func(b *bench.Bench) bench.Note { return b.SetPosition(name) })},
			kit.Command{ID: "go to " + string(name), Group: "Key positions", Help: "Show " + bench.InText(name), Keys: kit.WithMod(key.ModAlt, digit),
				Do: func() { room.host.Session().GoTo(name) }})
	}
	return list
}

// Escape stops the proposing of marks.
func (room *Room) Escape() bool {
	s := room.host.Session()
	return s != nil && (s.StopFollowing() || s.StopProposing())
}

// HoldsKeys reports false: nothing is written in the room.
func (room *Room) HoldsKeys() bool { return false }

// Update takes up what was clicked.
func (room *Room) Update(gtx layout.Context) {
	for room.figure.Clicked(gtx) {
		room.host.Run("points")
	}
	for k := range room.cards {
		if room.cards[k].Clicked(gtx) {
			room.host.Run("go to " + string(geometry.KeyPositions[k]))
		}
	}
	if room.stop.Clicked(gtx) {
		if s := room.host.Session(); !s.StopFollowing() {
			s.StopProposing()
		}
	}
	room.updateStick(gtx)
}

// Busy reports whether the guide has something to say that must be seen.
func (room *Room) Busy() bool {
	_, following := room.host.Session().Following()
	return following || room.proposing() || room.host.Session().Bench.MarkingAgain()
}

// proposing reports whether marks are being proposed in all swings, and that on the bench
// waits for its own: until then there is nothing else to do in it.
func (room *Room) proposing() bool {
	s := room.host.Session()
	_, on := s.Proposing()
	return on && propose.Wants(s.Bench.Swing())
}

// LayoutGuide draws the guide: what to mark next, or how far proposing marks is.
func (room *Room) LayoutGuide(gtx layout.Context) layout.Dimensions {
	if _, on := room.host.Session().Following(); on {
		return room.layoutFollowing(gtx)
	}
	if room.proposing() {
		return room.layoutProposing(gtx)
	}
	return room.layoutGuide(gtx)
}

// count writes how many points of those useful are done.
func (room *Room) count(done, useful int) string {
	k := [2]int{done, useful}
	text, ok := room.counts[k]
	if !ok {
		if room.counts == nil {
			room.counts = make(map[[2]int]string)
		}
		text = fmt.Sprintf("%d/%d", done, useful)
		room.counts[k] = text
	}
	return text
}
