package annotations

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// Shapes, strokes, how long a drawing stays and the frame of a finding come back as
// they were written, and what a program of before November 2026 reads is as it was.
func TestShapesAndFramesOfFindingsComeBack(t *testing.T) {
	l, _, err := Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	s := &l.Swings[0]
	clip := s.Clips[0].ID
	at := func(n int) FrameRef { return FrameRef{Clip: clip, Index: n, PTS: int64(n) * 64} }
	var path []geometry.ImagePt
	for i := range 100 {
		path = append(path, geometry.ImagePt{X: 100 + float64(i), Y: 200})
	}
	two := []geometry.ImagePt{{X: 100, Y: 200}, {X: 150, Y: 260}}
	s.Drawings = []Drawing{
		{ID: "a", Frame: at(5), Kind: DrawnCircle, Points: two, Stroke: DottedStroke, Stay: Stay{From: 3, To: 9}},
		{ID: "b", Frame: at(6), Kind: DrawnLine, Points: two, Stroke: DashedStroke, Stay: Stay{Whole: true}},
		{ID: "c", Frame: at(7), Kind: DrawnFreehand, Points: path},
	}
	s.Findings = []Finding{{ID: "f", Text: "Look here.", Frame: at(6)}}
	data, err := l.Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(data)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	r := &back.Swings[0]
	for i := range s.Drawings {
		d := r.Drawing(s.Drawings[i].ID)
		require.NotNil(t, d)
		assert.True(t, d.same(&s.Drawings[i]), d.ID)
	}
	assert.Equal(t, s.Findings, r.Findings)
	list, shapes, _ := strings.Cut(string(data), `"shapes"`)
	assert.Contains(t, list, `"line"`)
	assert.NotContains(t, list, `"circle"`, "an older program would refuse the document")
	assert.Contains(t, shapes, `"circle"`)

	for n, shown := range map[int]bool{2: false, 3: true, 9: true, 10: false} {
		assert.Equal(t, shown, s.Drawings[0].On(clip, n), n)
	}
	assert.True(t, s.Drawings[1].On(clip, 400))
	assert.False(t, s.Drawings[1].On("other", 6))
	assert.False(t, s.Drawings[2].On(clip, 8))
}

func TestStayThatIsNoneIsNamed(t *testing.T) {
	l, _, err := Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	s := &l.Swings[0]
	s.Drawings = []Drawing{{ID: "a", Frame: FrameRef{Clip: s.Clips[0].ID, Index: 5}, Kind: DrawnBox,
		Points: []geometry.ImagePt{{X: 1, Y: 2}, {X: 30, Y: 40}}, Stay: Stay{From: 3, To: 9}}}
	data, err := l.Encode()
	require.NoError(t, err)
	for from, to := range map[string]string{`"from": 3`: `"from": 9`, `"box"`: `"line"`} {
		_, _, err := Decode([]byte(strings.Replace(string(data), from, to, 1)))
		assert.ErrorContains(t, err, "shapes[0]", from)
	}
}

// What a clip that is removed showed is not looked for any more.
func TestRemovedClipTakesTheFindingsFrameAlong(t *testing.T) {
	l, _, err := Load("../testdata/lessons/marked.json")
	require.NoError(t, err)
	e := NewEditor(l)
	id, clip := l.Swings[0].ID, l.Swings[0].Clips[0].ID
	require.NoError(t, e.Apply(SetFinding{Swing: id, Finding: Finding{ID: "f", Text: "Look.", Frame: FrameRef{Clip: clip, Index: 3}}}))
	require.NoError(t, e.Apply(RemoveClip{Swing: id, Clip: clip}))
	assert.Empty(t, e.Lesson().Swings[0].Findings[0].Frame.Clip)
	e.Undo()
	assert.Equal(t, clip, e.Lesson().Swings[0].Findings[0].Frame.Clip)
}
