package stage

import (
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/kit"
)

// Commands move through the frames, move the marks and look at the pictures.
func (room *Room) Commands() []kit.Command {
	show := func() *bench.Show { return room.host.Session().Show() }
	note := func(do func(b *bench.Bench) bench.Note) func() {
		return func() { room.host.Tell(do(room.host.Session().Bench)) }
	}
	step := func(n int) func() {
		return func() {
			show().Pause()
			show().Step(n)
		}
	}
	// An arrow nudges the mark in hand, else it steps through the frames.
	arrow := func(dx, dy float64, frames int) func() {
		return func() {
			if _, ok := room.host.Session().Bench.Selected(); ok && room.host.Session().Comparing == nil {
				room.nudge(dx, dy)
				return
			}
			step(frames)()
		}
	}
	// What is shown can be moved while two swings are compared, too.
	shown := func(do func(s *bench.Show) bench.Note) func() {
		return func() { room.host.Tell(do(show())) }
	}
	const fine = 0.1
	return []kit.Command{
		{ID: "play", Group: "Frames", Help: "Play or stop", Keys: kit.On(key.NameSpace), Do: room.playOrStop},
		{ID: "step back", Group: "Frames", Help: "One frame back", Keys: kit.On("S"), Do: step(-1)},
		{ID: "step forward", Group: "Frames", Help: "One frame on", Keys: kit.On("D"), Do: step(1)},
		{ID: "leap back", Group: "Frames", Help: "Ten frames back", Keys: kit.WithMod(key.ModShift, "S"), Do: step(-10)},
		{ID: "leap forward", Group: "Frames", Help: "Ten frames on", Keys: kit.WithMod(key.ModShift, "D"), Do: step(10)},
		{ID: "first frame", Group: "Frames", Help: "First frame", Keys: kit.On(key.NameHome), Do: step(-1 << 30)},
		{ID: "last frame", Group: "Frames", Help: "Last frame", Keys: kit.On(key.NameEnd), Do: step(1 << 30)},
		{ID: "slower", Group: "Frames", Help: "Play slower", Keys: kit.On("Q"), Do: shown((*bench.Show).Slower)},
		{ID: "faster", Group: "Frames", Help: "Play faster", Keys: kit.On("W"), Do: shown((*bench.Show).Faster)},
		{ID: "repeat", Group: "Frames", Help: "Repeat from this frame; again: up to this frame; again: no more", Keys: kit.On("R"), Do: shown((*bench.Show).NextRepeat)},
		{ID: "lock", Group: "Frames", Help: "Lock the two clips as one swing, as two swings, or let them go", Keys: kit.On("L"), Do: shown((*bench.Show).NextLock)},
		{ID: "other stage", Group: "Frames", Help: "Work on the other view", Keys: kit.On("T"),
			Do: func() { s := show(); s.Activate(1 - s.Active) }},

		{ID: "left", Group: "Marks", Help: "Move the mark in hand one pixel left; without one, one frame back", Keys: kit.On(key.NameLeftArrow), Do: arrow(-1, 0, -1)},
		{ID: "right", Group: "Marks", Help: "Move the mark in hand one pixel right; without one, one frame on", Keys: kit.On(key.NameRightArrow), Do: arrow(1, 0, 1)},
		{ID: "up", Group: "Marks", Help: "Move the mark in hand one pixel up", Keys: kit.On(key.NameUpArrow), Do: arrow(0, -1, 0)},
		{ID: "down", Group: "Marks", Help: "Move the mark in hand one pixel down", Keys: kit.On(key.NameDownArrow), Do: arrow(0, 1, 0)},
		{ID: "fine left", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameLeftArrow), Do: arrow(-fine, 0, -10)},
		{ID: "fine right", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameRightArrow), Do: arrow(fine, 0, 10)},
		{ID: "fine up", Hidden: true, Keys: kit.WithMod(key.ModShift, key.NameUpArrow), Do: arrow(0, -fine, 0)},
		{ID: "fine down", Group: "Marks", Help: "With Shift, an arrow moves the mark a tenth of a pixel", Keys: kit.WithMod(key.ModShift, key.NameDownArrow), Do: arrow(0, fine, 0)},
		{ID: "next point", Group: "Marks", Help: "Ask for the next useful point; again skips it", Keys: kit.On("N"), Do: note((*bench.Bench).SkipPoint)},
		{ID: "telling mark", Group: "Marks", Help: "Go to the mark that would sharpen the numbers most", Keys: kit.WithMod(key.ModCtrl, "N"), Do: note((*bench.Bench).GoToAdvice)},
		{ID: "hide", Group: "Marks", Help: "The point can't be seen here", Keys: kit.On("H"), Do: note((*bench.Bench).Hide)},
		{ID: "unsure", Group: "Marks", Help: "Unsure of this mark, or sure again", Keys: kit.On("U"), Do: note((*bench.Bench).ToggleUnsure)},
		{ID: "delete", Group: "Marks", Help: "Take the mark away", Keys: []kit.Chord{{Key: key.NameDeleteForward}, {Key: key.NameDeleteBackward}}, Do: note((*bench.Bench).Delete)},
		{ID: "copy forward", Group: "Marks", Help: "Copy the marks of the key position before", Keys: kit.On("C"), Do: note((*bench.Bench).CopyForward)},
		{ID: "follow", Group: "Marks", Help: "Propose marks here: follow those around, look for the rest", Keys: kit.On("A"), Do: func() { room.host.Session().ProposeMarks() }},
		{ID: "follow all", Group: "Marks", Help: "Propose marks at every key position", Keys: kit.WithMod(key.ModCtrl, "A"), Do: func() { room.host.Session().ProposeAllMarks() }},
		{ID: "golfer", Group: "Marks", After: "stick", Help: "Point at the golfer, where others stand beside", Keys: kit.WithMod(key.ModShift, "G"), Do: note((*bench.Bench).ArmGolfer)},
		{ID: "stick", Group: "Marks", After: "accept", Help: "Draw a ground stick: it tells where the camera stood", Keys: kit.On("G"), Do: note((*bench.Bench).ArmStick)},

		{ID: "fit", Group: "Picture", Help: "Show the whole golfer in both views; again: the whole pictures", Keys: kit.On("F"), Do: room.golferOrWhole},
		{ID: "zoom in", Group: "Picture", Help: "Nearer", Keys: kit.On("Z"), Do: func() { room.zoomActive(1.25) }},
		{ID: "zoom out", Group: "Picture", Help: "Farther", Keys: kit.WithMod(key.ModShift, "Z"), Do: func() { room.zoomActive(1 / 1.25) }},
		{ID: "one stage", Group: "Picture", Help: "One view alone, or both", Keys: kit.On("O"), Do: func() { room.alone = !room.alone }},
		{ID: "bones", Group: "Picture", Help: "Lines between the marks, on or off", Keys: kit.On("B"), Do: room.toggleBones},
		{ID: "mirrored", Group: "Picture", Help: "This clip is a mirror image, or is not", Keys: kit.WithMod(key.ModCtrl, "M"), Do: room.toggleMirrored,
			Enabled: func() bool { return room.host.Session().Comparing == nil && show().Stages[show().Active].Clip != "" }},
	}
}

