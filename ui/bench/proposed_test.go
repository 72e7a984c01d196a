package bench

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// rough puts a mark on the face-on stage as if it had been proposed and taken.
func rough(t *testing.T, b *Bench, p geometry.Point, x float64) {
	t.Helper()
	list, _ := b.Follow()
	require.NotEmpty(t, list)
	_, note := b.TakeFollowed(list[0], []Found{{Point: p, At: geometry.ImagePt{X: x, Y: 400}, SigmaPx: 9, State: geometry.Proposed}})
	require.Empty(t, note)
	require.Contains(t, b.AcceptAll(), "1 mark taken")
}

// TestRoughMarks: a mark taken as proposed keeps its standard deviation until the
// hand has put it down: by dragging it, by a click beside it, or by a click on it
// while it is asked for.
func TestRoughMarks(t *testing.T) {
	for name, put := range map[string]func(b *Bench){
		"dragged": func(b *Bench) {
			at := b.Stages[0].Port.ToScreen(PicturePt{500, 400}, stageSize)
			b.Press(0, at, stageSize, 12)
			b.Drag(ScreenPt{at.X + 8, at.Y})
			b.Release()
		},
		"nudged":         func(b *Bench) { click(b, 0, PicturePt{500, 400}); b.Nudge(1, 0) },
		"placed anew":    func(b *Bench) { b.Arm(geometry.LeadHip); click(b, 0, PicturePt{560, 420}) },
		"found it right": func(b *Bench) { b.Arm(geometry.LeadHip); click(b, 0, PicturePt{500, 400}) },
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			b.GoTo(0, 50)
			b.SetPosition(geometry.Address)
			rough(t, b, geometry.LeadHip, 500)
			m, ok := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
			require.True(t, ok)
			require.True(t, m.LowConfidence(geometry.FaceOn))
			put(b)
			m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
			assert.False(t, m.LowConfidence(geometry.FaceOn))
			assert.Zero(t, m.SDPx)
			assert.Equal(t, geometry.Placed, m.State)
		})
	}
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	rough(t, b, geometry.LeadHip, 500)
	b.LetGo()
	b.LetGo()
	click(b, 0, PicturePt{500, 400}) // to look at it
	m, _ := b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.True(t, m.LowConfidence(geometry.FaceOn), "taking hold of a mark says nothing of it")
	b.ToggleUnsure()
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.True(t, m.Unsure(geometry.FaceOn))
	assert.False(t, m.LowConfidence(geometry.FaceOn), "the coach's own word")
	b.Nudge(1, 0)
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.True(t, m.Unsure(geometry.FaceOn), "unsure wherever it is moved")
	b.ToggleUnsure()
	m, _ = b.Swing().Mark("fo", geometry.Address, geometry.LeadHip)
	assert.Zero(t, m.SDPx)
}

// TestGoToAdvice: the mark that tells most is asked for where it is, even one that
// stands as proposed; the guided pass asks for that as well.
func TestGoToAdvice(t *testing.T) {
	b := newBench(t)
	assert.Contains(t, b.GoToAdvice(), "Nothing is marked yet")
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	rough(t, b, geometry.LeadHip, 500)
	b.GoTo(0, 150)
	b.SetPosition(geometry.Top)
	advice := Advice{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip, Text: "mark the lead hip at address face-on by hand", OK: true}
	b.SetAdvice([]Advice{advice})
	assert.Equal(t, Note("Mark the lead hip at address face-on by hand."), b.GoToAdvice())
	position, ok := b.PositionAt(0)
	require.True(t, ok)
	assert.Equal(t, geometry.Address, position)
	p, armed := b.Armed()
	assert.True(t, armed)
	assert.Equal(t, geometry.LeadHip, p)
	assert.Equal(t, 0, b.Active)

	b.LetGo()
	b.ArmNext()
	p, _ = b.Armed()
	assert.Equal(t, geometry.LeadHip, p, "advice comes first")
	click(b, 0, PicturePt{505, 400})
	b.ArmNext()
	p, _ = b.Armed()
	assert.NotEqual(t, geometry.LeadHip, p, "placed by hand it is done with")
	rough(t, b, geometry.TrailHip, 450)
	other := Advice{Clip: "fo", Position: geometry.Address, Point: geometry.TrailKnee, Text: "mark the trail knee at address face-on", OK: true}
	advice.Point = geometry.TrailHip
	b.SetAdvice([]Advice{advice, other})
	b.GoToAdvice()
	p, _ = b.Armed()
	require.Equal(t, geometry.TrailHip, p)
	b.SkipPoint()
	assert.Contains(t, b.GoToAdvice(), "trail knee", "one that he can't place better is left as proposed")
	b.SkipPoint()
	assert.Contains(t, b.GoToAdvice(), "trail knee", "one that is not there yet is worth asking for again")
	advice.Point = geometry.LeadKnee
	advice.Clip = "elsewhere"
	b.SetAdvice([]Advice{advice})
	assert.Contains(t, b.GoToAdvice(), "No further mark")
}

// TestFollowAll: every key position is asked for at once, wherever the stages are,
// and what is found goes to its own.
func TestFollowAll(t *testing.T) {
	b := newBench(t)
	_, note := b.FollowAll()
	assert.Contains(t, note, "No key position is set yet")
	for _, c := range []struct {
		frame int
		name  geometry.PositionName
	}{{50, geometry.Address}, {150, geometry.Top}} {
		b.SetLock(Unlocked)
		b.Activate(0)
		b.GoTo(0, c.frame)
		b.Activate(1)
		b.GoTo(1, c.frame)
		b.SetPosition(c.name)
	}
	b.GoTo(0, 60)
	list, note := b.FollowAll()
	require.Empty(t, note)
	var asked [][2]any
	for i := range list {
		asked = append(asked, [2]any{list[i].Clip, list[i].Position})
		assert.Contains(t, list[i].Looked, geometry.LeadHip)
		assert.Equal(t, list[i].Position == geometry.Address, slices.Contains(list[i].Looked, geometry.Ball), "the ball lies there at address")
	}
	assert.Contains(t, asked, [2]any{"dl", geometry.Address})
	assert.Contains(t, asked, [2]any{"dl", geometry.Top})
	for i := range list {
		placed, note := b.TakeFollowed(list[i], []Found{{Point: geometry.LeadHip, At: geometry.ImagePt{X: 500, Y: 400}, SigmaPx: 9, State: geometry.Proposed}})
		require.Empty(t, note)
		assert.Equal(t, 1, placed)
		m, ok := b.Swing().Mark(list[i].Clip, list[i].Position, geometry.LeadHip)
		require.True(t, ok)
		assert.Equal(t, geometry.Proposed, m.State)
	}
}
