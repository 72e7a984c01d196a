package draw

import (
	"image"
	"strings"
	"testing"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"github.com/stretchr/testify/assert"

	"turngauge/ui/draw/drawtest"
)

func TestTextFollowsItsScaleAndDpDoesNot(t *testing.T) {
	var ops op.Ops
	gtx := drawtest.Context(&ops, 400, 100, 2)
	width := func(scale float32) int {
		th := NewFixedTheme(true, scale)
		sz, _ := th.TextSize(th.Context(gtx), Body, font.Normal, "Turned away from the target")
		return sz.X
	}
	assert.InDelta(t, 1.5, float64(width(1.5))/float64(width(1)), 0.02)
	th := NewFixedTheme(true, 1.5)
	g := th.Context(th.Context(gtx))
	assert.Equal(t, float32(3), g.Metric.PxPerSp, "applying it twice changes nothing")
	assert.Equal(t, 24, g.Dp(12))
	assert.Equal(t, float32(2), NewFixedTheme(true, 9).TextScale)
	assert.Equal(t, float32(0.8), NewFixedTheme(true, 0).TextScale)
}

func TestLabelEndsInAnEllipsis(t *testing.T) {
	var ops op.Ops
	th := NewFixedTheme(true, 1)
	gtx := th.Context(drawtest.Context(&ops, 400, 100, 1))
	const s = "Stance width over shoulder breadth"
	full, _ := th.TextSize(gtx, Body, font.Normal, s)
	for w := 0; w <= full.X+20; w += 7 {
		gtx.Constraints = layout.Constraints{Max: image.Pt(w, 50)}
		d := th.Label(gtx, Body, font.Normal, th.Text, s)
		assert.LessOrEqual(t, d.Size.X, w)
		if w >= full.X {
			assert.Equal(t, full, d.Size)
		} else if w > 40 {
			assert.Greater(t, d.Size.X, w-24, "uses the room there is")
		}
		assert.LessOrEqual(t, d.Size.Y, 50)
	}
	gtx.Constraints = layout.Constraints{Min: image.Pt(300, 40), Max: image.Pt(400, 50)}
	assert.Equal(t, image.Pt(300, 40), th.Label(gtx, Body, font.Normal, th.Text, "x").Size)
}

func TestAParagraphShowsWholeLines(t *testing.T) {
	var ops op.Ops
	gtx := drawtest.Context(&ops, 200, 1000, 1)
	th := NewFixedTheme(true, 1)
	high := func(room int) int {
		g := th.Context(gtx)
		g.Constraints = layout.Constraints{Max: image.Pt(200, room)}
		return th.Paragraph(g, Body, font.Normal, th.Text, strings.Repeat("hips before hands ", 30)).Size.Y
	}
	whole, two := high(1000), high(40)
	assert.Greater(t, whole, 5*two/2)
	assert.LessOrEqual(t, two, 41)
	assert.Equal(t, two, high(50), "not half a line more")
}

func TestDecimalPointsLineUp(t *testing.T) {
	var ops op.Ops
	th := NewFixedTheme(true, 1)
	gtx := th.Context(drawtest.Context(&ops, 400, 100, 1))
	zero, _ := th.TextSize(gtx, Body, font.Normal, "0000000000")
	for d := '1'; d <= '9'; d++ {
		sz, _ := th.TextSize(gtx, Body, font.Normal, strings.Repeat(string(d), 10))
		assert.Equal(t, zero.X, sz.X, "the digits are equally wide")
	}
	assert.InDelta(t, float64(2*zero.X)/10, th.WholeWidth(gtx, Body, font.Normal, "38.2°"), 1)
	for s, want := range map[string]int{
		"38.2°": 2, "−4.75": len("−4"), "112°": 3, "± 5.7": len("± 5"), "+0.9 cm": 2, "—": len("—"), "": 0, "1 of 2": 1,
	} {
		assert.Equal(t, want, wholeLen(s), s)
	}
}

func TestTheLineCacheIsBounded(t *testing.T) {
	var c lineCache
	for i := range 10 * maxLines {
		c.put(lineKey{px: i}, new(line))
		assert.LessOrEqual(t, len(c.young)+len(c.old), 2*maxLines)
	}
	last := lineKey{px: 10*maxLines - 1}
	kept := c.get(last)
	assert.NotNil(t, kept)
	for i := range maxLines + 10 { // what is asked for stays
		c.put(lineKey{px: -i - 1}, new(line))
		assert.Same(t, kept, c.get(last))
	}
}
