package intake

import (
	"fmt"
	"image"
	"path/filepath"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/video"
)

// describe says in one line what a clip is.
func describe(in *video.Info) string {
	parts := []string{
		fmt.Sprintf("%d × %d", in.Width, in.Height),
		fmt.Sprintf("%.4g frames a second", in.RateFPS),
		fmt.Sprintf("%.1f s", in.Duration.Seconds()),
	}
	if in.RotationDeg != 0 {
		parts = append(parts, "turned upright")
	}
	if !in.HasAudio {
		parts = append(parts, "no sound")
	}
	return strings.Join(parts, ", ")
}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th, in := r.host.Theme(), &r.cardState
	title := "Which view is this clip?"
	if len(in.clips) > 1 {
		title = "Which views are these clips?"
	}
	return r.card.Layout(gtx, r.host.Theme(), title, 560, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(16)}
		for _, c := range in.clips {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				d := c.layoutPicture(gtx, th, gtx.Sp(112))
				x := d.Size.X + gtx.Dp(14)
				gtx.Constraints.Max.X = max(gtx.Constraints.Max.X-x, 1)
				defer op.Offset(image.Pt(x, 0)).Push(gtx.Ops).Pop()
				inner := kit.Column{Gtx: gtx, Gap: gtx.Dp(5)}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Label(gtx, draw.Body, font.Medium, th.Text, filepath.Base(c.path))
				})
				switch {
				case c.err != "":
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Paragraph(gtx, draw.Small, font.Normal, th.Danger, c.err)
					})
					return tall(inner.Done(), d.Size.Y)
				case !c.ready:
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Small, font.Normal, th.Dim, "Looking at it …")
					})
				default:
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Label(gtx, draw.Small, font.Normal, th.Dim, describe(&c.info))
					})
					for _, w := range c.info.Warnings {
						inner.Add(func(gtx layout.Context) layout.Dimensions {
							return th.Paragraph(gtx, draw.Small, font.Normal, th.Outside, w)
						})
					}
				}
				on := 0
				switch {
				case c.leave:
					on = 2
				case c.view == geometry.DownTheLine:
					on = 1
				}
				inner.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Segmented(gtx, &c.choice, filepath.Base(c.path), on, viewChoices...)
				})
				if text := c.says(); text != "" && !c.leave {
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text)
					})
				}
				if at, words := c.chosen(); len(words) > 1 && !c.leave {
					inner.Add(func(gtx layout.Context) layout.Dimensions {
						return th.Segmented(gtx, &c.filmed, "Speed of "+filepath.Base(c.path), at, words...)
					})
				}
				return tall(inner.Done(), d.Size.Y)
			})
		}
		problem := in.problem()
		col.Add(func(gtx layout.Context) layout.Dimensions {
			size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(18))
			if problem != "" {
				th.TextAt(gtx, f32.Point{}, 0, 0, draw.Small, font.Normal, th.Dim, problem)
			}
			return layout.Dimensions{Size: size}
		})
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return kit.EndRow(gtx,
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &in.cancel, draw.ButtonStyle{Label: "Cancel"})
				},
				func(gtx layout.Context) layout.Dimensions {
					return th.Button(gtx, &in.add, draw.ButtonStyle{Label: "Add to the lesson", Kind: draw.Primary, Disabled: problem != ""})
				})
		})
		return col.Done()
	})
}

// tall is a size of at least a height.
func tall(d layout.Dimensions, least int) layout.Dimensions {
	d.Size.Y = max(d.Size.Y, least)
	return d
}
