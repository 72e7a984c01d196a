package render

import "math"

// Vec is a place or direction in the world, metres.
type Vec struct{ X, Y, Z float32 }

// Add returns a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }

// Sub returns a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }

// Mul returns a scaled by s.
func (a Vec) Mul(s float32) Vec { return Vec{a.X * s, a.Y * s, a.Z * s} }

// Dot returns the inner product.
func (a Vec) Dot(b Vec) float32 { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }

// Cross returns the outer product.
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Len returns the length.
func (a Vec) Len() float32 { return float32(math.Sqrt(float64(a.Dot(a)))) }

// Unit returns a with length 1, or the zero vector for the zero vector.
func (a Vec) Unit() Vec {
	l := a.Len()
	if l == 0 {
		return a
	}
	return a.Mul(1 / l)
}

// Lerp returns the place a part t of the way from a to b.
func (a Vec) Lerp(b Vec, t float32) Vec { return a.Add(b.Sub(a).Mul(t)) }

// Colour is linear light: red, green, blue, 1 is white in the sun.
type Colour struct{ R, G, B float32 }

// Mul returns c scaled by s.
func (c Colour) Mul(s float32) Colour { return Colour{c.R * s, c.G * s, c.B * s} }

// Add returns c + d.
func (c Colour) Add(d Colour) Colour { return Colour{c.R + d.R, c.G + d.G, c.B + d.B} }

// Times returns the product channel by channel.
func (c Colour) Times(d Colour) Colour { return Colour{c.R * d.R, c.G * d.G, c.B * d.B} }

// Lerp returns the colour a part t of the way from c to d.
func (c Colour) Lerp(d Colour, t float32) Colour {
	return Colour{c.R + (d.R-c.R)*t, c.G + (d.G-c.G)*t, c.B + (d.B-c.B)*t}
}

// Hex returns the linear colour of an sRGB value 0xRRGGBB.
func Hex(rgb uint32) Colour {
	return Colour{toLinear[rgb>>16&255], toLinear[rgb>>8&255], toLinear[rgb&255]}
}

// encodeSteps is the resolution of the table from linear light to sRGB: fine
// enough that its darkest step is below one level.
const encodeSteps = 1 << 13

// toLinear and toSRGB are the transfer function of sRGB (IEC 61966-2-1) and
// its inverse.
var toLinear, toSRGB = transferTables()

func transferTables() (linear [256]float32, srgb [encodeSteps + 1]uint8) {
	for i := range linear {
		v := float64(i) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		linear[i] = float32(v)
	}
	for i := range srgb {
		v := float64(i) / encodeSteps
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		srgb[i] = uint8(v*255 + 0.5)
	}
	return linear, srgb
}

// encode returns the sRGB level of linear light, clipped.
func encode(v float32) int {
	i := int(v*encodeSteps + 0.5)
	if i <= 0 {
		return 0
	}
	if i >= encodeSteps {
		return 255
	}
	return int(toSRGB[i])
}
