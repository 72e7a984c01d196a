package curves

import "image/color"

// Look is how a curve is drawn. The colours are those of Okabe and Ito (2008), made for all
// kinds of colour vision, Light darker for the light window.
type Look struct {
	Dark, Light color.NRGBA
	Dashed      bool // the trail side
}

// Looks is in the order of motion.Curves.
var Looks = [...]Look{
	{Dark: of(0x56b4e9), Light: of(0x0072b2)},
	{Dark: of(0xe69f00), Light: of(0xa86400)},
	{Dark: of(0x2fc79b), Light: of(0x007a5a)},
	{Dark: of(0xf0e442), Light: of(0x7d7400)},
	{Dark: of(0xe08cb8), Light: of(0x9c4a77)},
	{Dark: of(0xe08cb8), Light: of(0x9c4a77), Dashed: true},
	{Dark: of(0xff8a5c), Light: of(0xb84a10)},
}

func of(v uint32) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
}

// Trunk are the places in Looks of what the trunk does, which is shown unless others are
// chosen.
var Trunk = [...]int{0, 1, 2}
