package bench

import (
	"fmt"
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Activate makes a stage the one that keys act on.
func (b *Bench) Activate(stage int) {
	if b.Stages[stage].Clip != "" && stage != b.Active {
		b.Active = stage
		b.hasSelected = false
	}
}

// GoTo shows a frame on a stage, and the frame of the same instant on the
// other one if the clips are locked.
func (b *Bench) GoTo(stage, frame int) {
	st := &b.Stages[stage]
	if st.Film == nil {
		return
	}
	frame = clampFrame(frame, st.Film)
	if frame == st.Frame {
		return
	}
	st.Frame = frame
	b.hasSelected = false
	b.drag = drag{}
	if b.locked {
		b.followLock(stage)
	}
	if p, ok := b.PositionAt(stage); ok {
		b.Position = p
	}
}

// Step moves the active stage by a number of frames.
func (b *Bench) Step(frames int) {
	b.GoTo(b.Active, b.Stages[b.Active].Frame+frames)
}

// Lock says how the two clips are locked together.
type Lock struct {
	// Offset is what to add to a time on the first stage's clock to get the
	// same instant on the second's, seconds.
	Offset float64
	// By says in words what the offset rests on.
	By string
}

// Locked reports whether the clips are to move together.
func (b *Bench) Locked() bool { return b.locked }

// Lock returns how the clips are locked, if there is something to lock them
// by: both clips' impact, else the strike heard in both, else the first key
// position set in both.
func (b *Bench) Lock() (Lock, bool) {
	x, y := &b.Stages[0], &b.Stages[1]
	if x.Film == nil || y.Film == nil {
		return Lock{}, false
	}
	sw := b.Swing()
	at := func(name geometry.PositionName) (Lock, bool) {
		f, ok1 := sw.FrameOf(x.Clip, name)
		g, ok2 := sw.FrameOf(y.Clip, name)
		if !ok1 || !ok2 {
			return Lock{}, false
		}
		return Lock{
			Offset: y.Film.Seconds(clampFrame(g.Index, y.Film)) - x.Film.Seconds(clampFrame(f.Index, x.Film)),
			By:     string(name),
		}, true
	}
	if l, ok := at(geometry.Impact); ok {
		return l, true
	}
	if x.StrikeHeard && y.StrikeHeard {
		return Lock{Offset: y.Strike - x.Strike, By: "the sound of the strike"}, true
	}
	for i := range sw.Positions {
		if l, ok := at(sw.Positions[i].Name); ok {
			return l, true
		}
	}
	return Lock{}, false
}

// SetLocked locks or unlocks the clips.
func (b *Bench) SetLocked(on bool) Note {
	b.locked = on
	if !on {
		return "The clips move on their own now."
	}
	l, ok := b.Lock()
	if !ok {
		return "Nothing to lock the clips by yet: set impact in both clips."
	}
	b.followLock(b.Active)
	return Note("The clips are locked by " + l.By + ".")
}

// followLock shows on the other stage the instant that stage shows.
func (b *Bench) followLock(stage int) {
	l, ok := b.Lock()
	if !ok {
		return
	}
	this, other := &b.Stages[stage], &b.Stages[1-stage]
	offset := l.Offset
	if stage == 1 {
		offset = -offset
	}
	// A frame chosen by the coach wins over arithmetic: where this frame is a
	// key position, show the other clip's own frame of it.
	if p, ok := b.PositionAt(stage); ok {
		if ref, ok := b.Swing().FrameOf(other.Clip, p); ok {
			other.Frame = clampFrame(ref.Index, other.Film)
			return
		}
	}
	other.Frame = clampFrame(other.Film.FrameAt(this.Film.Seconds(this.Frame)+offset), other.Film)
}

// GoToPosition shows a key position on every stage where it is set, and makes
// it the one the sheet is about.
func (b *Bench) GoToPosition(name geometry.PositionName) Note {
	b.Position = name
	b.hasSelected = false
	b.drag = drag{}
	sw := b.Swing()
	found := false
	for i := range b.Stages {
		st := &b.Stages[i]
		if ref, ok := sw.FrameOf(st.Clip, name); ok && st.Film != nil {
			st.Frame = clampFrame(ref.Index, st.Film)
			if !found && b.Stages[b.Active].Clip != "" {
				if _, ok := sw.FrameOf(b.Stages[b.Active].Clip, name); !ok {
					b.Active = i
				}
			}
			found = true
		}
	}
	if !found {
		return Note(fmt.Sprintf("%s is not set yet: find its frame, then press its number.", Title(name)))
	}
	b.disarm()
	b.ArmNext()
	return ""
}

// GoToNeighbour shows the next key position that is set (step 1) or the one
// before (step -1), counted from the frame the active stage shows.
func (b *Bench) GoToNeighbour(step int) Note {
	st := &b.Stages[b.Active]
	best, bestFrame := geometry.PositionName(""), 0
	sw := b.Swing()
	for i := range sw.Positions {
		ref, ok := sw.Positions[i].Frame(st.Clip)
		if !ok || (ref.Index-st.Frame)*step <= 0 {
			continue
		}
		if best == "" || (bestFrame-ref.Index)*step > 0 {
			best, bestFrame = sw.Positions[i].Name, ref.Index
		}
	}
	if best == "" {
		if step > 0 {
			return "No key position is set after this frame."
		}
		return "No key position is set before this frame."
	}
	return b.GoToPosition(best)
}

// SetPosition makes the frame on the active stage a key position, and the
// frame on the other stage too if the clips are locked together.
func (b *Bench) SetPosition(name geometry.PositionName) Note {
	if b.Stages[b.Active].Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	_, locked := b.Lock()
	moved := 0
	b.editor.Begin("set " + string(name))
	for i := range b.Stages {
		st := &b.Stages[i]
		if st.Film == nil || i != b.Active && !(b.locked && locked) {
			continue
		}
		if old, ok := b.Swing().FrameOf(st.Clip, name); ok && old.Index != st.Frame {
			moved += len(b.Swing().MarksAt(st.Clip, name))
		}
		if err := b.editor.Apply(annotations.SetPosition{
			Swing: b.swing, Clip: st.Clip, Position: name, Index: st.Frame, PTS: st.Film.PTS(st.Frame),
		}); err != nil {
			b.editor.Cancel()
			return Note(err.Error())
		}
	}
	b.editor.End()
	b.Position = name
	b.Refresh()
	b.disarm()
	b.ArmNext()
	if moved > 0 {
		return Note(fmt.Sprintf("%s moved to another frame; its %s are only proposed now. Ctrl+Z takes the move back.",
			Title(name), count(moved, "mark")))
	}
	return Note(Title(name) + " is set.")
}

// ClearPosition takes a key position, and its marks, off both clips.
func (b *Bench) ClearPosition(name geometry.PositionName) Note {
	if b.Swing().Position(name) == nil {
		return Note(Title(name) + " is not set.")
	}
	b.editor.Begin("clear " + string(name))
	for i := range b.Stages {
		if b.Stages[i].Clip == "" {
			continue
		}
		if err := b.editor.Apply(annotations.ClearPosition{
			Swing: b.swing, Clip: b.Stages[i].Clip, Position: name,
		}); err != nil {
			b.editor.Cancel()
			return Note(err.Error())
		}
	}
	b.editor.End()
	b.Refresh()
	b.disarm()
	return Note(Title(name) + " is no longer set. Ctrl+Z brings it back with its marks.")
}

// Title returns a name as a heading: with its first letter in upper case.
func Title[S ~string](name S) string {
	if name == "" {
		return ""
	}
	s := string(name)
	if c := s[0]; c >= 'a' && c <= 'z' {
		return string(c-'a'+'A') + s[1:]
	}
	return s
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// playback is playing the active clip, with the other one following.
type playback struct {
	on    bool
	slow  int     // 1 means true speed, 8 an eighth
	clock float64 // seconds on the active clip
}

// Speeds are the playing speeds, as divisors of true speed.
var Speeds = []int{1, 2, 4, 8, 16, 32, 64}

// Playing reports whether the clips play, and at what divisor of true speed.
func (b *Bench) Playing() (on bool, slow int) { return b.playback.on, max(b.playback.slow, 1) }

// Play starts playing from the frame shown, or from the beginning if that is
// the last one.
func (b *Bench) Play() Note {
	st := &b.Stages[b.Active]
	if st.Film == nil {
		return "Open a clip first: drop it on the window or press Ctrl+O."
	}
	if st.Frame >= st.Frames()-1 {
		b.GoTo(b.Active, 0)
	}
	b.playback.on = true
	b.playback.clock = st.Film.Seconds(st.Frame)
	return ""
}

// Pause stops playing.
func (b *Bench) Pause() { b.playback.on = false }

// Slower and Faster change the playing speed by one step of Speeds.
func (b *Bench) Slower() Note { return b.changeSpeed(2) }

// Faster is the opposite of Slower.
func (b *Bench) Faster() Note { return b.changeSpeed(0.5) }

func (b *Bench) changeSpeed(factor float64) Note {
	_, slow := b.Playing()
	slow = int(float64(slow) * factor)
	b.playback.slow = min(max(slow, Speeds[0]), Speeds[len(Speeds)-1])
	if b.playback.slow == 1 {
		return "True speed."
	}
	return Note(fmt.Sprintf("1/%d of true speed.", b.playback.slow))
}

// Tick moves playing on by a time of the coach's clock, seconds, and reports
// whether it goes on.
func (b *Bench) Tick(dt float64) bool {
	if !b.playback.on {
		return false
	}
	st := &b.Stages[b.Active]
	if st.Film == nil || st.Frame >= st.Frames()-1 {
		b.playback.on = false
		return false
	}
	_, slow := b.Playing()
	b.playback.clock += math.Max(dt, 0) / float64(slow)
	b.GoTo(b.Active, st.Film.FrameAt(b.playback.clock))
	return true
}
