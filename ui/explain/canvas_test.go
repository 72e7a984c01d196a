package explain

import (
	"fmt"
	"image"
	"image/color"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// sevenPx measures text as if every letter were 7 by 14 pixels.
func sevenPx(s string) (w, h float64) { return 7 * float64(len(s)), 14 }

func canvas(w, h float64) *Canvas {
	return &Canvas{Scale: 0.5, Left: 10, Top: -20, Width: w, Height: h, Unit: 1, Measure: sevenPx}
}

func TestPlacesGoToTheOutputAndBack(t *testing.T) {
	c := canvas(800, 600)
	assert.Equal(t, Pt{110, 30}, c.ToOutput(pt(200, 100)))
	near(t, pt(200, 100), c.ToPicture(Pt{110, 30}), "back")
}

func TestDashesFillALine(t *testing.T) {
	for _, length := range []float64{0.5, 9, 15, 24, 100, 5000, 1e6} {
		d := dashes(length, 9, 6)
		assert.Equal(t, 0.0, d[0][0])
		assert.InDelta(t, length, d[len(d)-1][1], 1e-6, "a dash at either end")
		assert.LessOrEqual(t, len(d), maxDashes+1)
		for i := 1; i < len(d); i++ {
			assert.Greater(t, d[i][0], d[i-1][1], "dashes lie apart")
		}
	}
	assert.Len(t, dashes(9+15*4, 9, 6), 5)
}

func TestEveryStrokeHasAHaloUnderIt(t *testing.T) {
	g := &Figure{
		Strokes: []Stroke{{From: pt(0, 0), To: pt(400, 0), Ink: LeadInk}, {From: pt(0, 0), To: pt(0, 400), Ink: TrailInk, Dashed: true, Arrow: true}},
		Dots:    []Dot{{At: pt(9, 9), Ink: OwnInk}, {At: pt(9, 9), Ink: OwnInk, Hollow: true}},
		Arcs:    []Arc{{Centre: pt(5, 5), Radius: 50, Turn: 1, Ink: OwnInk}},
	}
	l := canvas(800, 600).Lay(g)
	halo := l.Shapes[0]
	assert.Equal(t, OnPicture.Halo, halo.Colour)
	assert.Len(t, halo.Segments, 2, "a dashed line has a whole halo")
	assert.Len(t, halo.Discs, 2)
	assert.Len(t, halo.Bows, 1)
	assert.Len(t, halo.Triangles, 1)
	assert.InDelta(t, strokeWidth+2*haloWidth, halo.Segments[0].Width, 1e-9)
	var lead, trail Shape
	for _, s := range l.Shapes[1:] {
		switch s.Colour {
		case OnPicture.Inks[LeadInk]:
			lead = s
		case OnPicture.Inks[TrailInk]:
			trail = s
		}
	}
	assert.Equal(t, []Segment{{Pt{10, -20}, Pt{210, -20}, strokeWidth}}, lead.Segments)
	assert.Greater(t, len(trail.Segments), 5, "dashes")
}

func TestALineOfNoLengthIsNotDrawn(t *testing.T) {
	l := canvas(800, 600).Lay(&Figure{Strokes: []Stroke{{From: pt(5, 5), To: pt(5, 5), Arrow: true}}})
	assert.Empty(t, l.Shapes[0].Segments)
	assert.Empty(t, l.Shapes[0].Triangles)
}

// TestLabelsKeepClear puts many lines with labels on a stage and looks for labels
// that cover each other or leave the stage.
func TestLabelsKeepClear(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 1))
		g := new(Figure)
		for i := range 7 {
			at := pt(1600*r.Float64(), 1200*r.Float64())
			g.Strokes = append(g.Strokes, Stroke{From: at, To: pt(1600*r.Float64(), 1200*r.Float64())})
			g.Labels = append(g.Labels, Label{At: at, Toward: pt(r.NormFloat64(), r.NormFloat64()), Text: fmt.Sprintf("a measure %d.%d° ± 2.%d", i, i, i)})
		}
		c := canvas(820, 580)
		l := c.Lay(g)
		require.Len(t, l.Plates, len(g.Labels))
		for i := range l.Plates {
			a := l.Plates[i].Rect
			assert.True(t, a.Min.X >= 0 && a.Min.Y >= 0 && a.Max.X <= c.Width && a.Max.Y <= c.Height, "seed %d: %v leaves the stage", seed, a)
			for k := range i {
				assert.False(t, overlap(a, l.Plates[k].Rect), "seed %d: %v covers %v", seed, a, l.Plates[k].Rect)
			}
		}
	}
}

