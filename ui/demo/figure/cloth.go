package figure

import (
	"math"

	"turngauge/ui/demo/render"
)

// Textures are painted over u (0 rear, 0.25 trail side, 0.5 front, 0.75 lead
// side) and v (0 at the bottom or far end, 1 at the top or root).

var (
	shirtColour   = render.Hex(0xb23a4e)
	shirtTrim     = render.Hex(0xf1ece2)
	trouserColour = render.Hex(0xb9ad95)
	leather       = render.Hex(0x3a2418)
	skinColour    = render.Hex(0xd9a887)
	hairColour    = render.Hex(0x6b4526)
)

// weave returns a small mottling of cloth about 1.
func weave(u, v, fine float64, seed uint32) float32 {
	s, c := math.Sincos(2 * math.Pi * u)
	n := render.Fractal(fine*s+100, fine*c+fine*v*3, 3, seed)
	return float32(1 + 0.10*n)
}

// line is 1 on a line of half width w at x = at, 0 away from it.
func line(x, at, w float64) float32 {
	d := math.Abs(x-at) / w
	return float32(1 - smooth(0.7, 1.3, d))
}

// turn is the distance between two places around, at most half.
func turn(a, b float64) float64 {
	d := math.Abs(a - b)
	return math.Min(d, 1-d)
}

func shirtTexture() *render.Texture {
	return render.NewTexture(512, 512, func(u, v float64) render.Colour {
		c := shirtColour
		// Fine pale hoops.
		h := math.Mod(v*13, 1)
		if v > 0.1 && v < 0.83 {
			c = c.Lerp(shirtTrim, 0.85*line(h, 0.5, 0.075))
		}
		// Side seams, shoulder yoke, back yoke.
		seam := line(turn(u, 0.25), 0, 0.0035) + line(turn(u, 0.75), 0, 0.0035)
		if turn(u, 0) < 0.24 {
			seam += line(v, 0.79, 0.004)
			// A loop below the collar, in the middle of the back.
			if turn(u, 0) < 0.012 && v > 0.79 && v < 0.82 {
				c = shirtTrim
			}
		}
		if turn(u, 0.5) < 0.24 {
			seam += line(v, 0.85, 0.004)
		}
		c = c.Lerp(render.Hex(0x5f1526), min(seam, 1)*0.8)
		// The placket with three buttons.
		if d := turn(u, 0.5); d < 0.020 && v > 0.60 {
			c = render.Hex(0xc24a5d)
			c = c.Lerp(render.Hex(0x5f1526), line(d, 0.0185, 0.0018)*0.8)
			if v < 0.605 {
				c = render.Hex(0x7a1e30)
			}
			for _, at := range [...]float64{0.65, 0.73, 0.81} {
				if q := math.Hypot((u-0.5)*0.9, (v-at)*0.5); q < 0.0045 {
					c = shirtTrim
				}
			}
		}
		return c.Mul(weave(u, v, 22, 3) * float32(1-0.10*(1-smooth(0, 0.08, v))))
	})
}

func sleeveTexture() *render.Texture {
	return render.NewTexture(256, 128, func(u, v float64) render.Colour {
		c := shirtColour
		switch {
		case v < 0.10:
			c = shirtTrim
		case v < 0.13:
			c = render.Hex(0x5f1526)
		case v > 0.16 && v < 0.56:
			c = c.Lerp(shirtTrim, 0.85*line(math.Mod((v-0.16)*5.2, 1), 0.5, 0.075))
		}
		c = c.Lerp(render.Hex(0x5f1526), line(v, 0.72, 0.012)*0.7)
		return c.Mul(weave(u, v, 12, 5))
	})
}

func collarTexture() *render.Texture {
	return render.NewTexture(256, 32, func(u, v float64) render.Colour {
		c := shirtTrim
		if turn(u, 0.5) < 0.035*v+0.004 {
			c = skinColour.Mul(0.75) // open at the throat
		}
		return c.Mul(weave(u, v, 16, 7))
	})
}

