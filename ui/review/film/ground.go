package film

import (
	"image"
	"image/color"
	"image/draw"

	"turngauge/video"
)

// ground is what a film is drawn on: the encoder's samples, or an image for a window.
// Places are even numbers.
type ground interface {
	Fill(r image.Rectangle, c color.Color)
	// Put draws a part of a frame, scaled to a place.
	Put(f *video.Frame, part, place image.Rectangle) error
	// Over lays a picture over it, its corner at a place.
	Over(img *image.RGBA, at image.Point)
}

type onSurface struct{ *video.Surface }

// onImage draws on an image whose corner is at (0, 0).
type onImage struct{ *image.RGBA }

func (g onImage) Fill(r image.Rectangle, c color.Color) {
	draw.Draw(g.RGBA, r, image.NewUniform(c), image.Point{}, draw.Src)
}

func (g onImage) Put(f *video.Frame, part, place image.Rectangle) error {
	return f.Render(g.SubImage(place).(*image.RGBA), part)
}

func (g onImage) Over(img *image.RGBA, at image.Point) {
	draw.Draw(g.RGBA, image.Rectangle{Min: at, Max: at.Add(img.Rect.Size())}, img, img.Rect.Min, draw.Over)
}
