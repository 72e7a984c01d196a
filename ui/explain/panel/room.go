// Package panel is the room in which a frame is explained to the student: the
// lines that matter and the coach's own drawings take the place of the marks on
// the stages, which can't be touched meanwhile, and what is shown can be taken
// along as a picture.
package panel

import (
	"fmt"
	"strings"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/widget"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/kit"
)

// Room is the bar over the stages, what stands in the guide's place, and what is
// drawn on the pictures, while a frame is explained.
type Room struct {
	host  kit.Host
	doors Doors

	lines   explain.Set
	text    draw.Field
	drawing bool // a still is being drawn
	save    SaveCard
	state
}

// state is what is forgotten with the lesson.
type state struct {
	on    bool
	board *explain.Board
	of    *bench.Bench // whose board it is

	textOf    string // ID of the drawing the field is about
	wantsText bool   // the field is to get the keyboard
	typing    bool   // it has it

	layouts [bench.NumStages]*explain.Layout // as last drawn
	kept    [bench.NumStages]keptFrame

	otherSeen [][]explain.Seen // of the swing compared with
	seenOf    *annotations.Result
}

// Doors are what the room asks the window for beside the open lesson.
type Doors struct {
	// Shown lists the stages that the window shows, and Size is that of a
	// stage's picture area, pixels.
	Shown func() []int
	Size  func(stage int) bench.Size
	// Button draws the button of a command, and Buttons a row of them.
	Button  func(gtx layout.Context, id string, s draw.ButtonStyle) layout.Dimensions
	Buttons func(gtx layout.Context, buttons []kit.GuideButton) layout.Dimensions
	// Over is how the second stage's picture lies over the first one's, and how
	// strongly it is seen; ok is false while they stand side by side.
	Over func() (over geometry.Similarity, share float64, ok bool)
	// Begun is told that explaining begins.
	Begun func()
	// CopyPNG puts a picture on the clipboard; it is called on any goroutine.
	CopyPNG func(data []byte) error
}

// New makes the room; nothing is explained yet.
func New(host kit.Host, doors Doors) *Room {
	x := &Room{host: host, doors: doors}
	x.save.room = x
	return x
}

// usualLines are the lines that are on until the coach chooses others.
var usualLines = explain.Set{explain.AnkleKneeLine: true, explain.HipLine: true, explain.ShoulderLine: true}

// noLines is how the settings say that no line is on.
const noLines = "none"

// linesOf reads the lines that the settings name.
func linesOf(s string) (on explain.Set) {
	if s == "" {
		return usualLines
	}
	for name := range strings.SplitSeq(s, ",") {
		if l, ok := explain.ParseLine(name); ok {
			on[l] = true
		}
	}
	return on
}

// lineNames is the inverse of linesOf.
func lineNames(on explain.Set) string {
	var names []string
	for l := range explain.Line(explain.NumLines) {
		if on[l] {
			names = append(names, l.String())
		}
	}
	if len(names) == 0 {
		return noLines
	}
	return strings.Join(names, ",")
}

// On reports whether the stages show what explains the swing.
func (x *Room) On() bool {
	return x.on && x.host.Session() != nil
}

// Lines are the lines that are on.
func (x *Room) Lines() explain.Set { return x.lines }

// Begun returns a drawing that is being made on a stage, as far as it has got.
func (x *Room) Begun(stage int) (annotations.Drawing, bool) {
	if !x.On() {
		return annotations.Drawing{}, false
	}
	return x.drawings().Begun(stage)
}

// Tool is the drawing tool in hand.
func (x *Room) Tool() annotations.DrawingKind { return x.drawings().Tool() }

// HoldsKeys reports whether the text of a drawing is being written.
func (x *Room) HoldsKeys() bool { return x.typing }

// LessonClosed ends explaining.
func (x *Room) LessonClosed() { x.state = state{} }

// Refresh brings what is in hand into line with the lesson, which a key may have
// changed since [Room.Update].
func (x *Room) Refresh() { x.drawings().Refresh() }

