package explain

import (
	"errors"
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plain is a picture of one colour.
func plain(c color.NRGBA) func(*image.RGBA) error {
	return func(dst *image.RGBA) error {
		fillRect(dst, dst.Rect, c)
		return nil
	}
}

// ink reports whether anything but the ground is in a part of a still.
func ink(img *image.RGBA, r image.Rectangle) bool {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if c := img.RGBAAt(x, y); c.R > stillGround.R+40 {
				return true
			}
		}
	}
	return false
}

func TestAStillKeepsTheClipsResolution(t *testing.T) {
	red, blue := color.NRGBA{200, 0, 0, 255}, color.NRGBA{0, 0, 200, 255}
	figure := &Figure{Strokes: []Stroke{{From: pt(100, 540), To: pt(1800, 540), Ink: LeadInk}}}
	s := Still{Title: "Mara Lindqvist · 2026-05-02", Panels: []Panel{
		{Part: image.Rect(0, 0, 1920, 1080), Picture: plain(red), Figure: figure, Caption: "Face-on · Top · frame 264"},
		{Part: image.Rect(100, 200, 640, 1160), Picture: plain(blue), Caption: "Down-the-line · Top · frame 303"},
	}}
	img, err := s.Draw()
	require.NoError(t, err)
	// The second picture is brought to 1080 high: 607.5 wide. One unit is
	// √(1920 · 1080) / 760 = 1.895 px, so the gap is 11.4.
	assert.Equal(t, 1920+11+608, img.Rect.Dx())
	assert.Greater(t, img.Rect.Dy(), 1080+50)
	assert.Equal(t, color.RGBA{200, 0, 0, 255}, img.RGBAAt(0, 0))
	assert.Equal(t, color.RGBA{200, 0, 0, 255}, img.RGBAAt(1919, 1079))
	assert.Equal(t, color.RGBA{0, 0, 200, 255}, img.RGBAAt(1931, 0))
	assert.Equal(t, color.RGBA{0, 0, 200, 255}, img.RGBAAt(img.Rect.Max.X-1, 1079))
	lead := OnPicture.Inks[LeadInk]
	assert.Equal(t, color.RGBA(lead), img.RGBAAt(900, 540), "the figure is drawn on its picture")
	assert.NotEqual(t, color.RGBA(lead), img.RGBAAt(1931+300, 540))
	assert.True(t, ink(img, image.Rect(0, 1085, 600, 1120)), "caption")
	assert.True(t, ink(img, image.Rect(1931, 1085, 2500, 1120)), "caption of the second")
	assert.True(t, ink(img, image.Rect(0, 1130, 600, img.Rect.Max.Y)), "who and when")
	assert.False(t, ink(img, image.Rect(1200, 1130, img.Rect.Max.X, img.Rect.Max.Y)), "no number, no interval to explain")

	figure.Labels = []Label{{At: pt(500, 500), Text: "pelvis turn", Value: "41.4° ± 5.9"}}
	img, err = s.Draw()
	require.NoError(t, err)
	assert.True(t, ink(img, image.Rect(1200, 1130, img.Rect.Max.X, img.Rect.Max.Y)), "what ± means stands beside numbers")
}

func TestASmallStillHasRoomForItsWords(t *testing.T) {
	s := Still{Title: "a name that is rather long for so small a picture · 2026-05-02", Panels: []Panel{{
		Part: image.Rect(20, 30, 180, 150), Picture: plain(color.NRGBA{9, 9, 9, 255}), Caption: "Face-on · lead arm level · frame 264 of 547",
		Figure: &Figure{Labels: []Label{{Text: "pelvis turn", Value: "41.4° ± 5.9"}}},
	}}}
	img, err := s.Draw()
	require.NoError(t, err)
	assert.Equal(t, 960, img.Rect.Dx(), "it is enlarged six times, to 720 pixels")
}

func TestAPartOfAPictureTakesItsLinesAlong(t *testing.T) {
	s := Still{Panels: []Panel{{Part: image.Rect(400, 300, 1400, 1020), Picture: plain(color.NRGBA{9, 9, 9, 255}),
		Figure: &Figure{Strokes: []Stroke{{From: pt(500, 660), To: pt(1300, 660), Ink: LeadInk}}}}}}
	img, err := s.Draw()
	require.NoError(t, err)
	assert.Equal(t, 1000, img.Rect.Dx())
	lead := color.RGBA(OnPicture.Inks[LeadInk])
	assert.Equal(t, lead, img.RGBAAt(500, 360), "400 to the left of 900, 300 above 660")
	assert.NotEqual(t, lead, img.RGBAAt(60, 360))
	assert.NotEqual(t, lead, img.RGBAAt(940, 360))
}

func TestAPictureThatCantBeHadIsAnError(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := (&Still{Panels: []Panel{{Part: image.Rect(0, 0, 16, 16), Picture: func(*image.RGBA) error { return broken }}}}).Draw()
	assert.ErrorIs(t, err, broken)
	img, err := (&Still{}).Draw()
	require.NoError(t, err)
	assert.True(t, img.Rect.Empty())
}

func BenchmarkStill(b *testing.B) {
	s := Still{Title: "Mara Lindqvist", Panels: []Panel{{Part: image.Rect(0, 0, 1920, 1080), Caption: "Face-on",
		Picture: plain(color.NRGBA{200, 0, 0, 255}),
		Figure: &Figure{
			Strokes: []Stroke{{From: pt(100, 100), To: pt(1800, 900), Ink: LeadInk}, {From: pt(100, 900), To: pt(1800, 100), Ink: TrailInk, Dashed: true}},
			Labels:  []Label{{At: pt(500, 500), Text: "pelvis turn", Value: "41.4° ± 5.9"}},
		}}}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Draw(); err != nil {
			b.Fatal(err)
		}
	}
}
