package ui

import (
	"fmt"
	"slices"
	"strings"

	"gioui.org/io/key"
	"gioui.org/io/pointer"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/widget"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/sheet"
)

// explaining is the state of explaining a frame to the student: the lines that
// matter and the coach's own drawings take the place of the marks, which can't
// be touched meanwhile.
type explaining struct {
	on    bool
	lines explain.Set
	board *explain.Board
	of    *bench.Bench // whose board it is

	text      draw.Field
	textOf    string // ID of the drawing the field is about
	wantsText bool   // the field is to get the keyboard
	typing    bool   // it has it

	layouts [bench.NumStages]*explain.Layout // as last drawn
	frames  [bench.NumStages]keptFrame
	drawing bool // a still is being drawn
	save    saveCard
	copyPNG func(data []byte) error // puts a picture on the clipboard; on any goroutine
}

// usualLines are the lines that are on until the coach chooses others.
var usualLines = explain.Set{explain.LegLine: true, explain.HipLine: true, explain.ShoulderLine: true}

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

// explains reports whether the stages show what explains the swing.
func (a *App) explains() bool {
	return a.explain.on && a.desk != nil && a.desk.Comparing == nil
}

// board returns what the hand can do with drawings on the bench's swing.
func (a *App) board() *explain.Board {
	x := &a.explain
	if x.of != a.desk.Bench {
		x.of, x.board = a.desk.Bench, explain.NewBoard(a.desk.Bench)
	}
	return x.board
}

func (a *App) toggleExplain() {
	x := &a.explain
	if x.on {
		a.endExplaining()
		return
	}
	x.on = true
	x.lines = linesOf(a.settings.ExplainLines)
	a.points.open = false
	a.desk.Bench.Pause()
	a.notices.Tell("Marks are safe while you explain. E or Esc goes back to them.")
}

func (a *App) endExplaining() {
	a.board().Clear()
	a.explain.on = false
}

// toggleLine switches one of the lines on or off.
func (a *App) toggleLine(l explain.Line) {
	x := &a.explain
	if !x.on {
		a.toggleExplain()
	}
	x.lines[l] = !x.lines[l]
	a.settings.ExplainLines = lineNames(x.lines)
	a.KeepSettings()
	if x.lines[l] {
		a.notices.Tell(bench.Note(a.lacks(l)))
	}
}

// takeTool takes a drawing tool in hand.
func (a *App) takeTool(k annotations.DrawingKind) {
	if !a.explain.on {
		a.toggleExplain()
	}
	a.notices.Tell(a.board().Take(k))
}

// escapeExplain lets go of what was taken last, or ends explaining.
func (a *App) escapeExplain() {
	if !a.board().LetGo() {
		a.endExplaining()
	}
}

// goToDrawn shows the next frame of the active clip that the coach has drawn
// on, or the one before.
func (a *App) goToDrawn(step int) {
	b := a.desk.Bench
	frame, ok := a.board().Neighbour(b.Active, step)
	if !ok {
		where := "after"
		if step < 0 {
			where = "before"
		}
		a.notices.Tell(bench.Note(fmt.Sprintf("You have drawn on no frame %s this one in the %s clip.", where, b.Stages[b.Active].View)))
		return
	}
	b.Pause()
	b.GoTo(b.Active, frame)
}