// drawings is what the hand can do with drawings on the bench's swing.
func (x *Room) drawings() *explain.Board {
	if b := x.host.Session().Bench; x.of != b {
		s := x.host.Session()
		x.of, x.board = b, explain.NewBoard(b, func() *bench.Show { return s.Show() })
	}
	return x.board
}

func (x *Room) toggle() {
	if x.on {
		x.End()
		x.host.Tell("Back to the marks.")
		return
	}
	x.on = true
	x.lines = linesOf(x.host.Settings().ExplainLines)
	x.doors.Begun()
	x.host.Session().Show().Pause()
	x.host.Tell("Marks are safe while you explain. E or Esc goes back to them.")
}

// End goes back to the marks, if they are not on show.
func (x *Room) End() {
	if x.on {
		x.drawings().Clear()
		x.on = false
	}
}

// toggleLine switches one of the lines on or off.
func (x *Room) toggleLine(l explain.Line) {
	if !x.on {
		x.toggle()
	}
	x.lines[l] = !x.lines[l]
	x.host.Settings().ExplainLines = lineNames(x.lines)
	x.host.KeepSettings()
	if x.lines[l] {
		x.host.Tell(bench.Note(x.lacks(l)))
	}
}

// takeTool takes a drawing tool in hand.
func (x *Room) takeTool(k annotations.DrawingKind) {
	if !x.on {
		x.toggle()
	}
	x.host.Tell(x.drawings().Take(k))
}

// Escape lets go of what was taken last, or ends explaining.
func (x *Room) Escape() bool {
	if !x.On() {
		return false
	}
	if !x.drawings().LetGo() {
		x.End()
		x.host.Tell("Back to the marks.")
	}
	return true
}

// goToDrawn shows the next frame of the active clip that the coach has drawn
// on, or the one before.
func (x *Room) goToDrawn(step int) {
	b := x.host.Session().Show()
	frame, ok := x.drawings().Neighbour(b.Active, step)
	if !ok {
		where := "after"
		if step < 0 {
			where = "before"
		}
		x.host.Tell(bench.Note(fmt.Sprintf("You have drawn on no frame %s this one in the %s clip.", where, b.Stages[b.Active].View)))
		return
	}
	b.Pause()
	b.GoTo(b.Active, frame)
}

// Update takes up what was typed and lets go of what is gone.
func (x *Room) Update(gtx layout.Context) {
	if !x.On() {
		x.typing = false
		return
	}
	b := x.drawings()
	d, _, ok := b.Held()
	if !ok {
		if x.typing {
			kit.ReleaseKeys(gtx, x.host)
		}
		x.textOf, x.typing = "", false
		return
	}
	if x.textOf != d.ID {
		x.textOf = d.ID
		x.text.SetText(d.Text)
		x.text.SetCaret(x.text.Len(), x.text.Len())
		x.text.Submit = true
		x.text.MaxLen = maxNote
	}
	if x.wantsText {
		x.wantsText = false
		gtx.Execute(key.FocusCmd{Tag: &x.text.Editor})
		gtx.Execute(op.InvalidateCmd{})
	}
	done := false
	for {
		e, ok := x.text.Update(gtx)
		if !ok {
			break
		}
		if _, submitted := e.(widget.SubmitEvent); submitted {
			done = true
		}
	}
	// Some of what was typed may have been taken up when the field was laid out:
	// its text is what counts, not its events.
	x.host.Tell(b.SetText(x.text.Text()))
	if done {
		b.LetGo()
		kit.ReleaseKeys(gtx, x.host)
	}
	typing := gtx.Focused(&x.text.Editor)
	if typing != x.typing {
		// A field takes what is typed from the frame on that follows the one
		// in which it got the keyboard: that one must not wait for a key.
		x.typing = typing
		gtx.Execute(op.InvalidateCmd{})
	}
}

// maxNote is how many characters a note may have.
const maxNote = 500
