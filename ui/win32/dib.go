package win32

import (
	"encoding/binary"
	"image"
	"image/color"
)

// dib is a picture as programs without PNG take it from the clipboard (CF_DIB): a
// BITMAPINFOHEADER of 40 bytes and rows of blue, green and red from the bottom up, each filled
// to a multiple of 4 bytes. What can be seen through is laid on white.
//
// Source: Microsoft, "Bitmap Storage" and BITMAPINFOHEADER (wingdi.h).
func dib(m image.Image) []byte {
	const header = 40
	b := m.Bounds()
	stride := (3*b.Dx() + 3) &^ 3
	data := make([]byte, header+stride*b.Dy())
	put := binary.LittleEndian
	put.PutUint32(data[0:], header)
	put.PutUint32(data[4:], uint32(b.Dx()))
	put.PutUint32(data[8:], uint32(b.Dy())) // positive: from the bottom up
	put.PutUint16(data[12:], 1)             // plane
	put.PutUint16(data[14:], 24)            // bits of a pixel
	put.PutUint32(data[20:], uint32(stride*b.Dy()))
	for y := range b.Dy() {
		row := data[header+stride*(b.Dy()-1-y):]
		for x := range b.Dx() {
			c := color.NRGBAModel.Convert(m.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA)
			row[3*x], row[3*x+1], row[3*x+2] = onWhite(c.B, c.A), onWhite(c.G, c.A), onWhite(c.R, c.A)
		}
	}
	return data
}

func onWhite(v, alpha uint8) uint8 {
	return uint8((int(v)*int(alpha) + 255*(255-int(alpha)) + 127) / 255)
}
