package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// steady is a clip of n frames at one rate.
type steady struct {
	n    int
	rate float64
}

func (f steady) Frames() int           { return f.n }
func (f steady) PTS(n int) int64       { return int64(n) * 100 }
func (f steady) Seconds(n int) float64 { return float64(n) / f.rate }
func (f steady) FrameAt(s float64) int {
	return min(max(int(s*f.rate+0.5), 0), f.n-1)
}

var stageSize = Size{600, 700}

func newBench(t *testing.T) *Bench {
	t.Helper()
	l := annotations.NewLesson()
	l.Swings = []annotations.Swing{{ID: "s1", Clips: []annotations.Clip{
		{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080},
		{ID: "dl", View: geometry.DownTheLine, Width: 1080, Height: 1920},
	}}}
	require.NoError(t, l.Validate())
	b := New(annotations.NewEditor(l), "s1")
	b.OpenFilm(0, steady{480, 240})
	b.OpenFilm(1, steady{300, 120})
	for i := range b.Stages {
		b.Stages[i].Port = Fill(b.Stages[i].Picture, stageSize)
	}
	return b
}

// click places or selects at a picture point of a stage.
func click(b *Bench, stage int, p PicturePt) Note {
	n := b.Press(stage, b.Stages[stage].Port.ToScreen(p, stageSize), stageSize, 12)
	if m := b.Release(); m != "" {
		return m
	}
	return n
}

func TestLockedClipsOfUnlikeRatesShowTheSameInstant(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.GoTo(0, 360) // the strike
	assert.Equal(t, 120, b.Stages[1].Frame)
	b.Step(-24) // a tenth of a second
	assert.Equal(t, 108, b.Stages[1].Frame)
	b.Activate(1)
	b.Step(12)
	assert.Equal(t, 360, b.Stages[0].Frame)
}

func TestImpactSetByTheCoachWinsOverTheSound(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.SetLock(Unlocked)
	b.GoTo(0, 350)
	b.SetPosition(geometry.Impact)
	b.Activate(1)
	b.GoTo(1, 130)
	b.SetPosition(geometry.Impact)
	b.SetLock(LockByTime)
	l, ok := b.Lock()
	require.True(t, ok)
	assert.Equal(t, "impact", l.By)
	assert.InDelta(t, 130.0/120-350.0/240+0.5, l.Map(0, 0.5), 1e-12)
}

func TestSetPositionSetsBothClipsWhenLocked(t *testing.T) {
	b := newBench(t)
	b.HearStrike(0, 1.5, false)
	b.HearStrike(1, 1.0, false)
	b.GoTo(0, 120)
	b.SetPosition(geometry.Top)
	f, ok := b.Swing().FrameOf("fo", geometry.Top)
	require.True(t, ok)
	g, ok := b.Swing().FrameOf("dl", geometry.Top)
	require.True(t, ok)
	assert.Equal(t, 120, f.Index)
	assert.Equal(t, int64(12000), f.PTS)
	assert.Equal(t, b.Stages[1].Frame, g.Index)
	_, ok = b.Editor().CanUndo()
	require.True(t, ok)
	b.Undo()
	assert.Empty(t, b.Swing().Positions, "one undo takes both clips back")
}

// TestPositionOutOfOrder: one that is set on the wrong side of another is said to
// be, and in which clip.
func TestPositionOutOfOrder(t *testing.T) {
	b := newBench(t)
	b.SetLock(Unlocked)
	for _, c := range []struct {
		frame int
		name  geometry.PositionName
		says  Note
	}{
		{200, geometry.Top, "Top is set."},
		{300, geometry.Impact, "Impact is set."},
		{300, geometry.ClubLevelBack, "Club level back is set. But in the face-on clip it is not before the top: Ctrl+Z takes it back."},
		{100, geometry.ClubLevelBack, "Club level back is set."},
		{150, geometry.Delivery, "Delivery is set. But in the face-on clip it is not after the top: Ctrl+Z takes it back."},
		{300, geometry.Delivery, "Delivery is set. But in the face-on clip it is not before impact: Ctrl+Z takes it back."},
		{299, geometry.Delivery, "Delivery is set."},
	} {
		b.GoTo(0, c.frame)
		assert.Equal(t, c.says, b.SetPosition(c.name), "frame %d", c.frame)
	}
	b.GoTo(0, 200)
	b.SetPosition(geometry.ClubLevelBack)
	assert.Equal(t, geometry.ClubLevelBack, b.Position)
	b.Undo()
	assert.Equal(t, geometry.Top, b.Position, "what the stage shows once more")
}

