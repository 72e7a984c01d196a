package draw

import (
	"image"
	"image/color"

	"gioui.org/f32"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
)

// Fill fills a rectangle. It is the cheapest shape there is.
func Fill(ops *op.Ops, r image.Rectangle, c color.NRGBA) {
	paint.FillShape(ops, c, clip.Rect(r).Op())
}

// Line draws a line with flat ends.
func Line(ops *op.Ops, a, b f32.Point, width float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.Line(a, b, width)
	p.Fill(c)
}

// DashedLine draws a dashed line; see [Pen.DashedLine].
func DashedLine(ops *op.Ops, a, b f32.Point, width, on, off float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.DashedLine(a, b, width, on, off)
	p.Fill(c)
}

// Polyline draws a line through pts.
func Polyline(ops *op.Ops, pts []f32.Point, width float32, c color.NRGBA) {
	if len(pts) < 2 {
		return
	}
	var p Pen
	p.Begin(ops)
	p.Polyline(pts, width, false)
	p.Fill(c)
}

// Circle draws a filled circle.
func Circle(ops *op.Ops, at f32.Point, r float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.Circle(at, r)
	p.Fill(c)
}

// Ring draws a circle line.
func Ring(ops *op.Ops, at f32.Point, r, width float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.Ring(at, r, width)
	p.Fill(c)
}

// Wedge draws the sector of a circle between angles a and b.
func Wedge(ops *op.Ops, at f32.Point, r, a, b float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.Wedge(at, r, a, b)
	p.Fill(c)
}

// RoundRect draws a filled rectangle with corners of radius px.
func RoundRect(ops *op.Ops, r image.Rectangle, px int, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.RoundRect(float32(r.Min.X), float32(r.Min.Y), float32(r.Max.X), float32(r.Max.Y), float32(px))
	p.Fill(c)
}

// RoundFrame draws the outline of a rounded rectangle inside its edge.
func RoundFrame(ops *op.Ops, r image.Rectangle, px, width float32, c color.NRGBA) {
	var p Pen
	p.Begin(ops)
	p.RoundFrame(float32(r.Min.X), float32(r.Min.Y), float32(r.Max.X), float32(r.Max.Y), px, width)
	p.Fill(c)
}

// Image draws a picture over a rectangle of a size at the origin.
func Image(ops *op.Ops, picture paint.ImageOp, size image.Point) {
	own := picture.Size()
	if own.X == 0 || own.Y == 0 {
		return
	}
	s := f32.Pt(float32(size.X)/float32(own.X), float32(size.Y)/float32(own.Y))
	defer op.Affine(f32.AffineId().Scale(f32.Point{}, s)).Push(ops).Pop()
	picture.Add(ops)
	paint.PaintOp{}.Add(ops)
}
