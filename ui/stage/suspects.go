package stage

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/session"
)

// reasonWidth is how wide a reason is written before it wraps.
const reasonWidth unit.Sp = 300

// drawSuspects rings the marks that don't agree with the others; the one under
// the pointer, else the one in hand, says why.
func (room *Room) drawSuspects(gtx layout.Context, stage int, position geometry.PositionName, at *[geometry.NumPoints]f32.Point, seen *[geometry.NumPoints]bool) {
	b := room.host.Session().Bench
	clip, v := b.Stages[stage].Clip, &room.views[stage]
	held, holding := b.Selected()
	var told *session.Suspect
	pointed := false
	all := room.host.Session().Result.Suspects
	for i := range all {
		s := &all[i]
		if s.Clip != clip || s.Position != position || !seen[s.Point] {
			continue
		}
		p := at[s.Point]
		draw.Ring(gtx.Ops, p, float32(gtx.Dp(markRadius+9)), float32(gtx.Dp(2)), draw.DarkPalette().Suspect)
		d := v.pointer.Sub(p)
		switch {
		case v.inside && math.Hypot(float64(d.X), float64(d.Y)) < float64(gtx.Dp(kit.GrabRadius)):
			told, pointed = s, true
		case !pointed && holding && held.Stage == stage && held.Position == position && held.Point == s.Point:
			told = s
		}
	}
	if told != nil {
		room.drawReason(gtx, v.size, at[told.Point], bench.Title(told.Reason)+".")
	}
}

// drawReason writes a reason on a plate under a mark, or above it where there
// is no room below, inside the stage.
func (room *Room) drawReason(gtx layout.Context, stage image.Point, mark f32.Point, text string) {
	th := room.host.Theme()
	pad := gtx.Sp(6)
	g := gtx
	g.Constraints = layout.Constraints{Max: image.Pt(max(min(gtx.Sp(reasonWidth), stage.X-4*pad), 1), stage.Y)}
	m := op.Record(gtx.Ops)
	d := th.Paragraph(g, draw.Small, font.Normal, th.PlateText, text)
	words := m.Stop()
	size := d.Size.Add(image.Pt(2*pad, 2*pad))
	gap := gtx.Dp(markRadius + 14)
	x := min(max(int(mark.X)-size.X/2, pad), stage.X-size.X-pad)
	y := int(mark.Y) + gap
	if y+size.Y > stage.Y-pad {
		y = int(mark.Y) - gap - size.Y
	}
	defer op.Offset(image.Pt(x, max(y, pad))).Push(gtx.Ops).Pop()
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(4), th.Plate)
	defer op.Offset(image.Pt(pad, pad)).Push(gtx.Ops).Pop()
	words.Add(gtx.Ops)
	kit.Named(gtx, image.Rectangle{Max: d.Size}, text)
}
