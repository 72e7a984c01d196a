package patch

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cloth is a texture that is known everywhere: waves of many directions.
type cloth struct{ a, kx, ky, phase [24]float64 }

func newCloth(seed uint64) *cloth {
	r := rand.New(rand.NewPCG(seed, 7))
	c := &cloth{}
	for i := range c.a {
		k, th := 0.25+0.75*r.Float64(), 2*math.Pi*r.Float64()
		c.a[i], c.kx[i], c.ky[i], c.phase[i] = 6*r.NormFloat64(), k*math.Cos(th), k*math.Sin(th), 2*math.Pi*r.Float64()
	}
	return c
}

func (c *cloth) at(x, y float64) float64 {
	v := 120.0
	for i := range c.a {
		v += c.a[i] * math.Sin(c.kx[i]*x+c.ky[i]*y+c.phase[i])
	}
	return v
}

// draw draws what is seen at each pixel's centre with noise of so many grey levels.
func draw(w, h int, noise float64, r *rand.Rand, at func(x, y float64) float64) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Pix[y*m.Stride+x] = uint8(math.Min(math.Max(at(float64(x)+0.5, float64(y)+0.5)+noise*r.NormFloat64()+0.5, 0), 255))
		}
	}
	return m
}

// TestAlignKnownWarps finds patches that were moved by amounts known beforehand under
// turned, sheared and foreshortened warps, the model putting them pixels away, with
// shading that stands still and another gain; the errors are as the stated information
// has them.
func TestAlignKnownWarps(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	var square, chi float64
	n := 0
	for k := range uint64(30) {
		c := newCloth(k)
		first := draw(60, 60, 1.5, r, func(x, y float64) float64 { return c.at(x-30.5, y-30.5) })
		tpl, ok := New(first, 30.7, 30.2, Size)
		require.True(t, ok)
		assert.Equal(t, 30.5, tpl.X, "the centre of the pixel")
		th, fore := 0.3*r.NormFloat64(), 0.7+0.4*r.Float64()
		w := Warp{XX: fore * math.Cos(th), XY: -math.Sin(th), YX: fore * math.Sin(th), YY: math.Cos(th)}
		det := w.XX*w.YY - w.XY*w.YX
		x, y := 40+r.Float64(), 38+r.Float64()
		ramp, gain := 0.8*r.NormFloat64(), 0.8+0.4*r.Float64()
		second := draw(80, 80, 1.5, r, func(px, py float64) float64 {
			u, v := px-x, py-y
			return 20 + ramp*(px-40) + gain*c.at((w.YY*u-w.XY*v)/det, (-w.YX*u+w.XX*v)/det)
		})
		offX, offY := 0.9*r.NormFloat64(), 0.9*r.NormFloat64()
		w.X, w.Y = x-offX, y-offY
		m, ok := tpl.Align(second, w)
		if !ok {
			continue
		}
		ex, ey := m.DX-offX, m.DY-offY
		if math.Hypot(ex, ey) > 1 { // another wave of the cloth
			assert.Less(t, m.Correlation, 0.85)
			continue
		}
		n++
		assert.Greater(t, m.Correlation, 0.9)
		square += (ex*ex + ey*ey) / 2
		chi += (m.XX*ex*ex + 2*m.XY*ex*ey + m.YY*ey*ey) / 2
	}
	require.Greater(t, n, 26)
	t.Logf("%d of 30 aligned, %.3f px root mean square, %.2f of the stated variance", n, math.Sqrt(square/float64(n)), chi/float64(n))
	assert.Less(t, math.Sqrt(square/float64(n)), 0.12)
	assert.Less(t, chi/float64(n), 1.3, "no surer than it is")
	assert.Greater(t, chi/float64(n), 0.1, "white noise alone; what a compressed picture has is not white")
}

// TestShadingDoesNotPull: a bright side that stands still in the picture while the cloth
// moves under it leaves where the cloth is found alone; without taking the ramp off it
// pulled the place by tenths of a pixel.
func TestShadingDoesNotPull(t *testing.T) {
	t.Parallel()
	c := newCloth(5)
	shaded := func(dx float64) *image.Gray {
		return draw(60, 60, 0, rand.New(rand.NewPCG(1, 1)), func(x, y float64) float64 { return 4*(x-30) + 0.5*c.at(x-dx, y) })
	}
	tpl, ok := New(shaded(0), 30, 30, Size)
	require.True(t, ok)
	for _, dx := range []float64{0.25, 1, 1.7} {
		m, ok := tpl.Align(shaded(dx), Warp{X: tpl.X, Y: tpl.Y, XX: 1, YY: 1})
		require.True(t, ok)
		assert.InDelta(t, dx, m.DX, 0.05)
		assert.InDelta(t, 0, m.DY, 0.05)
	}
}