// trouserTexture paints a leg, bare below the knee or in cloth to the shoe, or the seat.
func trouserTexture(leg, bare bool) *render.Texture {
	const bareTo = 0.58 // of a leg, a little over the knee
	return render.NewTexture(256, 384, func(u, v float64) render.Colour {
		if leg && bare && v < bareTo {
			return skinColour.Mul(weave(u, v, 6, 37))
		}
		c := trouserColour
		dark := float32(0)
		if leg {
			dark += line(turn(u, 0.25), 0, 0.006) + line(turn(u, 0.75), 0, 0.006)
			dark += 0.35 * line(turn(u, 0.5), 0, 0.005) // crease
			if v < 0.035 {
				dark += 0.25 + line(v, 0.033, 0.003)
			}
		} else {
			dark += line(turn(u, 0.5), 0, 0.004)
			dark += line(turn(u, 0), 0, 0.004)
			// Front pockets slant, back pockets are slits.
			for _, side := range [...]float64{-1, 1} {
				x := (u - 0.5) * side
				if v > 0.5 && v < 0.93 {
					dark += line(x, 0.10+0.10*(0.93-v), 0.006)
				}
				y := turn(u, 0)
				if y > 0.055 && y < 0.15 {
					dark += 0.5 * line(v, 0.64, 0.016)
				}
			}
		}
		c = c.Lerp(render.Hex(0x5c5344), min(dark, 1)*0.75)
		return c.Mul(weave(u, v, 26, 13))
	})
}

func beltTexture() *render.Texture {
	return render.NewTexture(256, 16, func(u, v float64) render.Colour {
		c := leather
		if e := math.Abs(v - 0.5); e > 0.36 && e < 0.42 && math.Mod(u*90, 1) < 0.6 {
			c = render.Hex(0x8a6a4c) // stitching
		}
		return c.Mul(weave(u, v, 20, 17))
	})
}

func buckleTexture() *render.Texture {
	return render.NewTexture(64, 64, func(u, v float64) render.Colour {
		if turn(u, 0.5) < 0.12 && math.Abs(v-0.5) < 0.13 {
			return render.Hex(0x888c92)
		}
		return render.Hex(0xf6f8fa)
	})
}

func labelTexture() *render.Texture {
	return render.NewTexture(64, 64, func(u, v float64) render.Colour {
		c := render.Hex(0xe0b060)
		if math.Abs(v-0.5) < 0.05 && turn(u, 0.5) < 0.16 {
			c = render.Hex(0x7a5520)
		}
		return c
	})
}

func skinTexture() *render.Texture {
	return render.NewTexture(64, 128, func(u, v float64) render.Colour {
		n := float32(render.Fractal(6*math.Sin(2*math.Pi*u)+20, 9*v, 3, 19))
		return skinColour.Lerp(render.Hex(0xc98a6a), 0.25+0.25*n)
	})
}

func skinHandTexture() *render.Texture {
	return render.NewTexture(64, 64, func(u, v float64) render.Colour {
		c := skinColour.Lerp(render.Hex(0xc98a6a), 0.35)
		return c.Mul(1 - 0.35*float32(fingerGroove(v*2-1)))
	})
}

func gloveTexture() *render.Texture {
	return render.NewTexture(64, 64, func(u, v float64) render.Colour {
		c := render.Hex(0xf2f2ee)
		return c.Mul(1 - 0.35*float32(fingerGroove(v*2-1)))
	})
}

func hairTexture() *render.Texture {
	return render.NewTexture(256, 64, func(u, v float64) render.Colour {
		n := render.Fractal(60*u, 3*v, 3, 23)
		if u > 0.99 {
			n = render.Fractal(0, 3*v, 3, 23)
		}
		return hairColour.Mul(float32(1 + 0.35*n))
	})
}

func capTexture() *render.Texture {
	return render.NewTexture(256, 64, func(u, v float64) render.Colour {
		c := render.Hex(0xf3f3ef)
		// Six panels, a band, a round badge in front.
		d := math.Mod(u*6+0.5, 1)
		c = c.Mul(1 - 0.16*line(d, 0.5, 0.03))
		if v < 0.10 {
			c = render.Hex(0x2a3f5f)
		}
		if math.Hypot((u-0.5)*3.2, v-0.36) < 0.16 {
			c = render.Hex(0x2a3f5f)
		}
		return c.Mul(weave(u, v, 14, 29))
	})
}

