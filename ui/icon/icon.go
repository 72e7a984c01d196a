// Package icon holds the program's own icon.
//
// The picture is a golfer from above: the hip line, turned, with its interval as
// a wedge, over the target line. turngauge.svg is the source; the PNG is made
// from it by
//
//	rsvg-convert -w 128 turngauge.svg -o turngauge-128.png
package icon

import (
	"bytes"
	_ "embed"
	"fmt"
	"image"
	"image/draw"
	"image/png"
)

//go:embed turngauge-128.png
var encoded []byte

// Image returns the icon, 128 by 128 pixels.
func Image() (*image.NRGBA, error) {
	img, err := png.Decode(bytes.NewReader(encoded))
	if err != nil {
		return nil, fmt.Errorf("icon: %w", err)
	}
	out := image.NewNRGBA(img.Bounds())
	draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Src)
	return out, nil
}
