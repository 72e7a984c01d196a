package x11

import (
	"encoding/binary"
	"testing"

	"github.com/jezek/xgb"
	"github.com/jezek/xgb/xproto"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/ui/x11/xtest"
)

func TestAWindowGetsTheIcon(t *testing.T) {
	display := xtest.Start(t, 640, 480)
	t.Setenv("DISPLAY", display)
	conn, err := xgb.NewConn()
	require.NoError(t, err)
	defer conn.Close()
	w, err := xproto.NewWindowId(conn)
	require.NoError(t, err)
	root := xproto.Setup(conn).DefaultScreen(conn).Root
	require.NoError(t, xproto.CreateWindowChecked(conn, 0, w, root, 0, 0, 9, 9, 0, xproto.WindowClassInputOutput, 0, 0, nil).Check())
	require.NoError(t, setIcon(uint32(w)))

	atom, err := xproto.InternAtom(conn, true, uint16(len(iconProperty)), iconProperty).Reply()
	require.NoError(t, err)
	got, err := xproto.GetProperty(conn, false, w, atom.Atom, xproto.AtomCardinal, 0, 1<<20).Reply()
	require.NoError(t, err)
	require.EqualValues(t, 32, got.Format)
	require.EqualValues(t, 2+128*128, got.ValueLen)
	at := func(i int) uint32 { return binary.LittleEndian.Uint32(got.Value[4*i:]) }
	pixel := func(x, y int) uint32 { return at(2 + y*128 + x) }
	assert.EqualValues(t, 128, at(0))
	assert.EqualValues(t, 128, at(1))
	assert.EqualValues(t, 0, pixel(0, 0)>>24, "the corner is clear")
	assert.EqualValues(t, 0xfff4f4f2, pixel(64, 64), "the middle of the hip line, as in the SVG")

	assert.Error(t, setIcon(1), "no such window")
}
