package win32

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/bmp"
)

// The reader of BMP files of golang.org/x/image, which is not ours, reads the picture back.
func TestDIBIsRead(t *testing.T) {
	for width := range 9 { // every filling of rows
		m := image.NewNRGBA(image.Rect(3, 5, 3+width+1, 5+4))
		for y := 5; y < 9; y++ {
			for x := 3; x < 3+width+1; x++ {
				m.SetNRGBA(x, y, color.NRGBA{uint8(20 * x), uint8(30 * y), uint8(x * y), 255})
			}
		}
		m.SetNRGBA(3, 5, color.NRGBA{10, 20, 30, 0}) // nothing there: white
		data := dib(m)
		file := append([]byte("BM"), make([]byte, 12)...) // BITMAPFILEHEADER
		binary.LittleEndian.PutUint32(file[2:], uint32(14+len(data)))
		binary.LittleEndian.PutUint32(file[10:], 14+40)
		got, err := bmp.Decode(bytes.NewReader(append(file, data...)))
		require.NoError(t, err)
		require.Equal(t, m.Bounds().Size(), got.Bounds().Size())
		for y := range 4 {
			for x := range width + 1 {
				want := m.NRGBAAt(3+x, 5+y)
				if want.A == 0 {
					want = color.NRGBA{255, 255, 255, 255}
				}
				require.Equal(t, want, color.NRGBAModel.Convert(got.At(x, y)), "%d %d", x, y)
			}
		}
	}
}
