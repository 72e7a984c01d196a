package laid

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"turngauge/geometry"
)

// Blend draws another swing's upright picture over a part of this one's that dst
// shows, as strongly as share says, from 0 to 1. part is in this picture's pixels, and
// from is what other shows, in the other picture's.
func Blend(dst *image.RGBA, part image.Rectangle, other image.Image, from image.Rectangle, over geometry.Similarity, share float64) {
	k := float64(dst.Rect.Dx()) / float64(part.Dx())
	size := other.Bounds().Size()
	fx, fy := float64(from.Dx())/float64(size.X), float64(from.Dy())/float64(size.Y)
	at := func(x, y float64) geometry.ImagePt {
		p := over.Carry(geometry.ImagePt{X: float64(from.Min.X) + x*fx, Y: float64(from.Min.Y) + y*fy})
		return geometry.ImagePt{X: (p.X - float64(part.Min.X)) * k, Y: (p.Y - float64(part.Min.Y)) * k}
	}
	o, x, y := at(0, 0), at(1, 0), at(0, 1)
	to := f64.Aff3{x.X - o.X, y.X - o.X, o.X, x.Y - o.Y, y.Y - o.Y, o.Y}
	mask := image.NewUniform(color.Alpha{A: uint8(255*share + 0.5)})
	draw.ApproxBiLinear.Transform(dst, to, other, other.Bounds(), draw.Over, &draw.Options{SrcMask: mask})
}
