package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/geometry"
)

// TestCorrectingOneSwingTeachesTheOthers drags proposed marks of a swing by 12 px: the
// offer comes with the third, the command moves another swing's as one step, and a swing that
// is proposed later has learnt already.
func TestCorrectingOneSwingTeachesTheOthers(t *testing.T) {
	l := annotations.NewLesson()
	for _, id := range []string{"s1", "s2", "s3"} {
		l.Swings = append(l.Swings, annotations.Swing{ID: id, Clips: []annotations.Clip{{ID: id + "fo", View: geometry.FaceOn, Width: 1920, Height: 1080, Stand: 1}}})
	}
	e := annotations.NewEditor(l)
	points := []geometry.Point{geometry.LeadHip, geometry.TrailHip, geometry.LeadKnee, geometry.TrailKnee}
	propose := func(id string) *Bench {
		b := New(e, id)
		b.OpenFilm(0, steady{480, 240})
		b.Stages[0].Port = Fill(b.Stages[0].Picture, stageSize)
		b.GoTo(0, 50)
		b.SetPosition(geometry.Address)
		list, note := b.Follow()
		require.Empty(t, note)
		var found []Found
		for i, p := range points {
			found = append(found, Found{Point: p, At: geometry.ImagePt{X: 800 + 90*float64(i%2), Y: 400 + 150*float64(i/2)}, SigmaPx: 9, SharedBiasPx: 6, State: geometry.Proposed})
		}
		placed, note := b.TakeFollowed(list[0], found)
		require.Empty(t, note)
		require.Equal(t, len(points), placed)
		return b
	}
	at := func(id string, p geometry.Point) annotations.Mark {
		m, ok := e.Lesson().Swing(id).Mark(id+"fo", geometry.Address, p)
		require.True(t, ok)
		return m
	}
	b := propose("s1")
	assert.Contains(t, b.Teach(nil), "No proposed mark is moved by hand yet")
	propose("s2")
	b.Refresh()
	for i, p := range points[:3] {
		from := b.Stages[0].Port.ToScreen(PicturePt(at("s1", p).At), stageSize)
		b.Press(0, from, stageSize, 12)
		for k := 1; k <= 4; k++ { // as a hand drags it
			b.Drag(ScreenPt{X: from.X + 3*float64(k)*b.Stages[0].Port.Scale, Y: from.Y})
		}
		note := b.Release()
		if i < 2 {
			assert.Empty(t, note)
		} else {
			assert.Equal(t, Note("3 marks moved by hand (hip, knee) can teach 1 other swing: 3 proposed marks. Ctrl+F2 does so."), note)
		}
		assert.InDelta(t, 12, at("s1", p).At.X-at("s1", p).Seen.At.X, 0.01, "where the program saw it is kept through the drag")
	}
	before := at("s2", geometry.LeadHip)
	assert.True(t, before.Seen.None(), "nothing moves before it is asked for")
	assert.Contains(t, b.Teach(nil), "3 proposed marks of other swings are moved")
	taught := at("s2", geometry.LeadHip)
	assert.InDelta(t, 12, taught.At.X-before.At.X, 6)
	assert.Greater(t, taught.At.X-before.At.X, 4.0)
	assert.Less(t, taught.SDPx, before.SDPx)
	assert.Equal(t, geometry.Proposed, taught.State)
	assert.InDelta(t, 890, at("s2", geometry.TrailKnee).At.X, 1e-9, "that was not corrected")
	assert.Contains(t, b.Teach(nil), "nothing more to teach")
	assert.Equal(t, Note("Undone: teach the other swings."), b.Undo())
	assert.Equal(t, before, at("s2", geometry.LeadHip))
	b.Redo()

	// What was found in its picture comes with it, where nothing is marked by now.
	seen := func(p geometry.Point) teach.Taught {
		return teach.Taught{Swing: "s2", Mark: annotations.Mark{Clip: "s2fo", Position: geometry.Address, Point: p, At: geometry.ImagePt{X: 830, Y: 380}, SDPx: 5, State: geometry.Proposed}}
	}
	assert.Equal(t, Note("1 point of belt and shirt is found in other swings, and proposed there. What you placed or took stays. Ctrl+Z takes it back."),
		b.Teach([]teach.Taught{seen(geometry.Buckle), seen(geometry.TrailHip), {Swing: "gone"}}))
	assert.Equal(t, geometry.Proposed, at("s2", geometry.Buckle).State)
	b.Undo()
	_, there := e.Lesson().Swing("s2").Mark("s2fo", geometry.Address, geometry.Buckle)
	assert.False(t, there)

	propose("s3")
	assert.InDelta(t, taught.At.X, at("s3", geometry.LeadHip).At.X, 0.1, "by itself")
	assert.InDelta(t, 12, at("s1", geometry.LeadHip).At.X-at("s1", geometry.LeadHip).Seen.At.X, 0.01)
	assert.Equal(t, Note("Undone: propose marks at address."), b.Undo())
}
