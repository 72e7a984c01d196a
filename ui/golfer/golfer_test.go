package golfer

import (
	"image"
	"image/draw"
	_ "image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/video/pose"
)

func find(t *testing.T, name string) (*image.RGBA, pose.Figure) {
	f, err := os.Open(filepath.Join("../../video/pose/testdata", name))
	require.NoError(t, err)
	defer f.Close()
	src, _, err := image.Decode(f)
	require.NoError(t, err)
	im := image.NewRGBA(src.Bounds())
	draw.Draw(im, im.Rect, src, image.Point{}, draw.Src)
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	fig, ok := finder.Find(im)
	require.True(t, ok)
	return im, fig
}

// TestAroundHoldsTheGolfer: no joint that is seen lies outside.
func TestAroundHoldsTheGolfer(t *testing.T) {
	im, fig := find(t, "golfer-address.jpg")
	box := Around(&fig, im.Rect.Size())
	for i, l := range fig.Landmarks {
		assert.True(t, l.X >= box.X0 && l.X <= box.X1 && l.Y >= box.Y0 && l.Y <= box.Y1, "landmark %d", i)
	}
}

// TestTheWholeSwingIsShown: what the marks at address say of the reach of a swing
// holds every mark of the made-up golfer, club and ball too, at all key positions.
func TestTheWholeSwingIsShown(t *testing.T) {
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	b := bench.New(annotations.NewEditor(l), l.Swings[0].ID)
	for i := range b.Stages {
		box, ok := b.Golfer(i)
		require.True(t, ok)
		for _, m := range b.Swing().Marks {
			if m.Clip == b.Stages[i].Clip && m.State != geometry.Hidden {
				assert.True(t, m.At.X >= box.X0 && m.At.X <= box.X1 && m.At.Y >= box.Y0 && m.At.Y <= box.Y1,
					"%s at %s, %s: %v outside %v", m.Point, m.Position, b.Stages[i].View, m.At, box)
			}
		}
		assert.Less(t, box.X1-box.X0, 0.8*b.Stages[i].Picture.W, "it is less than the picture")
	}
}

// TestTheViewIsSeen: the rendered golfer at address from in front, and from the side in
// the golfer of the demo's other clip at the top.
func TestTheViewIsSeen(t *testing.T) {
	_, fig := find(t, "golfer-address.jpg")
	s := Seen{Found: true, Broad: Broad(&fig)}
	v, sure, ok := s.View()
	assert.True(t, ok)
	assert.True(t, sure)
	assert.Equal(t, geometry.FaceOn, v)
	_, fig = find(t, "golfer-top.jpg")
	s = Seen{Found: true, Broad: Broad(&fig)}
	v, _, _ = s.View()
	assert.Equal(t, geometry.DownTheLine, v)
	_, _, ok = (&Seen{}).View()
	assert.False(t, ok)
}

// TestCutStaysInTheFrame: whatever the box, the small picture has its shape.
func TestCutStaysInTheFrame(t *testing.T) {
	size := image.Pt(168, 224)
	for _, whole := range []image.Rectangle{image.Rect(0, 0, 1920, 1080), image.Rect(0, 0, 1080, 1920)} {
		for _, b := range []bench.Box{{}, {X0: 1700, Y0: 100, X1: 2100, Y1: 1000}, {X0: -50, Y0: 0, X1: 300, Y1: 1080}} {
			c := Cut(b, whole, size)
			assert.True(t, c.In(whole))
			assert.InDelta(t, 0.75, float64(c.Dx())/float64(c.Dy()), 0.02)
		}
	}
}
