package render

import (
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
)

// Stage is a camera on its stand: all that stays the same while it films. It
// is immutable and may be shared by renderers.
type Stage struct {
	Camera Camera
	Light  Light

	// scene is the background in linear light with vignetting.
	scene []Colour
	// sunlit is the part of the scene's light that the sun gives, for pixels
	// that show the ground near the figure, and groundAt their place (x, z);
	// sunlit is 0 elsewhere.
	sunlit   []float32
	groundAt [][2]float32
	noisy    []*image.RGBA
	noise    []int8
}

// Sight is what a background shows at one place.
type Sight struct {
	Colour Colour
	// Sun is the part of Colour that is due to direct sun, 0 to 1, for
	// surfaces on the ground that can receive the figure's shadow.
	Sun float32
}

const (
	// noiseTile is the side of the square of sensor noise, a power of two.
	noiseTile = 512
	// noisyCopies is how many copies of the background with different noise
	// follow each other.
	noisyCopies = 6
	// noiseSigma is the standard deviation of sensor noise in levels of 255.
	noiseSigma = 2.1
	// shadowReach is how far from the origin shadows fall, metres.
	shadowReach = 3.2
	// vignette is how much light is lost in the corners.
	vignette = 0.16
)

// NewStage paints the background by calling paint with the ray through each
// of several places of every pixel and prepares noise from seed. paint must be
// safe for concurrent use.
func NewStage(c Camera, l Light, seed uint64, paint func(from, dir Vec) Sight) *Stage {
	n := c.Width * c.Height
	s := &Stage{
		Camera: c, Light: l,
		scene: make([]Colour, n), sunlit: make([]float32, n), groundAt: make([][2]float32, n),
		noise: make([]int8, noiseTile*noiseTile),
	}
	rnd := rand.New(rand.NewPCG(seed, 0x6e6f6973))
	for i := range s.noise {
		s.noise[i] = int8(math.Round(max(-9, min(9, rnd.NormFloat64()*noiseSigma))))
	}
	s.rows(func(y int) { s.paintRow(y, paint) })
	s.noisy = make([]*image.RGBA, noisyCopies)
	for k := range s.noisy {
		s.noisy[k] = image.NewRGBA(image.Rect(0, 0, c.Width, c.Height))
	}
	s.rows(func(y int) {
		for k, im := range s.noisy {
			for x := range c.Width {
				s.put(im, x, y, k, s.scene[y*c.Width+x])
			}
		}
	})
	return s
}

// rows calls f for every row of the picture, on all processors.
func (s *Stage) rows(f func(y int)) {
	var wg sync.WaitGroup
	n := runtime.GOMAXPROCS(0)
	for k := range n {
		wg.Go(func() {
			for y := k; y < s.Camera.Height; y += n {
				f(y)
			}
		})
	}
	wg.Wait()
}

func (s *Stage) paintRow(y int, paint func(from, dir Vec) Sight) {
	c := &s.Camera
	const across = 2
	for x := range c.Width {
		var sum Colour
		sun := float32(0)
		for j := range across {
			for i := range across {
				px := float32(x) + (float32(i)+0.5)/across
				py := float32(y) + (float32(j)+0.5)/across
				g := paint(c.Position, c.Ray(px, py))
				sum = sum.Add(g.Colour)
				sun += g.Sun
			}
		}
		at := y*c.Width + x
		s.scene[at] = sum.Mul(s.falloff(x, y) / (across * across))
		d := c.Ray(float32(x)+0.5, float32(y)+0.5)
		if d.Y >= 0 || sun == 0 {
			continue
		}
		p := c.Position.Add(d.Mul(-c.Position.Y / d.Y))
		if p.X*p.X+p.Z*p.Z < shadowReach*shadowReach {
			s.groundAt[at] = [2]float32{p.X, p.Z}
			s.sunlit[at] = sun / (across * across)
		}
	}
}

// falloff returns the vignetting at a pixel.
func (s *Stage) falloff(x, y int) float32 {
	w, h := float32(s.Camera.Width), float32(s.Camera.Height)
	u, v := float32(x)-w/2, float32(y)-h/2
	return 1 - vignette*(u*u+v*v)/((w*w+h*h)/4)
}

// put writes linear light with the sensor noise of a frame.
func (s *Stage) put(dst *image.RGBA, x, y, frame int, c Colour) {
	// Each frame takes its noise from another place of the tile, each channel
	// from yet another.
	ox, oy := frame*197+x, frame*389+y
	row := (oy & (noiseTile - 1)) * noiseTile
	at := dst.PixOffset(x, y)
	p := dst.Pix[at : at+4 : at+4]
	p[0] = level(encode(c.R) + int(s.noise[row+(ox&(noiseTile-1))]))
	p[1] = level(encode(c.G) + int(s.noise[row+((ox+171)&(noiseTile-1))]))
	p[2] = level(encode(c.B) + int(s.noise[row+((ox+341)&(noiseTile-1))]))
	p[3] = 255
}

func level(v int) uint8 {
	if uint(v) > 255 {
		if v < 0 {
			return 0
		}
		return 255
	}
	return uint8(v)
}
