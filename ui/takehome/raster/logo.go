package raster

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	_ "image/png" // the kind that logos come in

	xdraw "golang.org/x/image/draw"
)

// mostLogo is the most pixels on a side that a logo is read with, and logoPixels those
// that it is kept in.
const mostLogo, logoPixels = 8000, 640

// Logo reads a logo, a PNG or a JPEG, and returns it on white, as a JPEG of a size in
// pixels.
func Logo(data []byte) (out []byte, size image.Point, err error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, size, err
	}
	if c.Width < 1 || c.Height < 1 || c.Width > mostLogo || c.Height > mostLogo {
		return nil, size, fmt.Errorf("it has %d × %d pixels", c.Width, c.Height)
	}
	im, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, size, err
	}
	k := min(1, logoPixels/float64(max(c.Width, c.Height)))
	on := image.NewRGBA(image.Rect(0, 0, max(int(float64(c.Width)*k), 1), max(int(float64(c.Height)*k), 1)))
	draw.Draw(on, on.Rect, image.White, image.Point{}, draw.Src)
	xdraw.CatmullRom.Scale(on, on.Rect, im, im.Bounds(), draw.Over, nil)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, on, &jpeg.Options{Quality: 92}); err != nil {
		return nil, size, err
	}
	return b.Bytes(), on.Rect.Size(), nil
}
