package background

import (
	"image"
	"math"
)

// Told is what two stands tell of the camera.
type Told uint8

// The zero value is that nothing can be told.
const (
	Unknown Told = iota
	Stood        // the camera stands where it stood
	Moved        // it has moved
)

const (
	// movedBy is by how many levels a pixel changes from one picture to another in which
	// something moves.
	movedBy = 3 * noise
	// side is that of the squares that are looked for, pixels, and rim what is left out at
	// the edges of the picture, so that a square has room to move.
	side, rim = 16, 3
	// leastTexture is the smaller eigenvalue of a square's mean gradient matrix (levels
	// squared) below which it is too plain, or a mere edge, to be found
	// again (Shi and Tomasi 1994, "Good features to track", CVPR).
	leastTexture = 4
	// least is in how many squares two stands must be told, and agreePart which part of
	// them says that the camera stood.
	least, agreePart = 5, 0.6
	// stillPx is how far a square may seem to have moved though the camera stood, pixels
	// of these small pictures; with alike, the least correlation of what is found again.
	// In a picture 192 wide 0.4 pixels are a turn of 0.15 degrees of a phone's camera.
	stillPx, alike = 0.4, 0.8
)

// Standing returns what a camera saw where nothing moved in small pictures of one size:
// the median of each pixel, levels of gray, and 0 where something moved. It is nil for
// fewer than three pictures.
func Standing(pictures []*image.Gray) *image.Gray {
	if len(pictures) < 3 {
		return nil
	}
	size := pictures[0].Rect.Size()
	out := image.NewGray(image.Rectangle{Max: size})
	values := make([]byte, len(pictures))
	for y := range size.Y {
		for x := range size.X {
			for i, p := range pictures {
				values[i] = p.Pix[y*p.Stride+x]
			}
			insertionSort(values)
			// All but one in six agree: a club that goes by is not the background's.
			spare := len(values) / 6
			if int(values[len(values)-1-spare])-int(values[spare]) <= movedBy {
				out.Pix[y*out.Stride+x] = max(values[len(values)/2], 1)
			}
		}
	}
	return out
}

// Compare tells from what a camera saw at two times, as Standing returns it, whether it
// stood there all along, by squares of the picture in which nothing moved: each is looked for near its place in the other picture, its
// brightness and contrast let free, by least squares (Lucas and Kanade 1981, "An iterative
// image registration technique", IJCAI). Light that changes is no move; a picture that
// shifted by half a per cent of its width is one.
func Compare(a, b *image.Gray) Told {
	if a == nil || b == nil || a.Rect.Size() != b.Rect.Size() {
		return Unknown
	}
	told, agree := 0, 0
	size := a.Rect.Size()
	for y := rim; y+side+rim <= size.Y; y += side / 2 {
		for x := rim; x+side+rim <= size.X; x += side / 2 {
			switch square(a, b, x, y) {
			case Stood:
				agree++
				told++
			case Moved:
				told++
			}
		}
	}
	switch {
	case told < least:
		return Unknown
	case float64(agree) >= agreePart*float64(told):
		return Stood
	}
	return Moved
}

// square tells of one square with its corner at x, y.
func square(a, b *image.Gray, x0, y0 int) Told {
	var xx, xy, yy float64
	const n = side * side
	for y := y0 - 1; y <= y0+side; y++ {
		for x := x0 - 1; x <= x0+side; x++ {
			i := y*a.Stride + x
			if a.Pix[i] == 0 || b.Pix[y*b.Stride+x] == 0 {
				return Unknown
			}
			gx, gy := gradient(a, i)
			xx, xy, yy = xx+gx*gx/n, xy+gx*gy/n, yy+gy*gy/n
		}
	}
	if (xx+yy)/2-math.Hypot((xx-yy)/2, xy) < leastTexture {
		return Unknown
	}
	dx, dy, r := find(a, b, x0, y0)
	if math.Hypot(dx, dy) <= stillPx && r >= alike {
		return Stood
	}
	return Moved
}

// gradient is the central difference at a pixel.
func gradient(a *image.Gray, i int) (x, y float64) {
	return (float64(a.Pix[i+1]) - float64(a.Pix[i-1])) / 2, (float64(a.Pix[i+a.Stride]) - float64(a.Pix[i-a.Stride])) / 2
}

// find returns by how much the square of a at x0, y0 lies elsewhere in b, within rim, and
// the correlation of the two there.
//
// Each step solves for the shift d and for gain g and offset o in b(x + d) = g a(x) + o: with
// both pictures brought to mean 0 and variance 1 that is least squares in d alone.
func find(a, b *image.Gray, x0, y0 int) (dx, dy, correlation float64) {
	const steps, enough = 8, 0.01
	var from, to [side * side]float64
	for y := range side {
		for x := range side {
			from[y*side+x] = float64(a.Pix[(y0+y)*a.Stride+x0+x])
		}
	}
	normal(&from)
	for range steps {
		var gx, gy [side * side]float64
		for y := range side {
			for x := range side {
				at := y*side + x
				px, py := float64(x0+x)+dx, float64(y0+y)+dy
				to[at] = between(b, px, py)
				gx[at] = (between(b, px+1, py) - between(b, px-1, py)) / 2
				gy[at] = (between(b, px, py+1) - between(b, px, py-1)) / 2
			}
		}
		scale := normal(&to)
		if scale == 0 {
			return 0, 0, 0
		}
		var xx, xy, yy, ex, ey float64
		correlation = 0
		for i := range from {
			u, v, e := gx[i]/scale, gy[i]/scale, from[i]-to[i]
			xx, xy, yy, ex, ey = xx+u*u, xy+u*v, yy+v*v, ex+u*e, ey+v*e
			correlation += from[i] * to[i] / (side * side)
		}
		det := xx*yy - xy*xy
		if det <= 0 {
			return rim, rim, correlation
		}
		sx, sy := (yy*ex-xy*ey)/det, (xx*ey-xy*ex)/det
		dx, dy = dx+sx, dy+sy
		if !(math.Abs(dx) < rim-1 && math.Abs(dy) < rim-1) {
			return rim, rim, correlation // farther away than is looked for
		}
		if math.Hypot(sx, sy) < enough {
			break
		}
	}
	return dx, dy, correlation
}

// normal brings values to mean 0 and variance 1, and returns their standard deviation.
func normal(v *[side * side]float64) float64 {
	var sum, squares float64
	for _, x := range v {
		sum += x
	}
	sum /= side * side
	for i := range v {
		v[i] -= sum
		squares += v[i] * v[i]
	}
	sd := math.Sqrt(squares / (side * side))
	if sd > 0 {
		for i := range v {
			v[i] /= sd
		}
	}
	return sd
}

// between is a picture's level between its pixels, linearly.
func between(b *image.Gray, x, y float64) float64 {
	ix, iy := int(x), int(y)
	fx, fy := x-float64(ix), y-float64(iy)
	i := iy*b.Stride + ix
	p := b.Pix
	return (1-fy)*((1-fx)*float64(p[i])+fx*float64(p[i+1])) + fy*((1-fx)*float64(p[i+b.Stride])+fx*float64(p[i+b.Stride+1]))
}
