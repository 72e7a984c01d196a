package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// TestAStickIsSeenByAllSwingsOfAStand: a stick marked in one swing lies there in the others
// that the phone filmed from the same place, shows and counts in them, and becomes their own
// where it is moved; a phone that was bumped does not see it there.
func TestAStickIsSeenByAllSwingsOfAStand(t *testing.T) {
	t.Parallel()
	line := annotations.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine, Ends: [2]geometry.ImagePt{{X: 700, Y: 900}, {X: 1100, Y: 905}}}
	l := annotations.NewLesson()
	for i, stand := range []int{1, 1, 2, 0} {
		c := annotations.Clip{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080, Stand: stand}
		if i == 0 {
			c.GroundLines = []annotations.GroundLine{line}
		}
		l.Swings = append(l.Swings, annotations.Swing{ID: string(rune('a' + i)), Clips: []annotations.Clip{c}})
	}
	require.NoError(t, l.Validate())
	e := annotations.NewEditor(l)
	seen := func(swing string) *Bench {
		b := New(e, swing)
		b.OpenFilm(0, steady{480, 240})
		b.Stages[0].Port = Fill(b.Stages[0].Picture, stageSize)
		return b
	}
	assert.Empty(t, seen("c").Sticks(0))
	assert.Empty(t, seen("d").Sticks(0))
	sw, _ := annotations.Problem(e.Lesson(), 1)
	require.Len(t, sw.Clips[0].GroundLines, 1)
	assert.Equal(t, line.Ends, sw.Clips[0].GroundLines[0].Ends)
	sw, _ = annotations.Problem(e.Lesson(), 2)
	assert.Empty(t, sw.Clips[0].GroundLines)

	b := seen("b")
	require.Equal(t, []annotations.GroundLine{line}, b.Sticks(0))
	at := func(p PicturePt) ScreenPt { return b.Stages[0].Port.ToScreen(p, stageSize) }
	b.Press(0, at(PicturePt{1100, 905}), stageSize, 12)
	b.Release()
	assert.Contains(t, b.Delete(), "marked in another swing")
	b.Press(0, at(PicturePt{1100, 905}), stageSize, 12)
	b.Drag(at(PicturePt{1200, 905}))
	b.Release()
	assert.InDelta(t, 1200, b.Sticks(0)[0].Ends[1].X, 1e-6)
	assert.Equal(t, line, e.Lesson().Swings[0].Clips[0].GroundLines[0], "the other swing's stays")
	b.Undo()
	assert.Equal(t, []annotations.GroundLine{line}, b.Sticks(0))

	// Another stick beside it: both are this swing's own then.
	b.ArmStick()
	b.Press(0, at(PicturePt{300, 700}), stageSize, 12)
	b.Drag(at(PicturePt{300, 900}))
	b.Release()
	assert.Len(t, e.Lesson().Swings[1].Clips[0].GroundLines, 2)
	assert.Len(t, e.Lesson().Swings[0].Clips[0].GroundLines, 1)
}
