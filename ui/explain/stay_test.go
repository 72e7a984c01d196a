package explain

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Each shape is one drawing and one step of undo, a line drawn freehand however long it
// is.
func TestShapesAreDrawnByHand(t *testing.T) {
	for _, kind := range []annotations.DrawingKind{annotations.DrawnArrow, annotations.DrawnCircle, annotations.DrawnBox, annotations.DrawnFreehand} {
		h := newHand(t)
		h.Take(kind)
		h.press(0, 400, 300)
		for i := range 900 {
			h.Drag(h.to(0, 400+10*float64(i%100), 300+5*float64(i)*0.8), stage)
		}
		h.Release(h.to(0, 1390, 900), stage)
		list := h.b.Swing().Drawings
		require.Len(t, list, 1, kind)
		assert.Equal(t, kind, list[0].Kind)
		assert.LessOrEqual(t, len(list[0].Points), annotations.MostFreehand)
		if kind != annotations.DrawnFreehand {
			assert.Len(t, list[0].Points, 2)
		}
		d, _, ok := h.Held()
		require.True(t, ok)
		assert.Equal(t, list[0].ID, d.ID)
		h.b.Undo()
		assert.Empty(t, h.b.Swing().Drawings)
	}
	h := newHand(t)
	h.Take(annotations.DrawnFreehand)
	h.press(0, 400, 300)
	h.Release(h.to(0, 400, 300), stage)
	assert.Empty(t, h.b.Swing().Drawings, "a mere click draws nothing")
}

// A drawing stays on its frame, then to the next key position, then over the whole clip;
// or to the frame that the coach goes on to, though it is no longer in hand there.
func TestDrawingsStay(t *testing.T) {
	h := newHand(t)
	h.b.GoTo(0, 50)
	require.NoError(t, h.b.Editor().Apply(annotations.SetPosition{Swing: "s1", Position: geometry.Top, Clip: "fo", Index: 120}))
	h.Take(annotations.DrawnCircle)
	h.press(0, 400, 300)
	h.Release(h.to(0, 500, 300), stage)
	only := func() annotations.Drawing { return h.b.Swing().Drawings[0] }
	h.NextStay()
	assert.Equal(t, annotations.Stay{From: 50, To: 120}, only().Stay)
	h.NextStay()
	assert.Equal(t, annotations.Stay{Whole: true}, only().Stay)
	h.NextStay()
	assert.Equal(t, annotations.Stay{}, only().Stay)
	h.b.Undo()
	assert.True(t, only().Stay.Whole)
	h.b.Redo()

	h.b.GoTo(0, 30)
	h.Refresh()
	_, _, ok := h.Held()
	assert.False(t, ok)
	h.StayToHere()
	assert.Equal(t, annotations.Stay{From: 30, To: 50}, only().Stay)
	_, _, ok = h.Held()
	assert.True(t, ok, "it is seen here now")
	h.b.GoTo(0, 51)
	h.Refresh()
	assert.Empty(t, h.drawings(0))
	h.b.GoTo(0, 40)
	assert.Len(t, h.drawings(0), 1)
	assert.True(t, h.press(0, 400, 200), "it is taken hold of by its line")
}

// Strokes are told apart without their colours: by how much of a line is drawn.
func TestStrokesDifferInMoreThanColour(t *testing.T) {
	ink := func(s annotations.Stroke) int {
		g := new(Figure)
		d := annotations.Drawing{Kind: annotations.DrawnBox, Stroke: s, Points: []geometry.ImagePt{{X: 20, Y: 20}, {X: 320, Y: 220}}}
		g.addDrawing(&d, 0)
		c := Canvas{Scale: 1, Width: 400, Height: 300, Unit: 1, Measure: func(string) (float64, float64) { return 10, 10 }}
		img := image.NewRGBA(image.Rect(0, 0, 400, 300))
		Paint(img, c.Lay(g), NewTypeface(14, false))
		n, want := 0, OnPicture.Inks[InkOf(s)]
		for y := range 300 {
			for x := range 400 {
				p := img.RGBAAt(x, y)
				if math.Abs(float64(p.R)-float64(want.R))+math.Abs(float64(p.G)-float64(want.G))+math.Abs(float64(p.B)-float64(want.B)) < 40 {
					n++
				}
			}
		}
		return n
	}
	solid, dashed, dotted := ink(annotations.SolidStroke), ink(annotations.DashedStroke), ink(annotations.DottedStroke)
	assert.InDelta(t, 1000*strokeWidth, solid, 1000, "the whole of 1000 pixels")
	assert.InDelta(t, float64(solid)*dashOn/(dashOn+dashOff), dashed, 0.15*float64(solid))
	// The rims of dots are mixed with the picture: something is missing of each.
	assert.Less(t, float64(dotted), 1000/dotStep*math.Pi*dotWidth*dotWidth/4)
	assert.Greater(t, dotted, 300)
}

// In a comparison only the swing on the bench is drawn on.
func TestTheOtherSwingIsNotDrawnOn(t *testing.T) {
	h := newHand(t)
	other := h.b.Swing()
	c := bench.NewComparison(h.b.Swing, func() *annotations.Swing { return other }, geometry.FaceOn, "")
	for i := range c.Stages {
		c.OpenFilm(i, steady{})
		c.Stages[i].Port = bench.Fit(c.Stages[i].Picture, stage)
	}
	h.Board = NewBoard(h.b, func() *bench.Show { return &c.Show })
	h.Take(annotations.DrawnLine)
	taken, note := h.Press(1, bench.ScreenPt{X: 200, Y: 200}, stage, reach, nil)
	assert.True(t, taken)
	assert.Contains(t, note, "the open lesson")
	h.Press(0, bench.ScreenPt{X: 200, Y: 200}, stage, reach, nil)
	h.Release(bench.ScreenPt{X: 300, Y: 200}, stage)
	assert.Len(t, h.b.Swing().Drawings, 1)
}
