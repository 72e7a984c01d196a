package draw_test

import (
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// kit shows everything the package draws.
func kit(gtx layout.Context, th *draw.Theme) {
	gtx = th.Context(gtx)
	gtx.Constraints.Min = image.Point{}
	y := gtx.Sp(16)
	place := func(w layout.Widget) {
		t := op.Offset(image.Pt(gtx.Dp(16), y)).Push(gtx.Ops)
		g := gtx
		g.Constraints.Max.X -= gtx.Dp(32)
		y += w(g).Size.Y + gtx.Sp(12)
		t.Pop()
	}
	button := func(s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, new(draw.Button), s) }
	}
	place(func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 12,
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Large, font.Medium, th.Text, "Mara Lindqvist")
			},
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Body, font.Normal, th.Dim, "7-iron, full swing")
			},
			func(gtx layout.Context) layout.Dimensions {
				return th.Label(gtx, draw.Small, font.Normal, th.Danger, "needs care")
			})
	})
	place(func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 8,
			button(draw.ButtonStyle{Label: "Open the demo lesson", Kind: draw.Primary}),
			button(draw.ButtonStyle{Label: "New student", Icon: draw.IconPlus}),
			button(draw.ButtonStyle{Label: "Remove", Kind: draw.Danger}),
			button(draw.ButtonStyle{Label: "Undo", Disabled: true}),
			button(draw.ButtonStyle{Label: "Loop", Toggle: true, On: true, Compact: true}),
			button(draw.ButtonStyle{Label: "Quiet", Kind: draw.Quiet}))
	})
	place(func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, 12,
			func(gtx layout.Context) layout.Dimensions {
				return th.Segmented(gtx, new(draw.Segmented), "Position", 1, "Address", "Top", "Impact")
			},
			func(gtx layout.Context) layout.Dimensions {
				gtx.Constraints.Max.X = gtx.Sp(180)
				return th.Field(gtx, new(draw.Field), draw.FieldStyle{Name: "Stature", Hint: "Stature", Suffix: "cm"})
			})
	})
	for row := range 3 {
		place(func(gtx layout.Context) layout.Dimensions {
			var ws []layout.Widget
			for i := range 12 {
				ic := draw.Icon(1 + row*12 + i)
				if ic > draw.IconBall {
					break
				}
				ws = append(ws, button(draw.ButtonStyle{Icon: ic, Name: "icon", Kind: draw.Quiet}))
			}
			return draw.Row(gtx, 4, ws...)
		})
	}
	place(func(gtx layout.Context) layout.Dimensions {
		for i, v := range []draw.Verdict{draw.Within, draw.Below, draw.Above, draw.CantTell} {
			x := gtx.Sp(8) + i*gtx.Sp(110)
			at := f32.Pt(float32(x), float32(gtx.Sp(9)))
			th.Verdict(gtx.Ops, at, float32(gtx.Sp(6)), v)
			th.TextAt(gtx, at.Add(f32.Pt(float32(gtx.Sp(12)), 0)), 0, 0.5, draw.Body, font.Normal, th.VerdictColour(v), v.String())
		}
		return layout.Dimensions{Size: image.Pt(1, gtx.Sp(18))}
	})
	place(func(gtx layout.Context) layout.Dimensions {
		o, d := gtx.Ops, func(v float32) float32 { return float32(gtx.Dp(1)) * v }
		draw.Line(o, f32.Pt(0, d(8)), f32.Pt(d(120), d(30)), d(2), th.Lead)
		draw.DashedLine(o, f32.Pt(0, d(30)), f32.Pt(d(120), d(52)), d(2), d(7), d(5), th.Trail)
		draw.Polyline(o, []f32.Point{{X: d(140), Y: d(50)}, {X: d(160), Y: d(10)}, {X: d(190), Y: d(44)}, {X: d(220), Y: d(8)}}, d(3), th.Middle)
		draw.Circle(o, f32.Pt(d(250), d(28)), d(14), th.Accent)
		draw.Ring(o, f32.Pt(d(290), d(28)), d(14), d(2), th.Suspect)
		draw.Wedge(o, f32.Pt(d(320), d(48)), d(40), -1.2, -0.5, draw.Alpha(th.Lead, 0.4))
		var p draw.Pen
		p.Begin(o)
		p.Arc(f32.Pt(d(400), d(30)), d(20), 2.4, 7, d(3))
		p.Cross(f32.Pt(d(440), d(30)), d(10), d(1.5))
		p.Arrow(f32.Pt(d(470), d(30)), f32.Pt(d(530), d(30)), d(2), d(11))
		p.Fill(th.Text)
		th.TextOnPicture(gtx, f32.Pt(d(550), d(30)), 0, 0.5, draw.Small, font.Medium, th.PlateText, "frame 240 · 1.000 s")
		return layout.Dimensions{Size: image.Pt(1, gtx.Dp(60))}
	})
	place(func(gtx layout.Context) layout.Dimensions {
		for i, s := range []string{"38.2°", "−4.75°", "112°", "0.94 m"} {
			t := op.Offset(image.Pt(0, i*gtx.Sp(18))).Push(gtx.Ops)
			th.Decimal(gtx, gtx.Sp(40), draw.Body, font.Medium, th.Text, s)
			t.Pop()
		}
		return layout.Dimensions{Size: image.Pt(1, gtx.Sp(72))}
	})
}

func TestKitPicture(t *testing.T) {
	for _, c := range []struct {
		dark  bool
		scale float32
	}{{true, 1}, {false, 1}, {true, 1.5}} {
		th := draw.NewFixedTheme(c.dark, c.scale)
		name := fmt.Sprintf("kit-%s-%g.png", map[bool]string{true: "dark", false: "light"}[c.dark], c.scale*10)
		img := drawtest.Picture(t, int(720*c.scale), int(480*c.scale), 1, th.Panel, func(gtx layout.Context) { kit(gtx, th) })
		keep(t, name, img)
	}
}

// keep compares a picture with the kept one and, where TURNGAUGE_PICTURES
// names a folder, leaves it there to be looked at.
func keep(t *testing.T, name string, img *image.RGBA) {
	t.Helper()
	if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
		drawtest.Save(t, filepath.Join(dir, name), img)
	}
	drawtest.Golden(t, filepath.Join("testdata", name), img)
}
