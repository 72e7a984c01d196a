// Package icon holds the program's own icon and gives it to an X11 window.
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
	"encoding/binary"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"log"
	"sync"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
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

// quietly keeps the protocol library from writing on standard error.
var quietly = sync.OnceFunc(func() { xgb.Logger = log.New(io.Discard, "", 0) })

// Set gives the icon to a window of the X server that the environment names.
//
// Source: Extended Window Manager Hints 1.5 (freedesktop.org), _NET_WM_ICON:
// width, height, then the pixels as ARGB, all of 32 bits.
func Set(window uint32) error {
	quietly()
	img, err := Image()
	if err != nil {
		return err
	}
	conn, err := xgb.NewConn()
	if err != nil {
		return fmt.Errorf("icon: no X server: %w", err)
	}
	defer conn.Close()
	atom, err := xproto.InternAtom(conn, false, uint16(len(property)), property).Reply()
	if err != nil {
		return fmt.Errorf("icon: %w", err)
	}
	data := cardinals(img)
	err = xproto.ChangePropertyChecked(conn, xproto.PropModeReplace, xproto.Window(window), atom.Atom,
		xproto.AtomCardinal, 32, uint32(len(data)/4), data).Check()
	if err != nil {
		return fmt.Errorf("icon: %w", err)
	}
	return nil
}

const property = "_NET_WM_ICON"

func cardinals(img *image.NRGBA) []byte {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	data := make([]byte, 0, 4*(2+w*h))
	data = binary.LittleEndian.AppendUint32(data, uint32(w))
	data = binary.LittleEndian.AppendUint32(data, uint32(h))
	for i := 0; i < len(img.Pix); i += 4 {
		r, g, b, a := uint32(img.Pix[i]), uint32(img.Pix[i+1]), uint32(img.Pix[i+2]), uint32(img.Pix[i+3])
		data = binary.LittleEndian.AppendUint32(data, a<<24|r<<16|g<<8|b)
	}
	return data
}
