package thumbnail

import (
	"bytes"
	"encoding/binary"
	"image"
	"io"
)

// mostHead is how much of a file is looked through for how the camera was held: it stands
// in the first segments of a JPEG file.
const mostHead = 256 << 10

// orientation reads how a camera was held from a JPEG file (Exif 2.3, tag 0x0112): 1 to 8,
// 1 where it is not said.
func orientation(r io.Reader) int {
	data, _ := io.ReadAll(io.LimitReader(r, mostHead))
	if len(data) < 4 || data[0] != 0xff || data[1] != 0xd8 {
		return 1
	}
	for at := 2; at+4 <= len(data) && data[at] == 0xff && data[at+1] != 0xda; {
		size := int(binary.BigEndian.Uint16(data[at+2:]))
		end := at + 2 + size
		if size < 2 || end > len(data) {
			break
		}
		if data[at+1] == 0xe1 && bytes.HasPrefix(data[at+4:end], []byte("Exif\x00\x00")) {
			return orientationIn(data[at+10 : end])
		}
		at = end
	}
	return 1
}

// orientationIn reads it from the TIFF structure that Exif is.
func orientationIn(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if tiff[0] == 'I' {
		order = binary.LittleEndian
	}
	const entrySize, tag = 12, 0x0112
	at := int(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > len(tiff) {
		return 1
	}
	for i := range int(order.Uint16(tiff[at:])) {
		e := at + 2 + i*entrySize
		if e+entrySize > len(tiff) {
			return 1
		}
		if order.Uint16(tiff[e:]) == tag {
			if v := int(order.Uint16(tiff[e+8:])); v >= 1 && v <= 8 {
				return v
			}
			return 1
		}
	}
	return 1
}

// upright turns a picture the way the camera was held.
func upright(im image.Image, orientation int) image.Image {
	if orientation <= 1 {
		return im
	}
	b := im.Bounds()
	w, h := b.Dx(), b.Dy()
	size := image.Pt(w, h)
	if orientation >= 5 {
		size = image.Pt(h, w)
	}
	out := image.NewRGBA(image.Rectangle{Max: size})
	for y := range size.Y {
		for x := range size.X {
			// Where in the stored picture the upright one's pixel lies, by what row 0 and
			// column 0 are said to be.
			from := [...]image.Point{
				2: {w - 1 - x, y}, 3: {w - 1 - x, h - 1 - y}, 4: {x, h - 1 - y},
				5: {y, x}, 6: {y, h - 1 - x}, 7: {w - 1 - y, h - 1 - x}, 8: {w - 1 - y, x},
			}[orientation]
			out.Set(x, y, im.At(b.Min.X+from.X, b.Min.Y+from.Y))
		}
	}
	return out
}
