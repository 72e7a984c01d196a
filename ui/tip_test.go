package ui

import (
	"image"
	"testing"
	"time"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"github.com/stretchr/testify/assert"
)

// What a control does is said beside it, and near an edge of the window not past it.
func TestTipsLieInTheWindow(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.size = smallWindow
	h.frame()
	h.frame()
	type text struct {
		label string
		at    image.Rectangle
	}
	texts := func() map[text]bool {
		all := make(map[text]bool)
		for _, n := range h.nodes() {
			if n.Desc.Class == semantic.Unknown && n.Desc.Label != "" {
				all[text{n.Desc.Label, n.Desc.Bounds}] = true
			}
		}
		return all
	}
	seen := make(map[string]bool)
	for _, c := range h.nodes() {
		at := c.Desc.Bounds
		if c.Desc.Class != semantic.Button && c.Desc.Class != semantic.Switch {
			continue
		}
		h.point(pointer.Move, f32.Pt(float32(at.Min.X+at.Max.X)/2, float32(at.Min.Y+at.Max.Y)/2), 0)
		before := texts()
		h.now = h.now.Add(time.Second)
		h.frame()
		for now := range texts() {
			if !before[now] {
				seen[c.Desc.Label] = true
				assert.True(t, now.at.In(image.Rectangle{Max: h.size}), "%q beside %q is at %v", now.label, c.Desc.Label, now.at)
			}
		}
	}
	assert.Greater(t, len(seen), 15)
}
