// Package over lays one swing's clip over another's in the annotated clip.
package over

import (
	"context"
	"image"
	"math"

	"turngauge/geometry"
	"turngauge/ui/compare/laid"
	"turngauge/video"
)

// share is how strongly the swing that lies over the other is seen.
const share = 0.5

// Layer draws the pictures of one swing over those of another. One goroutine.
type Layer struct {
	reader *video.Reader
	onto   geometry.Similarity
	part   image.Rectangle
	from   image.Rectangle // what of the clip comes to lie in part
	room   *image.RGBA
}

// New returns the layer of the other swing, that reader reads, over a part of this one's
// upright pictures. why says in a sentence what is wanting where they can't be aligned.
func New(this, other *laid.Side, reader *video.Reader, part image.Rectangle) (l *Layer, why string) {
	a, why := laid.Align(this, other)
	if why != "" {
		return nil, why
	}
	info := reader.Source().Info()
	return &Layer{reader: reader, onto: a.Similarity, part: part, from: seen(a.Similarity, part, image.Pt(info.Width, info.Height))}, ""
}

// seen is the part of a picture of a size that onto carries to part, whole pixels.
func seen(onto geometry.Similarity, part image.Rectangle, size image.Point) image.Rectangle {
	back := onto.Inverse()
	lo, hi := geometry.ImagePt{X: math.Inf(1), Y: math.Inf(1)}, geometry.ImagePt{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, x := range []int{part.Min.X, part.Max.X} {
		for _, y := range []int{part.Min.Y, part.Max.Y} {
			p := back.Carry(geometry.ImagePt{X: float64(x), Y: float64(y)})
			lo = geometry.ImagePt{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
			hi = geometry.ImagePt{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
		}
	}
	out := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X)), int(math.Ceil(hi.Y)))
	return out.Intersect(image.Rectangle{Max: size})
}

// Draw draws a frame of the other swing on dst, which shows the part and is clear.
func (l *Layer) Draw(ctx context.Context, dst *image.RGBA, frame int) error {
	if l.from.Empty() {
		return nil
	}
	f, err := l.reader.Read(ctx, frame)
	if err != nil {
		return err
	}
	defer f.Release()
	if l.room == nil { // as fine as it is seen
		k := l.onto.Scale() * float64(dst.Rect.Dx()) / float64(l.part.Dx())
		l.room = image.NewRGBA(image.Rect(0, 0, max(int(k*float64(l.from.Dx())), 1), max(int(k*float64(l.from.Dy())), 1)))
	}
	if err := f.Render(l.room, l.from); err != nil {
		return err
	}
	laid.Blend(dst, l.part, l.room, l.from, l.onto, share)
	return nil
}
