package bench

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

const tolRoundTrip = 1e-9

func TestZoomAboutKeepsThePointUnderThePointer(t *testing.T) {
	stage, picture := Size{613, 749}, Size{1920, 1080}
	for _, zoom := range []float64{0.1, 0.5, 0.9, 1.1, 2, 7} {
		for _, s := range []ScreenPt{{0, 0}, {613, 749}, {306, 374}, {17, 600}, {590, 3}} {
			v := Fill(picture, stage)
			before := v.ToPicture(s, stage)
			after := v.ZoomAbout(s, zoom, stage).ToPicture(s, stage)
			assert.InDelta(t, before.X, after.X, tolRoundTrip)
			assert.InDelta(t, before.Y, after.Y, tolRoundTrip)
		}
	}
}

func TestScreenAndPictureAreInverse(t *testing.T) {
	stage := Size{613, 749}
	v := Viewport{PicturePt{701.25, 333.5}, 1.7}
	for _, p := range []PicturePt{{0.5, 0.5}, {1919.5, 1079.5}, {701.25, 333.5}} {
		q := v.ToPicture(v.ToScreen(p, stage), stage)
		assert.InDelta(t, p.X, q.X, tolRoundTrip)
		assert.InDelta(t, p.Y, q.Y, tolRoundTrip)
	}
}

func TestPanFollowsTheHand(t *testing.T) {
	stage := Size{600, 700}
	v := Viewport{PicturePt{900, 500}, 2.5}
	p := v.ToPicture(ScreenPt{100, 100}, stage)
	s := v.Pan(40, -30).ToScreen(p, stage)
	assert.InDelta(t, 140, s.X, tolRoundTrip)
	assert.InDelta(t, 70, s.Y, tolRoundTrip)
}

func TestScaleStaysInBounds(t *testing.T) {
	stage := Size{600, 700}
	v := Viewport{PicturePt{900, 500}, 1}
	assert.Equal(t, float64(maxScale), v.ZoomAbout(ScreenPt{}, 1e9, stage).Scale)
	assert.Equal(t, float64(minScale), v.ZoomAbout(ScreenPt{}, 1e-9, stage).Scale)
	assert.Equal(t, 1.0, clampScale(math.NaN()))
}

func TestVisibleCrop(t *testing.T) {
	picture := Size{1920, 1080}
	tests := []struct {
		name  string
		v     Viewport
		stage Size
		want  Crop
	}{
		{"whole picture, wide stage", Fit(picture, Size{960, 600}), Size{960, 600},
			Crop{0, 0, 1920, 1080, 0, 30, 960, 540}},
		{"filled, narrow stage", Fill(picture, Size{540, 540}), Size{540, 540},
			Crop{420, 0, 1500, 1080, 0, 0, 540, 540}},
		{"four times, odd place", Viewport{PicturePt{101, 101}, 4}, Size{40, 40},
			Crop{96, 96, 106, 106, 0, 0, 40, 40}},
		{"outside", Viewport{PicturePt{-500, 0}, 1}, Size{100, 100}, Crop{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			assert.Equal(t, tt.want, tt.v.Visible(picture, tt.stage))
		})
	}
}

func TestVisibleCropLiesWhereItsCornersLie(t *testing.T) {
	picture, stage := Size{1079, 1917}, Size{613, 749}
	for i := range 200 {
		v := Viewport{PicturePt{float64(i * 5), float64(i * 9)}, 0.1 * math.Pow(1.02, float64(i))}
		c := v.Visible(picture, stage)
		if c.Empty() {
			continue
		}
		p := v.ToScreen(PicturePt{float64(c.X0), float64(c.Y0)}, stage)
		q := v.ToScreen(PicturePt{float64(c.X1), float64(c.Y1)}, stage)
		assert.InDelta(t, p.X, c.Left, 0.5)
		assert.InDelta(t, p.Y, c.Top, 0.5)
		assert.InDelta(t, q.X, c.Left+float64(c.Width), 0.5)
		assert.InDelta(t, q.Y, c.Top+float64(c.Height), 0.5)
	}
}

func TestKeepHoldsThePictureOnTheStage(t *testing.T) {
	picture, stage := Size{1920, 1080}, Size{600, 700}
	v := Viewport{PicturePt{900, 500}, 2}.Pan(1e5, -1e5).Keep(picture)
	assert.False(t, v.Visible(picture, stage).Empty())
}
