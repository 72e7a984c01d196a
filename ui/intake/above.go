package intake

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/ui/draw"
)

// layoutAbove draws golfer, target line and phones from above, to scale: the target to
// the right and the ball below, for a left-hander the target to the left. Where a phone
// stood is filled, the line it should stand on dashed.
func layoutAbove(gtx layout.Context, th *draw.Theme, phones []phone, left bool) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Constraints.Max.X*11/20)
	// Metres that there must be room for, with a margin for labels.
	minX, maxX, minZ, maxZ := -1.5, 1.8, -0.6, 1.4
	for i := range phones {
		p := &phones[i].camera.Position
		away := phones[i].away()
		minX, maxX = math.Min(minX, p.X-0.5), math.Max(maxX, p.X+0.5)
		minZ, maxZ = math.Min(minZ, p.Z-0.4), math.Max(maxZ, p.Z+0.5)
		if phones[i].view == geometry.DownTheLine {
			minX = math.Min(minX, -away-0.3)
		} else {
			maxZ = math.Max(maxZ, away+0.3)
		}
	}
	k := math.Min(float64(size.X)/(maxX-minX), float64(size.Y)/(maxZ-minZ))
	mid := [2]float64{(minX + maxX) / 2, (minZ + maxZ) / 2}
	at := func(x, z float64) f32.Point {
		dx := (x - mid[0]) * k
		if left {
			dx = -dx
		}
		return f32.Pt(float32(float64(size.X)/2+dx), float32(float64(size.Y)/2+(z-mid[1])*k))
	}
	thin := float32(gtx.Dp(1))
	told := "From above: "
	draw.DashedLine(gtx.Ops, at(-0.9, 0.65), at(1.5, 0.65), 1.5*thin, 5*thin, 4*thin, th.Dim)
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	pen.Arrow(at(1.3, 0.65), at(1.7, 0.65), 1.5*thin, 7*thin)
	pen.Fill(th.Dim)
	th.TextAt(gtx, at(1.5, 0.55), 0.5, 1, draw.Small, font.Normal, th.Dim, "target")
	pen.Begin(gtx.Ops)
	pen.RoundLine(at(-0.2, 0), at(0.2, 0), float32(0.16*k))
	pen.Fill(th.Lead)
	draw.Circle(gtx.Ops, at(0, 0.06), float32(0.12*k), th.Text)
	draw.Circle(gtx.Ops, at(0, 0.65), 3*thin, th.Text)
	for i := range phones {
		p := &phones[i]
		own := at(0, p.away())
		if p.view == geometry.DownTheLine {
			own = at(-p.away(), 0.3)
		}
		draw.DashedLine(gtx.Ops, at(0, 0.3), own, thin, 3*thin, 4*thin, th.Edge)
		stood := at(p.camera.Position.X, p.camera.Position.Z)
		f := p.camera.Rotation[2]
		if left {
			f[0] = -f[0]
		}
		way := float32(math.Atan2(f[2], f[0]))
		const half = 0.26 // the field of view of a phone that stands upright, radians
		pen.Begin(gtx.Ops)
		pen.Wedge(stood, float32(0.75*p.away()*k), way-half, way+half)
		pen.Fill(draw.Alpha(th.Accent, 0.16))
		r := int(5 * thin)
		draw.RoundRect(gtx.Ops, image.Rect(int(stood.X)-r, int(stood.Y)-r, int(stood.X)+r, int(stood.Y)+r), int(2*thin), th.Accent)
		label := p.view.String()
		ax := float32(0)
		x := stood.X + 9*thin
		if stood.X > float32(size.X)*0.6 {
			ax, x = 1, stood.X-9*thin
		}
		th.TextAt(gtx, f32.Pt(x, stood.Y), ax, 0.5, draw.Small, font.Normal, th.Text, label)
		told += label + "; "
	}
	semantic.DescriptionOp(told[:len(told)-2]).Add(gtx.Ops)
	return layout.Dimensions{Size: size}
}
