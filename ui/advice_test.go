package ui

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

func TestEveryRowIsAdvisedOn(t *testing.T) {
	h := staged(t)
	d := h.a.desk
	h.until("the advice", func() bool {
		return d.Result.Gains != nil && d.Result.Revision == d.Bench.Editor().Revision()
	})
	rows := 0
	for _, g := range d.Result.Sheet.Groups {
		for _, r := range g.Rows {
			if r.Missing == "" {
				rows++
				assert.NotEmpty(t, r.Advice, r.Title())
			}
		}
	}
	require.Greater(t, rows, 10)
	require.NotEmpty(t, d.Result.Gains)
	best := 0.0
	for k, g := range d.Result.Gains {
		_, marked := d.Bench.Swing().Mark(k.Clip, k.Position, k.Point)
		assert.False(t, marked, "%v is marked already", k)
		assert.Less(t, g.HalfWidthThen, g.HalfWidthNow, "%v", k)
		if g.HalfWidthNow/g.HalfWidthThen > best {
			best = g.HalfWidthNow / g.HalfWidthThen
		}
	}
	assert.Greater(t, best, 1.05, "a view that is not marked at all has much to give")
	text := h.a.desk.Why(annotations.MarkKey{Clip: "fo", Position: geometry.Top, Point: geometry.Buckle})
	assert.Contains(t, text, "wait", "the pelvis turn is open without the buckle")
}
