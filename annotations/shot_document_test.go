package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/shots"
)

func TestShotsSurviveTheDocument(t *testing.T) {
	e := NewEditor(NewLesson())
	hit := shots.List{
		{ID: "a", Block: "before", Club: "7-iron", Values: map[shots.Reading]float64{shots.ClubPath: -3.1, shots.StrikeAcross: 8, shots.Carry: 131.5}},
		{ID: "b", Block: "after", Values: map[shots.Reading]float64{shots.ClubPath: 0}},
	}
	require.NoError(t, e.Apply(AddShots{Shots: hit}))
	doc, err := e.Lesson().Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(doc)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, hit, back.Shots, "a reading of 0 is not one that is missing")
	assert.Equal(t, []string{"before", "after"}, back.Shots.Blocks())
	assert.Equal(t, []float64{0}, back.Shots.Of("after", shots.ClubPath))
	assert.Empty(t, back.Shots.Of("after", shots.Carry))

	changed := hit[0].Clone()
	changed.Values[shots.ClubPath] = -2
	require.NoError(t, e.Apply(SetShot{Shot: changed}))
	require.NoError(t, e.Apply(DropShots{Block: "after"}))
	assert.Len(t, e.Lesson().Shots, 1)
	require.Error(t, e.Apply(SetShot{Shot: hit[1]}))
	for range 3 {
		e.Undo()
	}
	assert.Empty(t, e.Lesson().Shots)

	_, _, err = Decode([]byte(`{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"shots":[{"id":"a","club path":400},{"id":"a"}]}`))
	require.Error(t, err)
	assert.Contains(t, err.Error(), "shots[0].club path")
	assert.Contains(t, err.Error(), "shots[1].id")
}
