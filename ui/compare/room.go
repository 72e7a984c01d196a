// Package compare is the room in which two swings are held against each other: the
// other one is chosen, and what is compared stands in the guide's place.
package compare

import (
	"fmt"
	"image"
	"path/filepath"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/ui/compare/overlay"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/profile"
	"turngauge/ui/session"
	"turngauge/ui/shelf/worker"
)

// Room is what stands in the guide's place while two swings are compared.
type Room struct {
	host    kit.Host
	library *worker.Client
	dirs    profile.Dirs
	doors   Doors
	card    Card
	over    *overlay.Overlay
}

// Doors are what the room asks of the window beside the open lesson.
type Doors struct {
	// Changes has the sheet show changes, or the swing alone.
	Changes func(on bool)
	// Begun makes room for the pictures of both swings.
	Begun func()
	// Picture draws the small picture of a lesson in a size.
	Picture func(gtx layout.Context, path string, size image.Point)
	// Buttons draws the buttons of commands that there is room for.
	Buttons func(gtx layout.Context, buttons []kit.GuideButton) layout.Dimensions
}

// New makes the room.
func New(host kit.Host, library *worker.Client, dirs profile.Dirs, doors Doors) *Room {
	r := &Room{host: host, library: library, dirs: dirs, doors: doors, over: overlay.New(host)}
	r.card.room = r
	return r
}

// Card is the card on which the swing to compare with is chosen.
func (r *Room) Card() *Card { return &r.card }

// Commands begin and end the comparison.
func (r *Room) Commands() []kit.Command {
	return append([]kit.Command{
		{ID: "compare", Group: "Lesson", After: "shots", Help: "Compare with another swing; again: back to the bench", Keys: kit.On("V"), Do: r.toggle},
		{ID: "compared view", Group: "Lesson", After: "compare", Help: "While comparing: both swings from the other view", Keys: kit.WithMod(key.ModShift, "T"),
			Do: func() { r.host.Session().CompareOtherView() }, Enabled: r.On},
		{ID: "choose other", Group: "Lesson", After: "compared view", Help: "Choose the swing to compare with", Keys: kit.WithMod(key.ModShift, "V"), Do: r.card.Choose},
	}, r.over.Commands()...)
}

// Over lays the other swing over this one.
func (r *Room) Over() *overlay.Overlay { return r.over }

// On reports whether the stages show two swings.
func (r *Room) On() bool { return r.host.Session() != nil && r.host.Session().Comparing != nil }

// toggle begins comparing, ends it, or asks for the other swing first.
func (r *Room) toggle() {
	switch s := r.host.Session(); {
	case s.Comparing != nil:
		s.StopComparing()
	case s.Other != nil:
		r.start()
	default:
		r.card.Choose()
	}
}

// start puts the other swing beside the one on the bench.
func (r *Room) start() {
	r.host.Session().StartComparing()
	r.doors.Changes(true)
	r.doors.Begun()
}

// with compares with a swing of a lesson.
func (r *Room) with(path string, l *annotations.Lesson, swing string) {
	r.host.Session().CompareWith(path, l, swing)
	r.start()
}

// WithFile reads a lesson document, which may take a while, and compares with its
// swing.
func (r *Room) WithFile(path string) {
	s := r.host.Session()
	r.host.Go("Reading the lesson to compare with", func() {
		l, _, err := annotations.Load(path)
		r.host.Post(func() {
			switch {
			case r.host.Session() != s: // another lesson is open, or none
			case err != nil:
				r.host.Alert(err.Error())
			default:
				r.withLesson(s, path, l)
			}
		})
	}, nil)
}

// withLesson compares with the swing of a lesson that is most like the one on the
// bench, or says why not.
func (r *Room) withLesson(s *session.Session, path string, l *annotations.Lesson) {
	swing, ok := series.ToCompare(l, s.Bench.Swing().Club)
	switch {
	case !ok:
		r.host.Alert(fmt.Sprintf("%s has no marked swing to compare with. Open it and mark one first.", filepath.Base(path)))
	case filepath.Clean(path) == filepath.Clean(s.Path) && swing == s.Bench.Swing().ID:
		r.host.Alert("That is the swing on the bench itself. Choose another lesson, or another swing of this one.")
	default:
		r.with(path, l, swing)
	}
}

// Escape goes back to the bench.
func (r *Room) Escape() bool {
	if !r.On() {
		return false
	}
	if !r.over.End() {
		r.host.Session().StopComparing()
	}
	return true
}

// HoldsKeys reports false: nothing is written in the room.
func (r *Room) HoldsKeys() bool { return false }

// LessonClosed takes the changes off the sheet.
func (r *Room) LessonClosed() {
	r.doors.Changes(false)
	r.over.End()
}

// Update does nothing: the room's buttons are those of commands.
func (r *Room) Update(layout.Context) {}

// Layout stands in the guide's place while two swings are compared.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, s := r.host.Theme(), r.host.Session()
	p := kit.BeginGuide(gtx, th)
	p.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Body, font.SemiBold, th.Text, "Compared with "+s.Other.Title(s.Bench.Lesson()))
	})
	p.Add(func(gtx layout.Context) layout.Dimensions {
		text := "The sheet says what is more or less than there, and how surely."
		if !s.Other.Measured {
			text = "The other swing is being measured …"
		}
		if over := r.over.Words(); over != "" {
			text = over
		}
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
	})
	lay := kit.GuideButton{ID: "lay over", Label: "Lay over"}
	if r.over.On() {
		lay.Label = "Side by side"
	}
	return p.End(r.doors.Buttons, lay, kit.GuideButton{ID: "compared view", Label: "Other view"}, kit.GuideButton{ID: "compare", Label: "End"}, kit.GuideButton{ID: "choose other", Label: "Other swing …"})
}
