package ui

import (
	"image"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
)

func TestTextIsNeverLargerThanTheWindowHoldsIt(t *testing.T) {
	h := newHarness(t)
	h.a.settings.TextScale = 2
	h.size = image.Pt(1600, 1000)
	h.frame()
	assert.InDelta(t, 2, h.a.theme.TextScale, 1e-6)
	h.size = image.Pt(1100, 700)
	h.frame()
	assert.InDelta(t, 1.375, h.a.theme.TextScale, 1e-6)
	h.press("=", key.ModCtrl)
	assert.Contains(t, h.a.notices.Passing(), "at most")
	h.press("-", key.ModCtrl)
	assert.InDelta(t, 1.375/1.1, h.a.theme.TextScale, 1e-4, "smaller than what is shown")
	assert.InDelta(t, 1.375/1.1, h.a.dirs.Settings().TextScale, 1e-4)
}
