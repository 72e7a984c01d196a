package strip

import (
	"image"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// The lengths and directions that can be given to a ground stick with one
// click. The usual alignment stick is 48 inches long; mats are often 1.5 m
// square (common practice, no source). 0 is a length that is not known.
var (
	stickLengths = []float64{1.22, 1, 1.5, 0}
	stickNames   = []string{"1.22 m", "1 m", "1.5 m", "unknown"}
	stickWays    = []geometry.Direction{geometry.AlongTargetLine, geometry.AcrossTargetLine, geometry.DirectionUnset}
	stickWayText = []string{"along the target line", "across", "unknown"}
)

// stickChoice is the choice of length and direction of the stick in hand.
type stickChoice struct {
	length, way draw.Segmented
}

func (room *Room) updateStick(gtx layout.Context) {
	b := room.host.Session().Bench
	e, ok := b.HeldStick()
	if !ok {
		return
	}
	l := b.Sticks(e.Stage)[e.Line]
	if i, ok := room.stick.length.Update(gtx); ok {
		room.host.Tell(b.SetStick(stickLengths[i], l.Along))
	}
	if i, ok := room.stick.way.Update(gtx); ok {
		room.host.Tell(b.SetStick(l.LengthM, stickWays[i]))
	}
}

// layoutStickGuide takes the guide's place while a stick is in hand, and
// reports whether it did.
func (room *Room) layoutStickGuide(gtx layout.Context, size image.Point) bool {
	th, b := room.host.Theme(), room.host.Session().Bench
	e, ok := b.HeldStick()
	if !ok || e.Line >= len(b.Sticks(e.Stage)) {
		return false
	}
	l := b.Sticks(e.Stage)[e.Line]
	pad := gtx.Dp(10)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-2*pad, size.Y)}
	defer op.Offset(image.Pt(pad, gtx.Dp(8))).Push(gtx.Ops).Pop()
	col := kit.Column{Gtx: g, Gap: gtx.Dp(6)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Label(gtx, draw.Body, font.SemiBold, th.Text, "Ground stick: how long, and which way?")
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &room.stick.length, "Length", slices.Index(stickLengths, l.LengthM), stickNames...)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &room.stick.way, "Direction", slices.Index(stickWays, l.Along), stickWayText...)
	})
	return true
}
