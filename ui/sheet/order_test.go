package sheet

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

func names(s *Sheet, group string) (out []string) {
	on := false
	for _, it := range s.items {
		if it.row == nil {
			on = it.group.Title+" "+it.group.At == group
		} else if on {
			out = append(out, it.row.measure())
		}
	}
	return out
}

// The rows of every key position stand in the order that the coach gives their measures,
// by key or button, and in the usual one again.
func TestRowsStandWhereTheCoachPutsThem(t *testing.T) {
	r := newRig(t, 360, 1100)
	r.sheet.At = geometry.Top // whose rows come into view
	r.Frame()
	r.Frame()
	usual := names(&r.sheet, "Backswing top")
	require.Equal(t, []string{"pelvis turn", "torso turn"}, usual[:2])
	r.Click("Torso turn, top")
	r.Key(key.NameUpArrow, key.ModAlt)
	e := r.last(t)
	require.Equal(t, Ordered, e.Kind)
	r.sheet.Order = e.Order
	r.Frame()
	assert.Equal(t, []string{"torso turn", "pelvis turn"}, names(&r.sheet, "Backswing top")[:2])
	assert.ElementsMatch(t, usual, names(&r.sheet, "Backswing top"), "none is lost")
	assert.Equal(t, Key("torso turn", geometry.Top), r.sheet.Selected())
	for _, d := range geometry.Definitions() {
		assert.Contains(t, e.Order, d.Name)
	}
	n := len(r.events)
	r.Key(key.NameUpArrow, key.ModAlt)
	assert.Len(t, r.events, n, "it is the first of its group")
	r.Click("Torso turn, top")
	r.Click("Move the row down")
	r.sheet.Order = r.last(t).Order
	r.Frame()
	assert.Equal(t, usual, names(&r.sheet, "Backswing top"))
	r.Key(key.NameHome, key.ModAlt)
	assert.Equal(t, Event{Kind: Ordered}, r.last(t))
}

func TestRowsWithATarget(t *testing.T) {
	r := newRig(t, 360, 1100)
	r.sheet.At = geometry.Top
	r.Frame()
	r.Frame()
	r.Click("With a target")
	r.Frame()
	count := 0
	for _, it := range r.sheet.items {
		if it.row != nil {
			assert.True(t, it.row.HasTarget, it.row.Key)
			count++
		}
	}
	want := 0
	for _, g := range r.model.Groups {
		for i := range g.Rows {
			if g.Rows[i].HasTarget {
				want++
			}
		}
	}
	assert.Equal(t, want, count)
}