// toggleMirrored sets the active clip down as a mirror image, or not.
func (room *Room) toggleMirrored() {
	b := room.host.Session().Bench
	e := annotations.MendMistake{Swing: b.Swing().ID, What: geometry.ClipMirrored, Clip: b.Stages[b.Active].Clip}
	if !kit.Edit(room.host, e) {
		return
	}
	b.Refresh()
	if c := b.Swing().Clip(e.Clip); c.Mirrored {
		room.host.Tell(bench.Note("The " + c.View.String() + " clip counts as a mirror image now; it is shown as it was filmed."))
	} else {
		room.host.Tell(bench.Note("The " + c.View.String() + " clip does not count as a mirror image any more."))
	}
}

func (room *Room) playOrStop() {
	b := room.host.Session().Show()
	if on, _ := b.Playing(); on {
		b.Pause()
		return
	}
	room.host.Tell(b.Play())
	room.lastTick = room.now
}

func (room *Room) nudge(dx, dy float64) {
	b := room.host.Session().Bench
	s, _ := b.Selected()
	// A nudge is one pixel of the picture where that can be seen, else one of
	// the window.
	step := max(1/b.Stages[s.Stage].Port.Scale, 1)
	if dx*dx+dy*dy < 0.5 {
		step = 1
	}
	room.host.Tell(b.Nudge(dx*step, dy*step))
}

func (room *Room) zoomActive(factor float64) {
	i := room.host.Session().Show().Active
	v := &room.views[i]
	at := bench.ScreenPt{X: float64(v.size.X) / 2, Y: float64(v.size.Y) / 2}
	if v.inside {
		at = screenPt(v.pointer)
	}
	room.host.Session().Show().Zoom(i, at, factor, v.stageSize())
}

func (room *Room) toggleBones() {
	s := room.host.Settings()
	s.HideBones = !s.HideBones
	room.host.KeepSettings()
}

// play moves a playing clip on by the time since the last frame.
func (room *Room) play(gtx layout.Context) {
	b := room.host.Session().Show()
	if on, _ := b.Playing(); !on {
		return
	}
	// After a pause of the whole window the clip goes on, it does not leap.
	dt := min(gtx.Now.Sub(room.lastTick).Seconds(), 0.1)
	room.lastTick = gtx.Now
	if b.Tick(dt) {
		gtx.Execute(op.InvalidateCmd{})
	}
}
