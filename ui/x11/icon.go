package x11

import (
	"encoding/binary"
	"fmt"
	"image"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"

	"turngauge/ui/icon"
)

// setIcon gives the icon to a window of the X server that the environment names.
//
// Source: Extended Window Manager Hints 1.5 (freedesktop.org), _NET_WM_ICON:
// width, height, then the pixels as ARGB, all of 32 bits.
func setIcon(window uint32) error {
	img, err := icon.Image()
	if err != nil {
		return err
	}
	conn, err := xgb.NewConn()
	if err != nil {
		return fmt.Errorf("icon: no X server: %w", err)
	}
	defer conn.Close()
	atom, err := xproto.InternAtom(conn, false, uint16(len(iconProperty)), iconProperty).Reply()
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

const iconProperty = "_NET_WM_ICON"

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
