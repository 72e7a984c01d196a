package bench

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// Note is something to tell the coach, or "" for nothing.
type Note string

// Selection is a mark the coach has taken hold of.
type Selection struct {
	Stage    int
	Position geometry.PositionName
	Point    geometry.Point
}

// Bench is the state of work on one swing.
type Bench struct {
	editor *annotations.Editor
	swing  string

	Show

	armed    geometry.Point
	hasArmed bool
	guided   bool // the pass goes on to the next point by itself

	selected    Selection
	hasSelected bool

	stickArmed  bool
	golferArmed bool // the next press points at the golfer
	stick       StickEnd
	hasStick    bool

	drag    drag
	gesture uint64

	advice  []Advice         // best first
	skipped map[skipped]bool // advice that the coach does not follow
	blind   blindPass
	offered int // corrections by hand when teaching the other swings was offered last

	curves    *Curves
	curvesNow curvesNow

	near []annotations.Mark // room for Nearest
}

// Advice says which further mark would sharpen the result, as far as the fit can
// tell.
type Advice struct {
	Clip     string
	Position geometry.PositionName
	Point    geometry.Point
	Text     string
	OK       bool
}

// skipped names a mark that stands as proposed, which the coach has been asked to
// place by hand and has left.
type skipped struct {
	clip     string
	position geometry.PositionName
	point    geometry.Point
}

// New returns a bench for a swing of the lesson that the editor holds. It
// panics if the lesson has no such swing.
func New(editor *annotations.Editor, swing string) *Bench {
	b := &Bench{editor: editor, swing: swing, guided: true}
	b.Show = Show{
		Position: geometry.Address, lock: LockByTime, moved: b.letGoOfFrame,
		swingOn: func(int) *annotations.Swing { return b.Swing() },
	}
	b.Stages[0].View = geometry.FaceOn
	b.Stages[1].View = geometry.DownTheLine
	b.Refresh()
	return b
}

// Editor returns the editor of the lesson.
func (b *Bench) Editor() *annotations.Editor { return b.editor }

// Lesson returns the lesson as it is now. It is not to be changed.
func (b *Bench) Lesson() *annotations.Lesson { return b.editor.Lesson() }

// Swing returns the swing as it is now. It is not to be changed.
func (b *Bench) Swing() *annotations.Swing { return b.Lesson().Swing(b.swing) }

// Refresh brings the state into line with the lesson after something else has
// changed it: clips come and go, and a selection of what is gone is let go. The
// swing itself goes where adding it is undone: the lesson's last one takes its
// place.
func (b *Bench) Refresh() {
	if b.Swing() == nil {
		b.swing = b.Lesson().Swings[len(b.Lesson().Swings)-1].ID
	}
	sw := b.Swing()
	for i := range b.Stages {
		st := &b.Stages[i]
		c := sw.ClipOf(st.View)
		if c == nil {
			*st = Stage{View: st.View}
			continue
		}
		if c.ID != st.Clip {
			*st = Stage{View: st.View, Clip: c.ID, FilmedFPS: c.FilmedFPS}
		}
		if c.FilmedFPS != st.FilmedFPS { // its film has to be opened anew
			st.Film, st.FilmedFPS, st.StrikeHeard = nil, c.FilmedFPS, false
		}
		st.Picture = Size{float64(c.Width), float64(c.Height)}
		if c.Part != st.Part {
			st.Part = c.Part
			st.Frame = st.clamp(st.Frame)
		}
	}
	if b.Stages[b.Active].Clip == "" && b.Stages[1-b.Active].Clip != "" {
		b.Active = 1 - b.Active
	}
	b.refreshBlind()
	if b.hasSelected {
		s := b.selected
		if _, ok := b.mark(s.Stage, s.Position, s.Point); !ok {
			b.hasSelected = false
			b.drag = drag{}
		}
	}
	if b.hasStick && b.stick.Line >= len(b.Sticks(b.stick.Stage)) {
		b.hasStick = false
		b.drag = drag{}
	}
}

// OpenFilm gives a stage the video of its clip.
func (b *Bench) OpenFilm(stage int, f Film) {
	st := &b.Stages[stage]
	st.Film = f
	st.Frame = st.clamp(st.Frame)
	if ref, ok := b.Swing().FrameOf(st.Clip, b.Position); ok {
		st.Frame = clampFrame(ref.Index, f)
	}
}

// letGoOfFrame lets go of what belongs to the frames shown before.
func (b *Bench) letGoOfFrame() {
	b.hasSelected = false
	b.drag = drag{}
}

// SetAdvice tells the bench which marks the fit would like next, best first.
func (b *Bench) SetAdvice(list []Advice) {
	b.advice = list
	if b.guided && !b.hasSelected && b.drag.kind == noDrag {
		// The coach may be about to click the armed point: leave it.
		if !b.hasArmed {
			b.ArmNext()
		}
	}
}

// Advice returns the best of what SetAdvice said last that the coach has not
// skipped.
func (b *Bench) Advice() Advice {
	for _, a := range b.advice {
		if !b.skipped[skipped{a.Clip, a.Position, a.Point}] {
			return a
		}
	}
	return Advice{}
}

// StageOf returns the stage that shows a clip.
func (b *Bench) StageOf(clip string) (int, bool) {
	for i := range b.Stages {
		if b.Stages[i].Clip == clip && clip != "" {
			return i, true
		}
	}
	return 0, false
}

// Progress counts the marks of a clip at a key position among those that are
// useful there. A point marked as hidden counts as done.
func (b *Bench) Progress(stage int, position geometry.PositionName) (done, useful int) {
	st := &b.Stages[stage]
	points := Useful(st.View, position)
	sw := b.Swing()
	for _, p := range points {
		if _, ok := sw.Mark(st.Clip, position, p); ok {
			done++
		}
	}
	return done, len(points)
}