func TestGuidedPassPlacesInOrder(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	order := Useful(geometry.FaceOn, geometry.Address)
	for i, want := range order[:4] {
		p, ok := b.Armed()
		require.True(t, ok)
		require.Equal(t, want, p)
		at := PicturePt{700 + 40*float64(i), 400}
		require.Empty(t, click(b, 0, at))
		m, ok := b.Swing().Mark("fo", geometry.Address, want)
		require.True(t, ok)
		assert.InDelta(t, at.X, m.At.X, 1e-3)
		assert.InDelta(t, at.Y, m.At.Y, 1e-3)
	}
	done, _ := b.Progress(0, geometry.Address)
	assert.Equal(t, 4, done)
}

func TestDragMovesAMarkAndIsOneUndo(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	click(b, 0, PicturePt{800, 500})
	st := &b.Stages[0]
	from := st.Port.ToScreen(PicturePt{800, 500}, stageSize)
	b.Press(0, from, stageSize, 12)
	for i := range 10 {
		b.Drag(ScreenPt{from.X + float64(i), from.Y - 2*float64(i)})
	}
	b.Release()
	m, _ := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 800+9/st.Port.Scale, m.At.X, 1e-3)
	b.Undo()
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 800, m.At.X, 1e-3)
}

func TestAClickBesideAMarkPlacesTheNextPointADragMovesTheMark(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	click(b, 0, PicturePt{800, 500})
	require.Empty(t, click(b, 0, PicturePt{804, 502}))
	m, ok := b.Swing().Mark("fo", geometry.Address, geometry.TrailHip)
	require.True(t, ok, "as the ball beside the clubhead")
	assert.InDelta(t, 804, m.At.X, 1e-3)

	st := &b.Stages[0]
	from := st.Port.ToScreen(PicturePt{800, 500}, stageSize)
	b.Press(0, from, stageSize, 4)
	b.Drag(ScreenPt{from.X - 30, from.Y})
	b.Release()
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 800-30/st.Port.Scale, m.At.X, 1e-3)
	_, armed := b.Armed()
	assert.False(t, armed, "the mark that was moved stays in hand")
}

func TestMarkingOffAKeyPositionIsRefusedWithAReason(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.Arm(geometry.Buckle)
	assert.Contains(t, string(click(b, 0, PicturePt{800, 500})), "no key position")
	assert.Empty(t, b.Swing().Marks)
}

func TestHideCountsAsDoneAndGoesOn(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	b.Hide()
	m, ok := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	require.True(t, ok)
	assert.Equal(t, geometry.Hidden, m.State)
	p, _ := b.Armed()
	assert.Equal(t, geometry.TrailHip, p)
}

func TestCopyForwardProposesAndAcceptTakes(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	click(b, 0, PicturePt{800, 500})
	click(b, 0, PicturePt{700, 500})
	b.SetLock(Unlocked)
	b.GoTo(0, 200)
	b.SetPosition(geometry.Top)
	b.CopyForward()
	m, ok := b.Swing().Mark("fo", geometry.Top, geometry.LeadHip)
	require.True(t, ok)
	assert.Equal(t, geometry.Proposed, m.State)
	b.Accept() // takes hold of the first
	b.Accept() // accepts it
	m, _ = b.Swing().Mark("fo", geometry.Top, geometry.LeadHip)
	assert.Equal(t, geometry.Placed, m.State)
}

func TestNudgeMovesTheSelectedMark(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	click(b, 0, PicturePt{800, 500})
	b.Nudge(1, 0)
	b.Nudge(0, -0.125)
	m, _ := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 801, m.At.X, 1e-3)
	assert.InDelta(t, 499.875, m.At.Y, 1e-3)
}

func TestAStickIsDrawnByDragging(t *testing.T) {
	b := newBench(t)
	b.ArmStick()
	at := func(p PicturePt) ScreenPt { return b.Stages[0].Port.ToScreen(p, stageSize) }
	b.Press(0, at(PicturePt{700, 900}), stageSize, 12)
	b.Drag(at(PicturePt{900, 902}))
	b.Drag(at(PicturePt{1100, 905}))
	b.Release()
	require.Len(t, b.Sticks(0), 1)
	l := b.Sticks(0)[0]
	assert.InDelta(t, 700, l.Ends[0].X, 1e-6)
	assert.InDelta(t, 1100, l.Ends[1].X, 1e-6)
	assert.InDelta(t, stickLength, l.LengthM, 1e-12)
	b.SetStick(1, geometry.AcrossTargetLine)
	assert.InDelta(t, 1, b.Sticks(0)[0].LengthM, 1e-12)
	b.Delete()
	assert.Empty(t, b.Sticks(0))
	b.Undo()
	b.Undo()
	b.Undo()
	assert.Empty(t, b.Sticks(0))
	_, ok := b.Editor().CanUndo()
	assert.False(t, ok, "drawing a stick is one step of undo")
}

func TestAClickIsNoStick(t *testing.T) {
	b := newBench(t)
	b.ArmStick()
	assert.NotEmpty(t, click(b, 0, PicturePt{700, 900}))
	assert.Empty(t, b.Sticks(0))
}

