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
						at[0] = math.Min(math.Max(at[0], 0), float64(im.Rect.Dx()-1))
						at[1] = math.Min(math.Max(at[1], 0), float64(im.Rect.Dy()-1))
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
