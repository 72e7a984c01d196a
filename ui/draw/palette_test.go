package draw

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The reference ratios are worked with the formula of WCAG 2.2; 21:1 for black
// on white is stated there, and #767676 on white is the grey its Understanding
// document for criterion 1.4.3 uses as the edge of 4.5:1 (from memory).
func TestContrastFormula(t *testing.T) {
	black, white := rgb(0), rgb(0xffffff)
	assert.InDelta(t, 21, Contrast(black, white), 1e-9)
	assert.InDelta(t, 1, Contrast(white, white), 1e-9)
	assert.GreaterOrEqual(t, Contrast(rgb(0x767676), white), 4.5)
	assert.Less(t, Contrast(rgb(0x777777), white), 4.5)
}

func TestTextCanBeRead(t *testing.T) {
	for name, p := range map[string]Palette{"dark": DarkPalette(), "light": LightPalette()} {
		grounds := map[string]color.NRGBA{
			"surround": p.Surround, "panel": p.Panel, "raised": p.Raised, "well": p.Well,
			"selected": p.AccentLow, "hover": p.Hover,
		}
		inks := map[string]color.NRGBA{
			"text": p.Text, "dim": p.Dim, "accent": p.Accent, "within": p.Within,
			"outside": p.Outside, "unknown": p.Unknown, "danger": p.Danger,
		}
		for g, bg := range grounds {
			for i, ink := range inks {
				assert.GreaterOrEqual(t, Contrast(ink, bg), 4.5, "%s: %s on %s", name, i, g)
			}
		}
		assert.GreaterOrEqual(t, Contrast(p.OnAccent, p.Accent), 4.5, "%s: on accent", name)
		assert.GreaterOrEqual(t, Contrast(p.Text, p.Pressed), 4.5, "%s: text on pressed", name)
		// The plate lies on a picture of unknown brightness.
		for _, behind := range []color.NRGBA{rgb(0), rgb(0xffffff), rgb(0x6b8f4e)} {
			assert.GreaterOrEqual(t, Contrast(p.PlateText, Over(behind, p.Plate)), 4.5, "%s: on plate", name)
		}
		// Lines and marks need 3:1 (WCAG 2.2, 1.4.11 non-text contrast).
		for i, ink := range map[string]color.NRGBA{"lead": p.Lead, "trail": p.Trail, "middle": p.Middle, "suspect": p.Suspect, "ghost": p.Ghost} {
			assert.GreaterOrEqual(t, Contrast(ink, p.Panel), 3.0, "%s: %s on panel", name, i)
		}
	}
}
