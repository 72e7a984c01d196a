package thumbnail

import (
	"image"
	"path/filepath"
	"strings"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/ui/draw"
)

// Layout draws the picture of a file, whole and in the middle of a size. What can't be
// shown has a sign in its place, and what is still read a plain ground. version tells
// apart what the file held at different times.
func (p *Pictures) Layout(gtx layout.Context, th *draw.Theme, path, version string, size image.Point) layout.Dimensions {
	if path == "" {
		th.NoPicture(gtx, size, draw.IconStudent)
		return layout.Dimensions{Size: size}
	}
	switch t := p.of(path, version); {
	case t == nil || !t.ready:
		th.NoPicture(gtx, size, draw.NoIcon)
	case t.broken && strings.EqualFold(filepath.Ext(path), ".json"):
		th.NoPicture(gtx, size, draw.IconStudent) // its clips may lie elsewhere
	case t.broken:
		th.NoPicture(gtx, size, draw.IconWarning)
	default:
		at := fitted(t.size, size)
		defer op.Offset(at.Min).Push(gtx.Ops).Pop()
		defer clip.UniformRRect(image.Rectangle{Max: at.Size()}, gtx.Dp(3)).Push(gtx.Ops).Pop()
		draw.Image(gtx.Ops, t.op, at.Size())
	}
	return layout.Dimensions{Size: size}
}

// fitted is where a picture lies whole in the middle of a room.
func fitted(own, room image.Point) image.Rectangle {
	size := room
	if own.X*room.Y > own.Y*room.X {
		size.Y = max(own.Y*room.X/own.X, 1)
	} else {
		size.X = max(own.X*room.Y/own.Y, 1)
	}
	at := room.Sub(size).Div(2)
	return image.Rectangle{Min: at, Max: at.Add(size)}
}
