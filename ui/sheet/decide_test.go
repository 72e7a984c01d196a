package sheet

import (
	"image"
	"testing"

	"gioui.org/io/semantic"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
)

// TestTheCardSaysWhatDecidesAndWhatMarksAloneTell reads the card of a followed number
// whose verdict is open.
func TestTheCardSaysWhatDecidesAndWhatMarksAloneTell(t *testing.T) {
	d := geometry.DefinitionOf("pelvis turn")
	alone := d.Measure(geometry.Top, 40.1, 8.0/geometry.Z95, "joint fit, 2 views")
	m := annotations.Measured{Measure: d.Measure(geometry.Top, 38.2, 7.1/geometry.Z95, "followed"), Basis: annotations.OnFollowed, Alone: &alone}
	m.JudgeBy(annotations.Target{Range: geometry.Range{Low: 40, High: 60}, Source: "common practice, no source"}, 0)
	model := Build(Input{Measures: []annotations.Measured{m}, Best: [][]annotations.Remedy{{
		{What: words.ThreeSwings, Unit: geometry.Degrees, Now: 7.1, Then: 5, Open: true, Decides: 0.7},
		{What: words.FilmNearer, Unit: geometry.Degrees, Now: 7.1, Then: 6, Open: true, Decides: 0.2},
	}}})
	r, ok := model.Find(Key("pelvis turn", geometry.Top))
	require.True(t, ok)
	assert.Equal(t, []fact{
		{"To decide", "Mark three swings and take their mean: ±7.1 becomes about ±5.0, likely to decide it", true},
		{"or", "Film upright and nearer, the golfer filling the picture: ±7.1 becomes about ±6.0, unlikely to decide it", true},
		{"Basis", "followed through the clips; the marks alone say 40.1° ± 8.0", false},
	}, r.facts[:3])
}

// TestTheCardSaysWhatTheClothesShowed, where the number rests on them and where it does not.
func TestTheCardSaysWhatTheClothesShowed(t *testing.T) {
	d := geometry.DefinitionOf("pelvis turn")
	basis := func(m annotations.Measured) string {
		model := Build(Input{Measures: []annotations.Measured{m}})
		r, ok := model.Find(Key("pelvis turn", geometry.Top))
		require.True(t, ok)
		return r.Basis
	}
	alone := d.Measure(geometry.Top, 40.1, 8.0/geometry.Z95, "joint fit, 2 views")
	m := annotations.Measured{Measure: d.Measure(geometry.Top, 38.2, 4.9/geometry.Z95, "followed"), Basis: annotations.OnFollowed, Alone: &alone,
		Cloth: &motion.Seen{Came: motion.ClothUsed, Frames: 40, Followed: 31}}
	assert.Equal(t, "followed through the clips; the marks alone say 40.1° ± 8.0. Belt and trousers could be followed in 31 of 40 frames: the pelvis turn rests on them too", basis(m))
	m = annotations.Measured{Measure: alone, Basis: annotations.OnMarks, Cloth: &motion.Seen{Came: motion.ClothUnseen, Frames: 40, Followed: 2}}
	assert.Contains(t, basis(m), "2 of 40 frames, since they are plain, hidden or in the dark")
	m.Cloth = nil
	assert.Empty(t, basis(m))
}

// Rows of one measure differ by their key position: of a title without room it is the
// name that is cut.
func TestWhatIsKnownKeepsItsKeyPosition(t *testing.T) {
	t.Parallel()
	r := newRig(t, 300, 1100)
	r.sheet.View = Known
	r.Frame()
	r.Frame()
	cut := 0
	for _, it := range r.sheet.items {
		if it.row == nil {
			continue
		}
		ends := map[string]image.Rectangle{}
		for _, n := range r.Nodes() {
			if n.Desc.Class == semantic.Unknown {
				ends[n.Desc.Label] = n.Desc.Bounds
			}
		}
		if at, ok := ends[", "+string(it.row.Position)]; ok {
			cut++
			assert.Positive(t, at.Dx())
			assert.Less(t, at.Max.X, 300)
		}
	}
	assert.GreaterOrEqual(t, cut, 2)
	assert.True(t, r.Shows("Pelvis turn, impact"), "it is told whole")
}