func TestALabelStandsOnTheSideAskedFor(t *testing.T) {
	c := canvas(800, 600)
	at := c.ToPicture(Pt{400, 300})
	for _, d := range []geometry.ImagePt{pt(1, 0), pt(-1, 0), pt(0, 1), pt(0, -1)} {
		l := c.Lay(&Figure{Labels: []Label{{At: at, Toward: d, Text: "lead leg"}}})
		m := l.Plates[0].middle()
		assert.Greater(t, (m.X-400)*d.X+(m.Y-300)*d.Y, 10.0, "%v", d)
		assert.False(t, l.Plates[0].Contains(Pt{400, 300}))
	}
}

func TestNotesWrapAndStayWhereTheyWerePut(t *testing.T) {
	c := canvas(800, 600)
	g := &Figure{Labels: []Label{
		{At: c.ToPicture(Pt{300, 200}), Text: "let the trail knee stay over the foot while the hips turn", Fixed: true},
		{At: c.ToPicture(Pt{300, 200}), Toward: pt(1, 0), Text: "number"},
	}}
	l := c.Lay(g)
	note := l.Plates[0]
	assert.Equal(t, []string{"let the trail knee stay over the foot", "while the hips turn"}, note.Lines)
	assert.Equal(t, 310.0, note.Min.X)
	assert.False(t, overlap(note.Rect, l.Plates[1].Rect), "numbers give way to notes")
	g.Labels[0].At = c.ToPicture(Pt{790, 200})
	assert.Less(t, c.Lay(g).Plates[0].Max.X, 790.0, "at the right edge it stands to the left")
	assert.Equal(t, []string{"two", "", "lines"}, c.wrap("two\n\nlines"))
}

func TestCrosses(t *testing.T) {
	r := Rect{Pt{10, 10}, Pt{20, 20}}
	for _, c := range []struct {
		a, b Pt
		want bool
	}{
		{Pt{0, 0}, Pt{30, 30}, true}, {Pt{0, 15}, Pt{30, 15}, true}, {Pt{12, 12}, Pt{13, 13}, true},
		{Pt{0, 0}, Pt{9, 9}, false}, {Pt{0, 15}, Pt{9, 15}, false}, {Pt{0, 25}, Pt{30, 25}, false}, {Pt{0, 20}, Pt{25, 60}, false},
	} {
		assert.Equal(t, c.want, crosses(c.a, c.b, r), "%v %v", c.a, c.b)
	}
}

// over is what a ground looks like under a colour on a still.
func over(bg, c color.NRGBA) color.NRGBA {
	mix := func(b, f uint8) uint8 { return uint8((int(b)*(255-int(c.A)) + int(f)*int(c.A) + 127) / 255) }
	return color.NRGBA{mix(bg.R, c.R), mix(bg.G, c.G), mix(bg.B, c.B), 255}
}

