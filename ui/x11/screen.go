package x11

import (
	"encoding/binary"
	"image"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
)

// Screen returns the room that windows have on the screen, pixels: what panels
// leave of it, where a window manager says that. It makes a few round trips to the
// X server; without one it returns no room.
//
// Source: Extended Window Manager Hints 1.5 (freedesktop.org), _NET_WORKAREA: x,
// y, width and height of each desktop in turn.
func Screen() image.Point {
	quietly()
	conn, err := xgb.NewConn()
	if err != nil {
		return image.Point{}
	}
	defer conn.Close()
	screen := xproto.Setup(conn).DefaultScreen(conn)
	size := image.Pt(int(screen.WidthInPixels), int(screen.HeightInPixels))
	atom, err := xproto.InternAtom(conn, true, uint16(len(workAreaProperty)), workAreaProperty).Reply()
	if err != nil || atom.Atom == xproto.AtomNone {
		return size
	}
	area, err := xproto.GetProperty(conn, false, screen.Root, atom.Atom, xproto.AtomCardinal, 0, 4).Reply()
	if err != nil || area.Format != 32 || len(area.Value) < 16 {
		return size
	}
	free := image.Pt(int(binary.LittleEndian.Uint32(area.Value[8:])), int(binary.LittleEndian.Uint32(area.Value[12:])))
	if free.X <= 0 || free.Y <= 0 {
		return size
	}
	return image.Pt(min(size.X, free.X), min(size.Y, free.Y-titleBar))
}

// titleBar is about how high the bar is that a window manager puts above a window,
// pixels.
const titleBar = 36

const workAreaProperty = "_NET_WORKAREA"
