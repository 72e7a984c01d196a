package draw

import (
	"gioui.org/font"
	"gioui.org/font/gofont"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/text"
	"gioui.org/unit"
)

// Face is the name of the bundled typeface.
const Face font.Typeface = "Go"

// Text sizes. They follow the text scale.
const (
	Small  unit.Sp = 12
	Body   unit.Sp = 14
	Title  unit.Sp = 17
	Large  unit.Sp = 22
	Banner unit.Sp = 28
)

// Metrics of the layout grid. Gap and its multiples separate things; Radius
// rounds controls and cards; Control is the height of a control at text scale
// 1 (see [Theme.Context]).
const (
	Gap     unit.Dp = 4
	Pad     unit.Dp = 12
	Radius  unit.Dp = 6
	Control unit.Sp = 30
	Compact unit.Sp = 24
)

// Theme is how the window looks: its colours, its text and its scale. Change
// the exported fields between frames at will.
type Theme struct {
	Palette
	Shaper *text.Shaper
	// TextScale multiplies every size given in sp; 0.8 to 2.
	TextScale float32
	// Still turns animation off.
	Still bool

	dark   bool
	lines  lineCache
	shapes map[shapeKey]clip.PathSpec
}

// NewTheme returns a dark or light theme with the bundled fonts; names in
// other scripts fall back to the fonts of the system. A scale outside
// 0.8 to 2 is brought to the nearer end.
func NewTheme(dark bool, scale float32) *Theme {
	return newTheme(dark, scale, text.NewShaper(text.WithCollection(gofont.Collection())))
}

// NewFixedTheme is NewTheme without the fonts of the system: the same text
// comes out the same on every machine. It is meant for tests and for pictures
// that are kept.
func NewFixedTheme(dark bool, scale float32) *Theme {
	return newTheme(dark, scale, text.NewShaper(text.NoSystemFonts(), text.WithCollection(gofont.Collection())))
}

func newTheme(dark bool, scale float32, s *text.Shaper) *Theme {
	th := &Theme{Shaper: s, shapes: make(map[shapeKey]clip.PathSpec)}
	th.SetDark(dark)
	th.SetTextScale(scale)
	return th
}

// Dark reports whether the dark palette is in use.
func (th *Theme) Dark() bool { return th.dark }

// SetDark chooses the dark or the light palette.
func (th *Theme) SetDark(dark bool) {
	th.dark = dark
	if dark {
		th.Palette = DarkPalette()
	} else {
		th.Palette = LightPalette()
	}
}

// SetTextScale sets TextScale, limited to 0.8 to 2.
func (th *Theme) SetTextScale(s float32) {
	th.TextScale = min(max(s, 0.8), 2)
}

// Context returns gtx with its metric changed so that one sp is TextScale dp.
func (th *Theme) Context(gtx layout.Context) layout.Context {
	dp := gtx.Metric.PxPerDp
	if dp == 0 {
		dp = 1
	}
	gtx.Metric.PxPerSp = dp * th.TextScale
	return gtx
}
