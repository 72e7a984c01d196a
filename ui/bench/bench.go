package bench

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// Film is what the bench needs to know of a clip's video.
type Film interface {
	// Frames is how many frames are shown.
	Frames() int
	// PTS is the presentation time of frame n in the clip's time base.
	PTS(n int) int64
	// Seconds is when frame n is shown, from the first shown frame.
	Seconds(n int) float64
	// FrameAt is the frame shown at a time, limited to the clip.
	FrameAt(seconds float64) int
}

// Note is something to tell the coach, or "" for nothing.
type Note string

// Stage is one view: a clip, and what is shown of it.
type Stage struct {
	View geometry.View
	// Clip is the ID of the clip in the lesson, or "" where the swing has none
	// from this view.
	Clip string
	// Picture is the size of the upright picture.
	Picture Size
	// Film is nil until the clip's file has been opened.
	Film Film
	// Frame is the frame that is to be shown.
	Frame int
	// Strike is when the strike was heard, on the clip's clock; only where
	// StrikeHeard.
	Strike      float64
	StrikeHeard bool
	// View of the picture; set by the coach or by the window when it is laid
	// out for the first time.
	Port Viewport
}

// Frames returns how many frames the stage can show.
func (s *Stage) Frames() int {
	if s.Film == nil {
		return 0
	}
	return s.Film.Frames()
}

// Selection is a mark the coach has taken hold of.
type Selection struct {
	Stage    int
	Position geometry.PositionName
	Point    geometry.Point
}

// NumStages is how many stages stand side by side.
const NumStages = 2

// Bench is the state of work on one swing.
type Bench struct {
	editor *annotations.Editor
	swing  string

	Stages [NumStages]Stage
	// Active is the stage that keys act on.
	Active int
	// Position is the key position that the sheet and the plan view are about.
	Position geometry.PositionName

	armed    geometry.Point
	hasArmed bool
	guided   bool // the pass goes on to the next point by itself

	selected    Selection
	hasSelected bool

	stickArmed bool
	stick      StickEnd
	hasStick   bool

	drag    drag
	gesture uint64

	locked   bool
	advice   Advice
	playback playback
}

// Advice says which further mark would sharpen the result most, as far as the
// fit can tell.
type Advice struct {
	Clip     string
	Position geometry.PositionName
	Point    geometry.Point
	Text     string
	OK       bool
}

// New returns a bench for a swing of the lesson that the editor holds. It
// panics if the lesson has no such swing.
func New(editor *annotations.Editor, swing string) *Bench {
	b := &Bench{
		editor: editor, swing: swing, Position: geometry.Address,
		locked: true, guided: true,
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
// changed it: clips come and go, and a selection of what is gone is let go.
func (b *Bench) Refresh() {
	sw := b.Swing()
	for i := range b.Stages {
		st := &b.Stages[i]
		c := sw.ClipOf(st.View)
		if c == nil {
			*st = Stage{View: st.View}
			continue
		}
		if c.ID != st.Clip {
			*st = Stage{View: st.View, Clip: c.ID}
		}
		st.Picture = Size{float64(c.Width), float64(c.Height)}
	}
	if b.Stages[b.Active].Clip == "" && b.Stages[1-b.Active].Clip != "" {
		b.Active = 1 - b.Active
	}
	if b.hasSelected {
		s := b.selected
		if _, ok := sw.Mark(b.Stages[s.Stage].Clip, s.Position, s.Point); !ok {
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
	st.Frame = clampFrame(st.Frame, f)
	if ref, ok := b.Swing().FrameOf(st.Clip, b.Position); ok {
		st.Frame = clampFrame(ref.Index, f)
	}
}

// HearStrike tells a stage when the strike was heard in its clip.
func (b *Bench) HearStrike(stage int, seconds float64) {
	st := &b.Stages[stage]
	st.Strike, st.StrikeHeard = seconds, true
	if b.locked {
		b.followLock(b.Active)
	}
}

// SetAdvice tells the bench which mark the fit would like next.
func (b *Bench) SetAdvice(a Advice) {
	b.advice = a
	if b.guided && !b.hasSelected && b.drag.kind == noDrag {
		// The coach may be about to click the armed point: leave it.
		if !b.hasArmed {
			b.ArmNext()
		}
	}
}

// Advice returns what SetAdvice said last.
func (b *Bench) Advice() Advice { return b.advice }

func clampFrame(n int, f Film) int {
	if last := f.Frames() - 1; n > last {
		n = last
	}
	return max(n, 0)
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

// PositionAt returns the key position whose frame a stage shows now. Where two
// positions share one frame, it is the one the sheet is about.
func (b *Bench) PositionAt(stage int) (geometry.PositionName, bool) {
	st := &b.Stages[stage]
	if st.Clip == "" {
		return "", false
	}
	sw := b.Swing()
	if ref, ok := sw.FrameOf(st.Clip, b.Position); ok && ref.Index == st.Frame {
		return b.Position, true
	}
	return sw.PositionAt(st.Clip, st.Frame)
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