// TestAnEdgeAloneIsNothingToAlign: of a belt's edge without texture along it there is no
// template; with some there is, and the information across is the greater.
func TestAnEdgeAloneIsNothingToAlign(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(9, 9))
	c := newCloth(1)
	edge := func(texture, dx, dy float64) *image.Gray {
		return draw(60, 60, 1, r, func(x, y float64) float64 { return 120 + 60*math.Tanh(y-dy-30) + texture*(c.at(x-dx, y-dy)-120) })
	}
	_, ok := New(edge(0.05, 0, 0), 30, 30, Size)
	assert.False(t, ok, "an edge")
	tpl, ok := New(edge(0.5, 0, 0), 30, 30, Size)
	require.True(t, ok)
	m, ok := tpl.Align(edge(0.5, 0, 0.6), Warp{X: tpl.X, Y: tpl.Y, XX: 1, YY: 1})
	require.True(t, ok)
	assert.InDelta(t, 0.6, m.DY, 0.05)
	assert.Greater(t, m.YY, 2*m.XX)
	_, ok = New(draw(60, 60, 0, r, func(x, y float64) float64 { return 3*x + y }), 30, 30, Size)
	assert.False(t, ok, "a plain shirt in slanting light is nothing to align")
}

// TestAlignFails where the patch leaves the picture, is turned away, or inverted.
func TestAlignFails(t *testing.T) {
	t.Parallel()
	c := newCloth(2)
	m := draw(40, 40, 0, rand.New(rand.NewPCG(1, 1)), c.at)
	tpl, ok := New(m, 20, 20, Size)
	require.True(t, ok)
	for name, w := range map[string]Warp{
		"outside": {X: 3, Y: 20, XX: 1, YY: 1}, "edge on": {X: 20, Y: 20, XX: 0.1, YY: 1}, "mirrored": {X: 20, Y: 20, XX: -1, YY: 1}, "nowhere": {X: math.NaN(), Y: 20, XX: 1, YY: 1},
	} {
		_, ok := tpl.Align(m, w)
		assert.False(t, ok, name)
	}
	negative := draw(40, 40, 0, rand.New(rand.NewPCG(1, 1)), func(x, y float64) float64 { return 250 - c.at(x, y) })
	_, ok = tpl.Align(negative, Warp{X: tpl.X, Y: tpl.Y, XX: 1, YY: 1})
	assert.False(t, ok, "a negative")
	_, ok = New(m, 3, 20, Size)
	assert.False(t, ok, "a template over the edge")
}

// counted is a clip of pictures that are one grey each.
type counted struct{ drawn int }

func (c *counted) Frames() int       { return 9 }
func (c *counted) Size() image.Point { return image.Pt(20, 10) }
func (c *counted) Gray(_ context.Context, n int, dst *image.Gray) error {
	c.drawn++
	for i := range dst.Pix {
		dst.Pix[i] = uint8(n*20 + i%20)
	}
	return nil
}

// TestKeep: parts of frames come out as they were drawn, up to the memory there is,
// and nothing is drawn for them.
func TestKeep(t *testing.T) {
	t.Parallel()
	c := &counted{}
	k := NewKeep(c, 2*12+3, func(n int) image.Rectangle { return image.Rect(n, 2, n+4, 5) })
	dst := image.NewGray(image.Rect(0, 0, 20, 10))
	for _, n := range []int{3, 4, 3, 18, 5} {
		require.NoError(t, k.Gray(t.Context(), n, dst))
	}
	assert.Equal(t, 5, c.drawn)
	assert.Nil(t, k.Part(5), "no memory left")
	p := k.Part(4)
	require.NotNil(t, p)
	assert.Equal(t, image.Rect(4, 2, 8, 5), p.Rect)
	assert.Equal(t, uint8(80+6), p.GrayAt(6, 3).Y)
}

func BenchmarkAlign(b *testing.B) {
	c := newCloth(2)
	r := rand.New(rand.NewPCG(1, 1))
	first := draw(60, 60, 1, r, c.at)
	second := draw(60, 60, 1, r, func(x, y float64) float64 { return c.at(x-1.3, y+0.6) })
	tpl, ok := New(first, 30, 30, Size)
	require.True(b, ok)
	for b.Loop() {
		if _, ok := tpl.Align(second, Warp{X: tpl.X, Y: tpl.Y, XX: 1, XY: 0.02, YX: -0.02, YY: 0.97}); !ok {
			b.Fatal("not found")
		}
	}
}