// updateExplain takes up what was typed and lets go of what is gone.
func (a *App) updateExplain(gtx layout.Context) {
	x := &a.explain
	if !a.explains() {
		x.typing = false
		return
	}
	b := a.board()
	d, _, ok := b.Held()
	if !ok {
		if x.typing {
			gtx.Execute(key.FocusCmd{Tag: a})
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
	a.notices.Tell(b.SetText(x.text.Text()))
	if done {
		b.LetGo()
		gtx.Execute(key.FocusCmd{Tag: a})
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

// explainPointer turns the pointer's events on a stage into drawing, while
// explaining, and reports whether that is all there is to do about one. What it
// leaves moves and magnifies the picture.
func (a *App) explainPointer(gtx layout.Context, i int, e pointer.Event) bool {
	if !a.explains() {
		return false
	}
	v, b, x := &a.stages[i], a.desk.Bench, a.board()
	at := screenPt(e.Position)
	switch e.Kind {
	case pointer.Move:
		x.Move(i, at, v.stageSize())
	case pointer.Press:
		if v.held {
			return true
		}
		v.held, v.id = true, e.PointerID
		gtx.Execute(key.FocusCmd{Tag: a})
		if e.Buttons&(pointer.ButtonSecondary|pointer.ButtonTertiary) == 0 {
			noting := x.Tool() == annotations.DrawnNote
			taken, note := x.Press(i, at, v.stageSize(), float64(gtx.Dp(grabRadius)), func(p bench.ScreenPt) string { return a.drawingAt(i, p) })
			a.notices.Tell(note)
			if taken {
				if noting {
					a.explain.wantsText = true
					gtx.Execute(op.InvalidateCmd{})
				}
				return true
			}
		}
		b.Grab(i, at)
		return true
	case pointer.Drag:
		if v.held && e.PointerID == v.id && x.Dragging() {
			a.notices.Tell(x.Drag(at, v.stageSize()))
			return true
		}
	case pointer.Release:
		if v.held && e.PointerID == v.id && x.Dragging() {
			v.held = false
			a.notices.Tell(x.Release(at, v.stageSize()))
			return true
		}
	case pointer.Cancel:
		x.Cancel()
	}
	return false
}

// drawingAt returns the drawing whose text was last shown at a place of a
// stage, or "".
func (a *App) drawingAt(stage int, at bench.ScreenPt) string {
	l := a.explain.layouts[stage]
	if l == nil {
		return ""
	}
	for _, p := range slices.Backward(l.Plates) {
		if p.Drawing != "" && p.Contains(explain.Pt(at)) {
			return p.Drawing
		}
	}
	return ""
}

// keptFrame is what can be drawn on a frame, and what it was gathered from.
type keptFrame struct {
	key   frameKey
	frame *explain.Frame
}

type frameKey struct {
	lesson   *annotations.Lesson
	measured *sheet.Model
	swing    string
	clip     string
	index    int
	paired   bool
}

// explainFrame gathers what can be drawn on the frame a stage shows. It is not
// to be changed.
func (a *App) explainFrame(i int) *explain.Frame {
	d := a.desk
	l, st := d.Bench.Lesson(), &d.Bench.Stages[i]
	kept := &a.explain.frames[i]
	if k := (frameKey{l, d.Result.Sheet, d.Bench.Swing().ID, st.Clip, st.Frame, a.paired()}); k != kept.key {
		kept.key, kept.frame = k, a.gatherFrame(i)
	}
	return kept.frame
}

func (a *App) gatherFrame(i int) *explain.Frame {
	d := a.desk
	l, st := d.Bench.Lesson(), &d.Bench.Stages[i]
	var seen explain.Seen
	written := make(map[string]string)
	if name, ok := d.Bench.PositionAt(i); ok && d.Result.Lesson != nil {
		// The result may be of a lesson a moment older: its own order counts.
		if sw := d.Result.Lesson.Swing(d.Bench.Swing().ID); sw != nil {
			c, p := sw.ClipIndex(st.Clip), sw.PositionIndex(name)
			if c >= 0 && p >= 0 && c < len(d.Result.Seen) && p < len(d.Result.Seen[c]) {
				seen = d.Result.Seen[c][p]
			}
			for k := range d.Result.Measures {
				if m := &d.Result.Measures[k]; m.Position == name {
					written[m.Name] = words.Exact(m.Unit, a.settings.Imperial).Written(m)
				}
			}
		}
	}
	f := explain.NewFrame(l, d.Bench.Swing().ID, st.Clip, st.Frame, seen, written)
	f.ClickSDPx, f.Paired = l.ClickSDPx, a.paired()
	return f
}

// paired reports whether both views are shown side by side.
func (a *App) paired() bool {
	s := &a.desk.Bench.Stages
	return !a.alone && s[0].Film != nil && s[1].Film != nil
}

// lacks says what a line that is on still needs to be drawn on one of the stages
// shown, or "".
func (a *App) lacks(l explain.Line) string {
	best, reason := -1, ""
	for _, i := range a.stagesShown() {
		if a.desk.Bench.Stages[i].Clip == "" {
			continue
		}
		f := a.explainFrame(i)
		needs := f.Needs(l)
		if needs == "" {
			return ""
		}
		// The frame where least is wanting has the most to say.
		rank := 0
		if f.View == geometry.DownTheLine || l != explain.LegLine && l != explain.ShaftPlane {
			rank += 2
		}
		if f.Position != "" {
			rank++
		}
		if rank > best {
			best, reason = rank, needs
		}
	}
	if reason == "" {
		return ""
	}
	return fmt.Sprintf("The %s %s.", l, reason)
}

// stagesShown lists the stages that the window shows.
func (a *App) stagesShown() []int {
	if a.alone {
		return []int{a.desk.Show().Active}
	}
	return []int{0, 1}
}
