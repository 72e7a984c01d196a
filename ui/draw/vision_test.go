package draw

import (
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Colours seen with a colour vision deficiency: matrices on linear RGB for
// severity 1.0 of Machado, Oliveira & Fernandes 2009, "A physiologically-based
// model for simulation of color vision deficiency", IEEE TVCG 15:1291.
var visions = map[string][3][3]float64{
	"all":          {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab returns CIE 1976 L*a*b* of a colour as seen, for the white of sRGB.
func lab(c color.NRGBA, m [3][3]float64) (out [3]float64) {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	in := [3]float64{lin(c.R), lin(c.G), lin(c.B)}
	var rgb [3]float64
	for i := range m {
		rgb[i] = min(max(m[i][0]*in[0]+m[i][1]*in[1]+m[i][2]*in[2], 0), 1)
	}
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124*rgb[0] + 0.3576*rgb[1] + 0.1805*rgb[2]) / 0.9505)
	y := f(0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2])
	z := f((0.0193*rgb[0] + 0.1192*rgb[1] + 0.9505*rgb[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func apart(a, b color.NRGBA, m [3][3]float64) float64 {
	p, q := lab(a, m), lab(b, m)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// Shapes and dashes already tell verdicts and sides apart; the colours should
// as well, to every kind of eye. A difference of 2.3 is just noticeable (Mahy,
// Van Eycken & Oosterlinck 1994); for small marks ten times that is asked.
func TestColoursAreToldApartByAllEyes(t *testing.T) {
	white, black := rgb(0xffffff), rgb(0)
	assert.InDelta(t, 100, apart(white, black, visions["all"]), 0.1, "black to white is 100")
	for name, p := range map[string]Palette{"dark": DarkPalette(), "light": LightPalette()} {
		for eye, m := range visions {
			for pair, c := range map[string][2]color.NRGBA{
				"within, outside":  {p.Within, p.Outside},
				"within, unknown":  {p.Within, p.Unknown},
				"outside, unknown": {p.Outside, p.Unknown},
				"lead, trail":      {p.Lead, p.Trail},
			} {
				assert.GreaterOrEqual(t, apart(c[0], c[1], m), 23.0, "%s palette, %s, %s", name, pair, eye)
			}
		}
	}
}
