package draw

import (
	"image"

	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"
)

func offset(ops *op.Ops, x, y int) op.TransformStack {
	return op.Offset(image.Pt(x, y)).Push(ops)
}

// Row lays out up to 16 parts from left to right, gap apart and centred on
// each other's middle, and returns the size of the whole. Parts that are nil
// are left out.
func Row(gtx layout.Context, gap unit.Dp, parts ...layout.Widget) layout.Dimensions {
	return row(gtx, gtx.Dp(gap), parts)
}

func row(gtx layout.Context, gap int, parts []layout.Widget) layout.Dimensions {
	var calls [16]op.CallOp
	var sizes [16]image.Point
	if len(parts) > len(calls) {
		parts = parts[:len(calls)]
	}
	min := gtx.Constraints.Min
	gtx.Constraints.Min = image.Point{}
	left := gtx.Constraints.Max.X
	var h int
	for i, w := range parts {
		if w == nil {
			continue
		}
		g := gtx
		g.Constraints.Max.X = max(left, 0)
		m := op.Record(gtx.Ops)
		sizes[i] = w(g).Size
		calls[i] = m.Stop()
		left -= sizes[i].X + gap
		h = max(h, sizes[i].Y)
	}
	h = max(h, min.Y)
	x := 0
	for i, w := range parts {
		if w == nil {
			continue
		}
		t := offset(gtx.Ops, x, (h-sizes[i].Y)/2)
		calls[i].Add(gtx.Ops)
		t.Pop()
		x += sizes[i].X + gap
	}
	return layout.Dimensions{Size: image.Pt(max(x-gap, min.X, 0), h)}
}
