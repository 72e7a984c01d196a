package takehome

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/takehome/crop"
)

// The views of a clip have one size and no gap between picture and edge, and stand in the
// middle.
func TestViewsHaveOneSize(t *testing.T) {
	l, path := fixture(t)
	for _, size := range []Size{Screen, Phone} {
		b := &builder{request: &Request{Lesson: l, Path: path}, sheet: new(Sheet)}
		var err error
		b.now, err = b.request.measure(t.Context(), l, 0)
		require.NoError(t, err)
		panels, _ := planned(t, b, size, 1)
		require.Len(t, panels, 2)
		assert.Equal(t, panels[0].place.Size(), panels[1].place.Size())
		w, h := size.Pixels()
		room := image.Rect(0, 0, w, h-captionHeight(size))
		all := panels[0].place.Union(panels[1].place)
		assert.True(t, all.In(room))
		assert.InDelta(t, room.Max.X-all.Max.X, all.Min.X, 4)
		if size == Screen { // the pictures are wide enough
			assert.GreaterOrEqual(t, all.Dx(), room.Dx()-8, "nothing is left empty beside them")
		}
		for i := range panels {
			assert.InDelta(t, crop.Shape(panels[i].place), crop.Shape(panels[i].part), 0.02)
		}
	}
}
