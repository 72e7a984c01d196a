package takehome

import (
	"bytes"
	"context"
	"image/color"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// A finding stands beside the frame that the coach chose, with what he drew on it, and
// the clip stands still there. The clips of the tests have a grey of their own in each
// frame.
func TestTheFrameThatTheCoachChose(t *testing.T) {
	l, path := fixture(t)
	found(l)
	s := &l.Swings[0]
	c := s.ClipOf(geometry.DownTheLine)
	top, ok := s.FrameOf(c.ID, geometry.Top)
	require.True(t, ok)
	between := annotations.FrameRef{Clip: c.ID, Index: top.Index + 3, PTSUnknown: true}
	_, set := s.PositionAt(c.ID, between.Index)
	require.False(t, set)
	s.Findings[2].Frame = between
	s.Findings[0].Frame = top
	w, h := float64(c.Width), float64(c.Height)
	s.Drawings = []annotations.Drawing{{ID: "d", Frame: between, Kind: annotations.DrawnLine,
		Points: []geometry.ImagePt{{X: w * 0.3, Y: h * 0.5}, {X: w * 0.7, Y: h * 0.5}}}}

	r := Request{Lesson: l, Path: path, Earlier: earlier(l), EarlierPath: path}
	b, err := gather(context.Background(), &r)
	require.NoError(t, err)
	f := b.sheet.Findings[2]
	require.NotNil(t, f.Picture)
	assert.Equal(t, "Down the line (frame 39)", f.Picture.Caption, "3 after the top")
	assert.Nil(t, f.Before, "the lesson before has no such moment")
	img, err := jpeg.Decode(bytes.NewReader(f.Picture.JPEG))
	require.NoError(t, err)
	g := color.GrayModel.Convert(img.At(2, 2)).(color.Gray).Y
	assert.InDelta(t, grey(between.Index), g, 8)
	yellow := 0
	for x := range img.Bounds().Dx() {
		for y := range img.Bounds().Dy() {
			if r, _, b, _ := img.At(x, y).RGBA(); int(r>>8)-int(b>>8) > 60 {
				yellow++
			}
		}
	}
	assert.Greater(t, yellow, 50, "the line that the coach drew")
	assert.Equal(t, "Down the line, at the top (frame 36)", b.sheet.Findings[0].Picture.Caption, "not face-on, which shows a turn best")
	require.NotNil(t, b.sheet.Findings[0].Before, "the same key position from the same view")

	_, moments := planned(t, b, Screen, 1)
	at := map[string]*moment{}
	for i := range moments {
		if x := moments[i].tale; x != nil {
			at[x.text] = &moments[i]
		}
	}
	require.Contains(t, at, s.Findings[2].Text)
	still := at[s.Findings[2].Text]
	assert.Equal(t, between.Index, still.frames[1])
	assert.Empty(t, still.position)
	assert.Equal(t, geometry.Top, at[s.Findings[0].Text].position)
}
