package draw

import (
	"image/color"
	"math"
)

// Palette holds every colour of the window. Text, Dim, Accent, Within,
// Outside, Unknown and Danger can be read (4.5:1 or better) on Surround,
// Panel, Raised and Well alike.
type Palette struct {
	Surround color.NRGBA // behind the pictures
	Panel    color.NRGBA // sheet, plan view, strips
	Raised   color.NRGBA // cards, buttons and tooltips above a panel
	Hover    color.NRGBA // a control under the pointer
	Pressed  color.NRGBA // a control held down
	Well     color.NRGBA // inside of a text field
	Line     color.NRGBA // hairlines between parts
	Edge     color.NRGBA // outline of a control or of an empty place
	Track    color.NRGBA // the scale under a dot-and-interval

	Text     color.NRGBA
	Dim      color.NRGBA // secondary text
	Disabled color.NRGBA // text of a control that can't be used

	Accent    color.NRGBA // the one accent
	OnAccent  color.NRGBA // text on Accent
	AccentLow color.NRGBA // a selected row or segment

	Within  color.NRGBA // verdict: inside the target range
	Outside color.NRGBA // verdict: below or above it
	Unknown color.NRGBA // verdict: can't tell
	Band    color.NRGBA // the target range itself
	Ghost   color.NRGBA // the previous lesson
	Danger  color.NRGBA // something went wrong, or can't be undone

	Lead    color.NRGBA // marks and lines of the lead side
	Trail   color.NRGBA // marks and lines of the trail side
	Middle  color.NRGBA // marks of neither side: head, belt, club, ball
	Suspect color.NRGBA // ring around a mark that disagrees with the others
	Outline color.NRGBA // dark rim that keeps a mark visible on any picture
	Plate   color.NRGBA // behind text on a picture; PlateText is read on it
	// PlateText is text on Plate, in the dark and the light palette alike.
	PlateText color.NRGBA
	Shadow    color.NRGBA // under a tooltip or a card
	Scrim     color.NRGBA // over what can't be used now
}

func rgb(v uint32) color.NRGBA {
	return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
}

func rgba(v uint32, a uint8) color.NRGBA {
	c := rgb(v)
	c.A = a
	return c
}

// DarkPalette is the default: a neutral dark surround, so that the picture
// leads.
func DarkPalette() Palette {
	return Palette{
		Surround: rgb(0x141517), Panel: rgb(0x1c1e21), Raised: rgb(0x282b2f),
		Hover: rgb(0x32363b), Pressed: rgb(0x3d4248), Well: rgb(0x121315),
		Line: rgb(0x303338), Edge: rgb(0x474c53), Track: rgb(0x3a3e44),
		Text: rgb(0xe9eaec), Dim: rgb(0xa4a9b1), Disabled: rgb(0x686e76),
		Accent: rgb(0x4cc9b4), OnAccent: rgb(0x05201b), AccentLow: rgb(0x1d3a36),
		Within: rgb(0x68b1ff), Outside: rgb(0xf2b04a), Unknown: rgb(0xa0a6ae),
		Band: rgba(0x68b1ff, 0x40), Ghost: rgb(0x8b919a), Danger: rgb(0xff8a78),
		Lead: rgb(0x5fe3cb), Trail: rgb(0xc8a8ff), Middle: rgb(0xf4f4f2),
		Suspect: rgb(0xff7a5c), Outline: rgba(0x000000, 0xb4),
		Plate: rgba(0x101113, 0xd8), PlateText: rgb(0xf2f3f4),
		Shadow: rgba(0x000000, 0x66), Scrim: rgba(0x0c0d0e, 0xb0),
	}
}

// LightPalette is for bright places. The surround of the pictures stays a
// middle grey, so that a picture is judged the same in both.
func LightPalette() Palette {
	return Palette{
		Surround: rgb(0xdcdee1), Panel: rgb(0xf6f7f8), Raised: rgb(0xffffff),
		Hover: rgb(0xeceef0), Pressed: rgb(0xdfe2e5), Well: rgb(0xffffff),
		Line: rgb(0xdadde0), Edge: rgb(0xb3b8be), Track: rgb(0xcfd3d7),
		Text: rgb(0x1b1d20), Dim: rgb(0x535960), Disabled: rgb(0x8d939a),
		Accent: rgb(0x00655a), OnAccent: rgb(0xffffff), AccentLow: rgb(0xd3ebe6),
		Within: rgb(0x0055c2), Outside: rgb(0x844b00), Unknown: rgb(0x565c63),
		Band: rgba(0x2f86e0, 0x3c), Ghost: rgb(0x7c838b), Danger: rgb(0xad2216),
		Lead: rgb(0x007f70), Trail: rgb(0x7a45c8), Middle: rgb(0x33373c),
		Suspect: rgb(0xd0431f), Outline: rgba(0x000000, 0xb4),
		Plate: rgba(0x101113, 0xd8), PlateText: rgb(0xf2f3f4),
		Shadow: rgba(0x000000, 0x2e), Scrim: rgba(0xe4e6e8, 0xb8),
	}
}

// PictureColours returns the mark colours (lead, trail, middle) for use on top
// of a picture: the bright ones in either palette, since Outline keeps them
// apart from what is behind.
func PictureColours() (lead, trail, middle color.NRGBA) {
	d := DarkPalette()
	return d.Lead, d.Trail, d.Middle
}

// Luminance returns the relative luminance of an opaque colour, 0 to 1.
//
// Source: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance".
func Luminance(c color.NRGBA) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

// Contrast returns the contrast ratio of two opaque colours, 1 to 21.
//
// Source: W3C, Web Content Accessibility Guidelines 2.2, "contrast ratio".
func Contrast(a, b color.NRGBA) float64 {
	la, lb := Luminance(a), Luminance(b)
	if la < lb {
		la, lb = lb, la
	}
	return (la + 0.05) / (lb + 0.05)
}

// Over returns what an opaque background looks like under a translucent
// colour.
func Over(bg, c color.NRGBA) color.NRGBA {
	a := uint32(c.A)
	mix := func(b, f uint8) uint8 { return uint8((uint32(b)*(255-a) + uint32(f)*a + 127) / 255) }
	return color.NRGBA{R: mix(bg.R, c.R), G: mix(bg.G, c.G), B: mix(bg.B, c.B), A: 255}
}

// Alpha returns c with its opacity multiplied by a, 0 to 1.
func Alpha(c color.NRGBA, a float32) color.NRGBA {
	c.A = uint8(float32(c.A)*a + 0.5)
	return c
}