func TestNeighbouringPositions(t *testing.T) {
	b := newBench(t)
	for i, name := range geometry.KeyPositions {
		b.GoTo(0, 60*(i+1))
		b.SetPosition(name)
	}
	b.GoTo(0, 130)
	next, _ := b.Neighbour(1)
	b.GoToPosition(next)
	assert.Equal(t, geometry.LeadArmLevel, b.Position)
	assert.Equal(t, 180, b.Stages[0].Frame)
	next, _ = b.Neighbour(-1)
	b.GoToPosition(next)
	assert.Equal(t, geometry.ClubLevelBack, b.Position)
}

func TestPlayingKeepsTime(t *testing.T) {
	b := newBench(t)
	b.Play()
	b.Slower()
	for range 30 {
		require.True(t, b.Tick(1.0/60))
	}
	// Half a second at half speed.
	assert.InDelta(t, 60, b.Stages[0].Frame, 1)
	b.GoTo(0, 479)
	assert.False(t, b.Tick(1))
	on, _ := b.Playing()
	assert.False(t, on)
}

// FuzzActions lets arbitrary bytes choose what the coach does and checks what
// must hold after each step.
func FuzzActions(f *testing.F) {
	f.Add([]byte{0, 10, 1, 3, 20, 30, 3, 40, 50, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13})
	f.Add([]byte{1, 1, 3, 100, 100, 12, 3, 100, 100, 7, 8, 13, 2, 200, 14})
	f.Add(blindScript())
	f.Fuzz(func(t *testing.T, script []byte) {
		b := newBench(t)
		start, err := b.Lesson().Encode()
		require.NoError(t, err)
		next := func() int {
			if len(script) == 0 {
				return 0
			}
			v := script[0]
			script = script[1:]
			return int(v)
		}
		for len(script) > 0 {
			act(b, next)
			require.NoError(t, b.Lesson().Validate())
			if s, ok := b.Selected(); ok {
				_, there := b.SelectedMark()
				require.True(t, there, "selection %v dangles", s)
			}
			for i := range b.Stages {
				st := &b.Stages[i]
				require.True(t, st.Frame >= 0 && st.Frame < st.Frames())
			}
		}
		for {
			if _, ok := b.Editor().CanUndo(); !ok {
				break
			}
			b.Undo()
		}
		end, err := b.Lesson().Encode()
		require.NoError(t, err)
		require.Equal(t, string(start), string(end), "undoing everything returns to the start")
	})
}

func act(b *Bench, next func() int) {
	position := func() geometry.PositionName {
		return geometry.KeyPositions[next()%len(geometry.KeyPositions)]
	}
	point := func() ScreenPt { return ScreenPt{float64(next()) * 3, float64(next()) * 3} }
	switch next() % 33 {
	case 0:
		b.GoTo(next()%NumStages, next())
	case 1:
		b.SetPosition(position())
	case 2:
		b.GoToPosition(position())
	case 3:
		b.Press(next()%NumStages, point(), stageSize, 12)
	case 4:
		b.Drag(point())
	case 5:
		b.Release()
	case 6:
		b.Cancel()
	case 7:
		b.Hide()
	case 8:
		b.Delete()
	case 9:
		b.CopyForward()
	case 10:
		b.Undo()
	case 11:
		b.Redo()
	case 12:
		b.Nudge(float64(next()-128), float64(next()-128))
	case 13:
		b.ClearPosition(position())
	case 14:
		b.SetLock(LockMode(next() % 3))
	case 15:
		b.HearStrike(next()%NumStages, float64(next())/100, next()%2 == 0)
	case 16:
		b.SkipPoint()
	case 17:
		b.Accept()
	case 18:
		b.ToggleUnsure()
	case 19:
		b.Arm(geometry.Point(next() % geometry.NumPoints))
	case 20:
		b.ArmStick()
	case 21:
		b.SetStick(float64(next())/100, geometry.Direction(next()%3))
	case 22:
		b.Propose(next()%NumStages, []Proposal{{Name: position(), Frame: next()}, {Name: position(), Frame: next(), Unsure: true}})
	case 23:
		b.AcceptPositions()
	case 24:
		b.DragTick(next()%NumStages, position(), next())
	case 25:
		b.DropTick()
	case 28:
		b.StartBlind()
	case 29:
		b.FinishBlind()
	case 30:
		b.LetGo()
	case 31:
		b.UseClick(position(), float64(next())/100)
	case 32:
		b.DropRepeats(position())
	case 26:
		b.NextRepeat()
	case 27:
		b.Play()
		b.Tick(float64(next()) / 100)
		if name, _ := b.Neighbour(next()%2*2 - 1); name != "" {
			b.GoToPosition(name)
		}
	}
}
