package demo

import (
	"image"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// pictures draws full-size pictures of one camera and keeps what made them.
type pictures struct {
	f *film
	h *hand
	m *golfer.Model
}

// newPictures returns the full-size pictures of a view. The stage takes
// seconds to paint, so all tests share it.
func newPictures(view int) *pictures { return views[view]() }

var views = [2]func() *pictures{
	sync.OnceValue(func() *pictures { return stageOf(0) }),
	sync.OnceValue(func() *pictures { return stageOf(1) }),
}

func stageOf(view int) *pictures {
	m := golfer.Mara()
	f := newFilm(m, phones()[view], Options{})
	return &pictures{f: f, h: f.newHand(), m: m}
}

// at draws the picture nearest to a time and returns where a place is in it.
func (p *pictures) at(t *testing.T, seconds float64) (*image.RGBA, *golfer.Pose, func(r3.Vec) geometry.ImagePt) {
	t.Helper()
	n := int(math.Round((seconds - p.f.phone.start) * rate))
	im := image.NewRGBA(image.Rect(0, 0, width, height))
	p.h.draw(im, n)
	pose := p.m.At(p.f.time(n))
	return im, &pose, func(w r3.Vec) geometry.ImagePt {
		q, err := p.f.camera.Project(w)
		require.NoError(t, err)
		return q
	}
}

// mean returns the mean colour of a square of pixels about a place.
func mean(im *image.RGBA, at geometry.ImagePt, half int) (r, g, b float64) {
	n := 0.0
	for y := int(at.Y) - half; y <= int(at.Y)+half; y++ {
		for x := int(at.X) - half; x <= int(at.X)+half; x++ {
			c := im.RGBAAt(x, y)
			r, g, b, n = r+float64(c.R), g+float64(c.G), b+float64(c.B), n+1
		}
	}
	return r / n, g / n, b / n
}

// centroid returns the middle of the pixels within reach of a place for which
// weight is positive.
func centroid(im *image.RGBA, about geometry.ImagePt, reach int, weight func(r, g, b float64) float64) (geometry.ImagePt, float64) {
	var x, y, sum float64
	for j := int(about.Y) - reach; j <= int(about.Y)+reach; j++ {
		for i := int(about.X) - reach; i <= int(about.X)+reach; i++ {
			c := im.RGBAAt(i, j)
			if w := weight(float64(c.R), float64(c.G), float64(c.B)); w > 0 {
				x, y, sum = x+w*(float64(i)+0.5), y+w*(float64(j)+0.5), sum+w
			}
		}
	}
	return geometry.ImagePt{X: x / sum, Y: y / sum}, sum
}

// TestBall compares the middle of the white disc with the projection of the
// ball's centre at rest, before the club comes near, in both views.
func TestBall(t *testing.T) {
	t.Parallel()
	for view := range 2 {
		p := newPictures(view)
		im, pose, at := p.at(t, golfer.TopTime)
		want := at(pose.Points[geometry.Ball])
		got, area := centroid(im, want, 14, func(r, g, b float64) float64 {
			// The mat is green, the ball and its shaded side are not.
			if r < 0.80*g || b < 0.62*g {
				return 0
			}
			return 1
		})
		depth := p.f.camera.ToCamera(pose.Points[geometry.Ball]).Z
		radius := p.f.camera.FocalPx * golfer.BallRadius / depth
		assert.InEpsilon(t, math.Pi*radius*radius, area, 0.2, "view %d: pixels of the ball", view)
		assert.InDelta(t, want.X, got.X, 0.5, "view %d", view)
		assert.InDelta(t, want.Y, got.Y, 0.5, "view %d", view)
	}
}

// TestBuckle looks for the bright metal at the buckle, and the dark leather
// of the belt beside it, face-on at the end of the backswing's start, when no
// hand is before it.
func TestBuckle(t *testing.T) {
	p := newPictures(0)
	im, pose, at := p.at(t, 0.45)
	r, g, b := mean(im, at(pose.Points[geometry.Buckle]), 1)
	assert.InDelta(t, r, g, 25, "metal is grey")
	assert.InDelta(t, g, b, 25, "metal is grey")
	brightest := 0.0
	for _, d := range []float64{-0.016, 0.016} {
		r, _, _ := mean(im, at(pose.Pelvis.At(d, p.m.Lengths.BeltUp, p.m.Lengths.BeltFront)), 1)
		brightest = math.Max(brightest, r)
	}
	leather, _, _ := mean(im, at(pose.Pelvis.At(0.05, p.m.Lengths.BeltUp, p.m.Lengths.BeltFront-0.012)), 1)
	assert.Less(t, leather, 75.0, "the belt beside it is dark")
	assert.Greater(t, brightest, leather+40, "the buckle's frame is not")
}

// TestTailbone looks for the tan label on the rear of the belt at the finish,
// down the line.
func TestTailbone(t *testing.T) {
	p := newPictures(1)
	im, pose, at := p.at(t, golfer.FinishTime)
	r, _, b := mean(im, at(pose.Points[geometry.Tailbone]), 1)
	assert.Greater(t, r, 1.6*b, "the label is tan")
	assert.Greater(t, r, 90.0, "and light")
	leather, _, _ := mean(im, at(pose.Pelvis.At(0.06, p.m.Lengths.BeltUp, -p.m.Lengths.BeltRear+0.012)), 1)
	assert.Less(t, leather, 75.0, "the belt beside it is dark")
}

// TestStick walks along the stick's line over its marked ends: red paint just
// inside, green mat just outside.
func TestStick(t *testing.T) {
	for view := range 2 {
		p := newPictures(view)
		im, _, at := p.at(t, golfer.TopTime)
		for i, e := range stickEnds() {
			in := r3.Scale(-0.02/r3.Norm(r3.Vec{X: e.X}), r3.Vec{X: e.X})
			r, g, _ := mean(im, at(r3.Add(e, in)), 0)
			assert.Greater(t, r, g, "view %d end %d: paint inside", view, i)
			r, g, _ = mean(im, at(r3.Sub(e, in)), 0)
			assert.Less(t, r, 0.8*g, "view %d end %d: mat outside", view, i)
		}
		r, g, b := mean(im, at(r3.Vec{X: 0.2, Z: stickEnds()[0].Z}), 0)
		assert.Greater(t, math.Min(r, math.Min(g, b)), 120.0, "view %d: the stick is white", view)
	}
}

// TestShoes checks that the shoes end at heel and toe: shoe just inside, mat
// just outside, along the foot, down the line at address.
func TestShoes(t *testing.T) {
	p := newPictures(1)
	im, pose, at := p.at(t, -0.2)
	f := pose.TrailFoot
	drop := p.m.Lengths.AnkleHeight - p.m.Lengths.SoleHeight
	green := func(front float64) bool {
		r, g, b := mean(im, at(f.At(0, -drop, front)), 0)
		return g > 1.15*r && g > 1.1*b
	}
	assert.False(t, green(p.m.Lengths.AnkleToToe-0.012), "shoe at the toe")
	assert.True(t, green(p.m.Lengths.AnkleToToe+0.012), "mat before the toe")
	assert.False(t, green(-p.m.Lengths.AnkleToHeel+0.012), "shoe at the heel")
	assert.True(t, green(-p.m.Lengths.AnkleToHeel-0.012), "mat behind the heel")
}

// TestClubIsDrawnWhereItIs compares pictures with and without the club: what
// differs at the top lies along grip to clubhead.
func TestClubIsDrawnWhereItIs(t *testing.T) {
	p := newPictures(0)
	im, pose, at := p.at(t, 0.56)
	head, grip := at(pose.Points[geometry.Clubhead]), at(pose.Points[geometry.Grip])
	// The shaft, upright against the sky and the trees, is lighter or darker
	// than both sides of it.
	hits := 0
	for _, k := range []float64{0.45, 0.55, 0.65, 0.75, 0.85} {
		c := at(pose.Club.At(0, 0, k*p.m.Params.Club.Length))
		on, _, _ := mean(im, c, 0)
		left, _, _ := mean(im, geometry.ImagePt{X: c.X - 7, Y: c.Y}, 0)
		right, _, _ := mean(im, geometry.ImagePt{X: c.X + 7, Y: c.Y}, 0)
		if math.Abs(on-left) > 12 && math.Abs(on-right) > 12 {
			hits++
		}
	}
	assert.GreaterOrEqual(t, hits, 4, "the shaft between %v and %v", grip, head)
	d, ok := p.h.renderer.Depth(float32(at(pose.Points[geometry.LeadKnee]).X), float32(at(pose.Points[geometry.LeadKnee]).Y))
	require.True(t, ok)
	assert.InDelta(t, p.f.camera.ToCamera(pose.Points[geometry.LeadKnee]).Z-0.06, float64(d), 0.03, "a knee's width before its centre, metres")
}