func peakTexture() *render.Texture {
	return render.NewTexture(64, 32, func(u, v float64) render.Colour {
		c := render.Hex(0x2a3f5f)
		return c.Mul(1 - 0.25*line(math.Mod(v*4, 1), 0.5, 0.08))
	})
}

// faceTexture paints skin, eyes, brows, mouth and cheeks.
func faceTexture() *render.Texture {
	return render.NewTexture(256, 192, func(u, v float64) render.Colour {
		c := skinColour
		x := (u - 0.5) * 0.46 // metres across, about
		y := (v - 0.5) * 0.30
		ax := math.Abs(x)
		c = c.Lerp(render.Hex(0xd08468), float32(0.4*math.Exp(-(math.Pow((ax-0.038)/0.018, 2)+math.Pow((y+0.022)/0.016, 2)))))
		// Sockets, then whites, iris, brows.
		c = c.Lerp(render.Hex(0x9c6a52), float32(0.5*math.Exp(-(math.Pow((ax-0.031)/0.017, 2)+math.Pow((y-0.010)/0.010, 2)))))
		if q := math.Pow((ax-0.031)/0.013, 2) + math.Pow((y-0.008)/0.0055, 2); q < 1 {
			c = render.Hex(0xe9e3dc)
			if math.Hypot(ax-0.031, y-0.008) < 0.0055 {
				c = render.Hex(0x2c3a44)
			}
		}
		if math.Abs(y-0.024-0.05*(0.03-math.Abs(ax-0.032))) < 0.003 && ax > 0.016 && ax < 0.048 {
			c = render.Hex(0x5a3a22)
		}
		if q := math.Pow(x/0.024, 2) + math.Pow((y+0.052)/0.0065, 2); q < 1 {
			c = render.Hex(0xb2544e)
		}
		c = c.Lerp(render.Hex(0x8a5040), 0.5*line(y, -0.052, 0.0014)*float32(1-smooth(0.018, 0.024, ax)))
		if ax > 0.006 && ax < 0.013 && math.Abs(y+0.027) < 0.003 {
			c = c.Mul(0.6)
		}
		// The parting and the hair line behind the temples.
		if turn(u, 0) < 0.17 && v > 0.28 {
			c = hairColour
		}
		return c
	})
}

func shoeTexture() *render.Texture {
	return render.NewTexture(128, 256, func(u, v float64) render.Colour {
		// Here u = 0.5 is the top, 0 the sole, v runs from heel to toe.
		c := render.Hex(0xf0f0ee)
		d := turn(u, 0)
		switch {
		case d < 0.13:
			c = render.Hex(0x8b3a48) // sole
		case d < 0.205:
			c = render.Hex(0xfafafa)
		case d < 0.215:
			c = render.Hex(0x5a5f66)
		}
		if turn(u, 0.5) < 0.10 && v > 0.38 && v < 0.72 {
			c = render.Hex(0xd9d9d6)
			if math.Mod(v*22, 1) < 0.4 {
				c = render.Hex(0x2a3f5f) // laces
			}
		}
		if s := turn(u, 0.5); s > 0.16 && s < 0.27 && math.Abs(v-0.5-1.2*(s-0.2)) < 0.05 {
			c = render.Hex(0x2a3f5f)
		}
		return c
	})
}

func gripTexture() *render.Texture {
	return render.NewTexture(16, 128, func(u, v float64) render.Colour {
		c := render.Hex(0x1c1d1f)
		if v < 0.03 {
			c = render.Hex(0xd8d8d8)
		}
		if math.Mod(v*24, 1) < 0.3 {
			c = render.Hex(0x303236)
		}
		return c
	})
}

func shaftTexture() *render.Texture {
	return render.NewTexture(4, 64, func(u, v float64) render.Colour {
		c := render.Hex(0xb9bec4)
		if math.Mod(v*14, 1) < 0.06 {
			c = render.Hex(0x8d9298)
		}
		return c
	})
}

func ironTexture() *render.Texture {
	return render.NewTexture(64, 64, func(u, v float64) render.Colour {
		c := render.Hex(0xaab0b6)
		if u < 0.45 && u > 0.05 && v > 0.3 && v < 0.85 && math.Mod(u*28, 1) < 0.3 {
			c = render.Hex(0x7d838a) // grooves
		}
		return c
	})
}
