package strip

import (
	"image"

	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// Layout draws the row of key positions.
func (room *Room) Layout(gtx layout.Context) layout.Dimensions {
	room.thumbs.wanted = false
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(Height))
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, room.host.Theme().Panel)
	const n = numCards
	gap, pad := gtx.Dp(5), gtx.Dp(8)
	w := (size.X - 2*pad - (n-1)*gap) / n
	form := room.cardForm(gtx, w)
	for k, name := range geometry.KeyPositions {
		off := op.Offset(image.Pt(pad+k*(w+gap), pad)).Push(gtx.Ops)
		room.layoutCard(gtx, &form, k, name, image.Pt(w, size.Y-2*pad))
		off.Pop()
	}
	return layout.Dimensions{Size: size}
}

func (room *Room) layoutCard(gtx layout.Context, f *cardForm, k int, name geometry.PositionName, size image.Point) {
	th, b := room.host.Theme(), room.host.Session().Show()
	card := &room.cards[k]
	gtx.Constraints = layout.Exact(size)
	_, first := b.TickOf(0, name)
	_, second := b.TickOf(1, name)
	set := first || second || room.host.Session().Bench.Swing().Position(name) != nil
	current := b.Position == name
	card.Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp(bench.Title(string(name))).Add(gtx.Ops)
		semantic.SelectedOp(current).Add(gtx.Ops)
		r := image.Rectangle{Max: size}
		ground := th.Raised
		switch {
		case !set:
			ground = th.Panel
		case card.Hovered():
			ground = th.Hover
		}
		rad := gtx.Dp(draw.Radius)
		draw.RoundRect(gtx.Ops, r, rad, ground)
		edge, width := th.Line, float32(gtx.Dp(1))
		if current {
			edge, width = th.Accent, float32(gtx.Dp(2))
		}
		draw.RoundFrame(gtx.Ops, r, float32(rad), width, edge)
		pointer.CursorPointer.Add(gtx.Ops)
		room.layoutCardFace(gtx, f, k, name, size, set)
		return layout.Dimensions{Size: size}
	})
	if gtx.Focused(&card.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: size})
	}
}
