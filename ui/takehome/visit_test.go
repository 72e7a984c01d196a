package takehome

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/series/seriestest"
	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// The sheet of a visit of three swings tells their means, and the change since another
// visit is that of the means.
func TestTheSheetOfAVisit(t *testing.T) {
	source, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	now, _ := seriestest.Visit(source, 8, seriestest.Kind{Swings: 3, Turn: 58})
	before, _ := seriestest.Visit(source, 9, seriestest.Kind{Swings: 3, Turn: 30})
	before.ID, before.Date = "01BEFORE", "2026-04-01"
	b, err := gather(t.Context(), &Request{Lesson: now, Path: "lesson.json", Earlier: before})
	require.NoError(t, err)
	m := b.now.number("pelvis turn", geometry.Top)
	require.NotNil(t, m)
	assert.Equal(t, annotations.OnVisit, m.Basis)
	assert.Equal(t, [2]int{3, 3}, [2]int{m.Change.Earlier.N, m.Change.Later.N})
	assert.True(t, m.Change.Real)
	assert.Contains(t, b.sheet.How, "They are means over three swings")
	b.now.Measures[0].Cloth = &motion.Seen{Came: motion.ClothUsed, Frames: 40, Followed: 31}
	assert.Contains(t, b.how(), "Belt and trousers could be followed in 31 of 40 frames: the pelvis turn rests on them too. The interval")
	found := false
	for _, c := range b.sheet.Changes {
		found = found || c.Name == "Pelvis turn at the top" && c.Known
	}
	assert.True(t, found)
}
