package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestPart: which frames of a long take are the swing goes with the document, and a
// clip of which nothing is said is whole.
func TestPart(t *testing.T) {
	l := filmed(geometry.RightHanded)
	l.Swings[0].Clips[0].Part = Part{1200, 2100}
	text, err := l.Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(text)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, Part{1200, 2100}, back.Swings[0].Clips[0].Part)
	assert.True(t, back.Swings[0].Clips[1].Part.Whole())

	for _, p := range []Part{{-1, 20}, {20, 20}, {30, 20}, {1, maxIndex + 1}} {
		l.Swings[0].Clips[0].Part = p
		assert.ErrorContains(t, l.Validate(), "swings[0].clips[0].part", "%v", p)
	}
	for _, text := range []string{`[0, 0]`, `[1]`, `[1, 2, 3]`, `"1-2"`, `[1.5, 3]`} {
		_, _, err := Decode([]byte(`{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}, "swings": [{"id": "s", "clips": [
			{"id": "fo", "view": "face-on", "width": 640, "height": 360, "part": ` + text + `}]}]}`))
		assert.ErrorContains(t, err, "swings[0].clips[0].part", text)
	}

	first, last := Part{}.Of(500)
	assert.Equal(t, [2]int{0, 499}, [2]int{first, last})
	first, last = Part{100, 900}.Of(500)
	assert.Equal(t, [2]int{100, 499}, [2]int{first, last})
	first, last = Part{600, 900}.Of(500)
	assert.Equal(t, [2]int{0, 499}, [2]int{first, last}, "of another file")

	e := NewEditor(filmed(geometry.RightHanded))
	c := e.Lesson().Swings[0].Clips[0]
	c.Part = Part{10, 20}
	require.NoError(t, e.Apply(SetClip{Swing: e.Lesson().Swings[0].ID, Clip: c}))
	assert.Equal(t, Part{10, 20}, e.Lesson().Swings[0].Clips[0].Part)
	_, undone := e.Undo()
	require.True(t, undone)
	assert.True(t, e.Lesson().Swings[0].Clips[0].Part.Whole())
}
