package pose

import (
	"image"
	"math"
)

// sample draws a region of a picture into n × n pixels of red, green and blue,
// between low and high. Pixels smaller than those drawn are averaged. Beyond the
// picture's edge the edge goes on, or there is nothing, black.
func sample(dst []float32, n int, im *image.RGBA, r Region, low, high float32, goesOn bool) {
	step := r.Side / float64(n)
	// As many samples a pixel each way as it is wide in the picture.
	times := min(max(int(math.Round(step)), 1), mostSamples)
	sin, cos := math.Sincos(r.Angle)
	right, bottom := float64(im.Rect.Dx()-1), float64(im.Rect.Dy()-1)
	scale := (high - low) / 255 / float32(times*times)
	for y := range n {
		for x := range n {
			var sum [3]float32
			for j := range times {
				v := (float64(y)+(float64(j)+0.5)/float64(times))*step - r.Side/2
				for i := range times {
					u := (float64(x)+(float64(i)+0.5)/float64(times))*step - r.Side/2
					at := [2]float64{r.X + u*cos - v*sin - 0.5, r.Y + u*sin + v*cos - 0.5}
					if goesOn {
						at[0] = min(max(at[0], 0), right)
						at[1] = min(max(at[1], 0), bottom)
					}
					blend(&sum, im, at[0], at[1])
				}
			}
			for k, s := range sum {
				dst[k] = low + s*scale
			}
			dst = dst[3:]
		}
	}
}

// mostSamples is how many samples each way are taken for one pixel at most.
const mostSamples = 4

// blend adds what lies at (x, y), whose whole numbers are the centres of
// pixels, between its four neighbours.
func blend(sum *[3]float32, im *image.RGBA, x, y float64) {
	fx, fy := math.Floor(x), math.Floor(y)
	x0, y0 := int(fx)+im.Rect.Min.X, int(fy)+im.Rect.Min.Y
	ax, ay := float32(x-fx), float32(y-fy)
	if x0 >= im.Rect.Min.X && y0 >= im.Rect.Min.Y && x0+1 < im.Rect.Max.X && y0+1 < im.Rect.Max.Y {
		// Nearly all pixels: the same sums in the same order, without asking for each.
		i := im.PixOffset(x0, y0)
		p, q := im.Pix[i:][:7], im.Pix[i+im.Stride:][:7]
		a, b, c, d := (1-ax)*(1-ay), ax*(1-ay), (1-ax)*ay, ax*ay
		for k := range sum {
			s := sum[k] + a*float32(p[k])
			s += b * float32(p[k+4])
			s += c * float32(q[k])
			sum[k] = s + d*float32(q[k+4])
		}
		return
	}
	add := func(x, y int, w float32) {
		if x < im.Rect.Min.X || y < im.Rect.Min.Y || x >= im.Rect.Max.X || y >= im.Rect.Max.Y {
			return
		}
		p := im.Pix[im.PixOffset(x, y):][:3]
		sum[0] += w * float32(p[0])
		sum[1] += w * float32(p[1])
		sum[2] += w * float32(p[2])
	}
	add(x0, y0, (1-ax)*(1-ay))
	add(x0+1, y0, ax*(1-ay))
	add(x0, y0+1, (1-ax)*ay)
	add(x0+1, y0+1, ax*ay)
}
