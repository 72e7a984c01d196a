package panel

import (
	"image"
	"image/color"
	"slices"
	"testing"

	"gioui.org/font"
	"gioui.org/layout"
	"github.com/stretchr/testify/assert"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
	"turngauge/ui/explain"
)

// TestTheWindowAndAStillDrawTheSame paints one layout with the window's painter
// and with that of stills, on a bright ground and on a dark one.
func TestTheWindowAndAStillDrawTheSame(t *testing.T) {
	pt := func(x, y float64) geometry.ImagePt { return geometry.ImagePt{X: x, Y: y} }
	f := &explain.Frame{View: geometry.DownTheLine, Position: geometry.Top, Width: 480, Height: 360, Numbers: map[string]string{
		"pelvis turn": "41.4° ± 5.9", "lead hip offset from the ankle-knee line": "−3.2 ± 1.1 cm", "forward bend": "33.4° ± 3.0"}}
	for p, at := range map[geometry.Point]geometry.ImagePt{
		geometry.LeadHip: pt(250, 170), geometry.TrailHip: pt(205, 180), geometry.LeadKnee: pt(262, 240), geometry.LeadAnkle: pt(255, 320),
		geometry.LeadShoulder: pt(310, 95), geometry.TrailShoulder: pt(270, 70), geometry.TrailHeel: pt(200, 330), geometry.TrailToe: pt(240, 332),
	} {
		f.Spots[p] = explain.Spot{At: at, Known: true, Fitted: p == geometry.LeadAnkle}
	}
	f.Drawings = []annotations.Drawing{
		{Kind: annotations.DrawnAngle, Points: []geometry.ImagePt{pt(60, 60), pt(60, 140), pt(150, 160)}, Text: "wrist"},
		{Kind: annotations.DrawnNote, Points: []geometry.ImagePt{pt(30, 250)}, Text: "knee over the foot"},
	}
	var on explain.Set
	for l := range on {
		on[l] = true
	}
	th := draw.NewFixedTheme(true, 1)
	ground := color.NRGBA{20, 24, 20, 255}
	var l *explain.Layout
	window := drawtest.Picture(t, 480, 360, 1, ground, func(gtx layout.Context) {
		c := explain.Canvas{Scale: 1, Width: 480, Height: 360, Unit: 1, Measure: func(s string) (float64, float64) {
			sz, _ := th.TextSize(gtx, draw.Body, font.Normal, s)
			return float64(sz.X), float64(sz.Y)
		}}
		l = c.Lay(f.Figure(on))
		for i := range l.Shapes {
			fillShape(gtx, &l.Shapes[i])
		}
		for i := range l.Plates {
			layoutPlate(gtx, th, &l.Plates[i])
		}
	})
	still := paintedOn(ground, l)
	off := unlike(window, still)
	assert.LessOrEqual(t, off, 8, "parts that differ, of 4800")
	// Without one thin line they are not the same.
	less := *l
	less.Shapes = slices.Clone(l.Shapes)
	for k := range less.Shapes {
		if s := &less.Shapes[k]; s.Colour == explain.OnPicture.Inks[explain.OwnInk] {
			s.Segments = nil
		}
	}
	assert.Greater(t, unlike(window, paintedOn(ground, &less)), off+8)
}

// paintedOn is a layout on an even ground, painted as on stills.
func paintedOn(ground color.NRGBA, l *explain.Layout) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 480, 360))
	for i := 0; i < len(img.Pix); i += 4 {
		img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = ground.R, ground.G, ground.B, 255
	}
	explain.Paint(img, l, explain.NewTypeface(14, false))
	return img
}

// unlike counts the parts of 6 by 6 pixels whose mean colours differ by more
// than 48 of 255. Single pixels do at every edge: the two painters smooth edges
// each in its own way, and letters lie on the window's whole pixels.
func unlike(a, b *image.RGBA) int {
	const side = 6
	n := 0
	for y := 0; y < a.Rect.Dy(); y += side {
		for x := 0; x < a.Rect.Dx(); x += side {
			var sum [3]int
			for dy := range side {
				for dx := range side {
					i := a.PixOffset(x+dx, y+dy)
					for c := range sum {
						sum[c] += int(a.Pix[i+c]) - int(b.Pix[i+c])
					}
				}
			}
			if slices.ContainsFunc(sum[:], func(d int) bool { return max(d, -d) > 48*side*side }) {
				n++
			}
		}
	}
	return n
}

// The colours on a picture are those of the marks: a line and a mark of one side
// look alike.
func TestLinesHaveTheColoursOfTheMarks(t *testing.T) {
	lead, trail, middle := draw.PictureColours()
	assert.Equal(t, lead, explain.OnPicture.Inks[explain.LeadInk])
	assert.Equal(t, trail, explain.OnPicture.Inks[explain.TrailInk])
	assert.Equal(t, middle, explain.OnPicture.Inks[explain.MiddleInk])
	p := draw.DarkPalette()
	assert.Equal(t, p.Plate, explain.OnPicture.Plate)
	assert.Equal(t, p.PlateText, explain.OnPicture.Text)
}

// Graphics need 3:1 against what is beside them, text 4.5:1 (W3C, Web Content
// Accessibility Guidelines 2.2, 1.4.11 and 1.4.3), on the brightest sky as on the
// darkest trousers.
func TestLinesAreSeenOnAnyPicture(t *testing.T) {
	// The luminance of a ground under a colour: mixed as stills are, and in
	// linear light, as the window's graphics mix.
	mixtures := func(bg, c color.NRGBA) [2]float64 {
		a, opaque := float64(c.A)/255, c
		opaque.A = 255
		return [2]float64{draw.Luminance(draw.Over(bg, c)), (1-a)*draw.Luminance(bg) + a*draw.Luminance(opaque)}
	}
	ratio := func(c color.NRGBA, under float64) float64 {
		l := draw.Luminance(c)
		return (max(l, under) + 0.05) / (min(l, under) + 0.05)
	}
	for _, ground := range []color.NRGBA{{255, 255, 255, 255}, {0, 0, 0, 255}, {90, 160, 70, 255}, {130, 180, 240, 255}} {
		for _, halo := range mixtures(ground, explain.OnPicture.Halo) {
			for i, ink := range explain.OnPicture.Inks {
				assert.GreaterOrEqual(t, ratio(ink, halo), 3.0, "ink %d on %v", i, ground)
			}
		}
		for _, plate := range mixtures(ground, explain.OnPicture.Plate) {
			assert.GreaterOrEqual(t, ratio(explain.OnPicture.Text, plate), 4.5, "text on %v", ground)
		}
	}
}