func TestPaintedLinesLieWhereTheyShould(t *testing.T) {
	for _, bg := range []uint8{255, 0} {
		dst := image.NewRGBA(image.Rect(0, 0, 200, 100))
		fillRect(dst, dst.Rect, color.NRGBA{bg, bg, bg, 255})
		face := NewTypeface(14, false)
		c := &Canvas{Scale: 1, Width: 200, Height: 100, Unit: 2, Measure: face.Measure}
		// The line leaves the picture at the right: nothing comes back at the left.
		g := &Figure{Strokes: []Stroke{{From: pt(50.5, 50.5), To: pt(400, 50.5), Ink: LeadInk}, {From: pt(80, 20), To: pt(80, 80), Ink: OwnInk}}}
		Paint(dst, c.Lay(g), face)
		at := func(x, y int) color.NRGBA { p := dst.RGBAAt(x, y); return color.NRGBA(p) }
		assert.Equal(t, OnPicture.Inks[LeadInk], at(60, 50))
		assert.Equal(t, OnPicture.Inks[LeadInk], at(199, 50))
		assert.Equal(t, OnPicture.Inks[OwnInk], at(80, 30))
		assert.Equal(t, OnPicture.Inks[OwnInk], at(80, 50), "one's own lie on top")
		halo := over(color.NRGBA{bg, bg, bg, 255}, OnPicture.Halo)
		for _, y := range []int{46, 54} {
			got := at(60, y)
			assert.InDelta(t, float64(halo.R), float64(got.R), 2, "halo beside the line")
		}
		assert.InDelta(t, float64(halo.R), float64(at(76, 46).R), 2, "a halo is not darker where lines cross")
		for _, p := range [][2]int{{10, 50}, {0, 51}, {45, 50}, {60, 60}, {60, 40}, {0, 50}} {
			assert.Equal(t, color.NRGBA{bg, bg, bg, 255}, at(p[0], p[1]), "%v is left alone", p)
		}
	}
}

func TestTextIsPaintedOnItsPlate(t *testing.T) {
	dst := image.NewRGBA(image.Rect(0, 0, 300, 100))
	face := NewTypeface(14, false)
	c := &Canvas{Scale: 1, Width: 300, Height: 100, Unit: 1, Measure: face.Measure}
	l := c.Lay(&Figure{Labels: []Label{{At: pt(20, 50), Toward: pt(1, 0), Text: "pelvis turn 41.4° ± 5.9"}}})
	Paint(dst, l, face)
	p := l.Plates[0]
	bright := 0
	for y := int(p.Min.Y); y < int(p.Max.Y); y++ {
		for x := int(p.Text.X); x < int(p.Max.X); x++ {
			if dst.RGBAAt(x, y).R > 0xc0 {
				bright++
			}
		}
	}
	assert.Greater(t, bright, 100, "there are letters")
	w, _ := face.Measure("pelvis turn 41.4° ± 5.9")
	assert.InDelta(t, w, p.Max.X-p.Min.X-2*platePad, 0.01)
}

func TestLabelsKeepOffTheBodyAndAreLedToTheirPlace(t *testing.T) {
	c := canvas(800, 600)
	at := c.ToPicture(Pt{400, 300})
	g := &Figure{Labels: []Label{{At: at, Toward: pt(0, 1), Text: "pelvis turn 41.4° ± 5.9", Ink: LeadInk}}}
	free := c.Lay(g)
	below := free.Plates[0].middle()
	assert.Greater(t, below.Y, 300.0)
	for _, s := range free.Shapes {
		assert.Empty(t, s.Segments, "a label beside its place needs no line to it")
	}
	// Legs where it stood.
	for x := 330.0; x <= 470; x += 20 {
		g.Body = append(g.Body, [2]geometry.ImagePt{c.ToPicture(Pt{x, 290}), c.ToPicture(Pt{x, 330})})
	}
	l := c.Lay(g)
	for _, b := range g.Body {
		assert.False(t, crosses(c.ToOutput(b[0]), c.ToOutput(b[1]), l.Plates[0].Rect))
	}
	var led []Segment
	for _, s := range l.Shapes[1:] {
		led = append(led, s.Segments...)
	}
	require.Len(t, led, 1)
	assert.Equal(t, Pt{400, 300}, led[0].B)
}

func TestALongLabelHasItsNumberBelow(t *testing.T) {
	c := canvas(800, 600)
	for _, l := range []struct {
		label Label
		want  []string
	}{
		{Label{Text: "pelvis turn", Value: "1.2° ± 7.0"}, []string{"pelvis turn 1.2° ± 7.0"}},
		{Label{Text: "lead hip offset from the ankle-knee line", Value: "1.2 ± 14.9 cm"}, []string{"lead hip offset from the ankle-knee line", "1.2 ± 14.9 cm"}},
		{Label{Value: "84° ± 3 in the picture, as the camera saw it"}, []string{"84° ± 3 in the picture, as the camera saw it"}},
		{Label{Text: "belt"}, []string{"belt"}},
	} {
		assert.Equal(t, l.want, c.labelLines(&l.label))
	}
}
