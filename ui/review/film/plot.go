package film

import (
	"context"
	"image"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"turngauge/annotations/review"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
	"turngauge/ui/takehome/raster"
)

// plotted are the curves that a film shows, in the colours that they have in the window.
var plotted = [...]struct {
	name string
	ink  color.NRGBA
}{
	{"pelvis turn", color.NRGBA{0x56, 0xb4, 0xe9, 0xff}},
	{"torso turn", color.NRGBA{0xe6, 0x9f, 0x00, 0xff}},
	{"separation", color.NRGBA{0x2f, 0xc7, 0x9b, 0xff}},
}

// follow has the swings followed whose curves were open. The only error is that of ctx.
func (f *Film) follow(ctx context.Context) error {
	for s := range f.changes() {
		if s == nil || !slices.Contains(s.Panels, panelCurves) {
			continue
		}
		of := review.Other{Swing: s.Swing}
		side, err := f.side(ctx, of)
		if err != nil {
			return err
		}
		if side == nil || side.motion != nil || side.unfollowed {
			continue
		}
		followed, fit, err := curves.Run(ctx, side.Result, side.folder, func(float64) {})
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil || fit == nil {
			side.unfollowed = true
			f.note("The curves that were open are not in the film: %s.", words.Trouble(err))
			continue
		}
		side.motion, side.followed = fit, followed
	}
	return nil
}

// instant is the time of a view's frame on the clock of its swing's curves.
func (s *side) instant(v *review.View) (float64, bool) {
	if s.motion == nil || v.Other {
		return 0, false
	}
	for k := range s.followed.Clips {
		c := &s.followed.Clips[k]
		if c.ID == v.Clip && v.Frame >= 0 && v.Frame < len(c.Seconds) && k < len(s.motion.Shift) {
			return c.Seconds[v.Frame] + s.motion.Shift[k], true
		}
	}
	return 0, false
}

// plot draws a swing's turns over time, each with its 95 % interval as a band, and where the
// pictures are.
func (e *easel) plot(s *side, at float64, marked bool, size image.Point) *image.RGBA {
	scale := e.unit // pixels to a point
	width, height := float64(size.X)/scale, float64(size.Y)/scale
	p := raster.New(width, height, scale)
	box := func(x, y, w, h float64, ink color.NRGBA) {
		p.Fill([][]raster.Pt{{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}}, ink)
	}
	box(0, 0, width, height, surround)
	fit := s.motion
	from, to := fit.Seconds[0], fit.Seconds[len(fit.Seconds)-1]
	low, high := 0.0, 0.0
	each := func(do func(c *motion.Curve, ink color.NRGBA)) {
		for _, x := range plotted {
			for k := range fit.Curves {
				if c := &fit.Curves[k]; c.Name == x.name && !c.Lost {
					do(c, x.ink)
				}
			}
		}
	}
	each(func(c *motion.Curve, _ color.NRGBA) {
		for _, v := range c.Values {
			if v.Known {
				low, high = min(low, v.Low95), max(high, v.High95)
			}
		}
	})
	const left, top, right, foot, letters = 44.0, 52.0, 16.0, 24.0, 14.0
	step := 30.0 // degrees
	if high-low > 150 {
		step = 60
	}
	low, high = math.Floor(low/step)*step, math.Ceil(high/step)*step
	x := func(t float64) float64 { return left + (t-from)/max(to-from, 1e-9)*(width-left-right) }
	y := func(v float64) float64 { return height - foot - (v-low)/max(high-low, 1e-9)*(height-foot-top) }
	faint := color.NRGBA{0x3a, 0x3e, 0x44, 0xff}
	for v := low; v <= high+1; v += step {
		box(left, y(v), width-left-right, 1, faint)
		text := strings.Replace(strconv.Itoa(int(v)), "-", "−", 1) + "°"
		p.Text(text, raster.Pt{X: left - 6 - e.wide(text, letters), Y: y(v) + letters/3}, letters, false, dim)
	}
	for k, t := range fit.Positions {
		if math.IsNaN(t) || k >= len(s.Swing().Positions) || t < from || t > to {
			continue
		}
		box(x(t), top, 1, height-foot-top, faint)
		if name := s.Swing().Positions[k].Name; name == geometry.Top || name == geometry.Impact || name == geometry.Address {
			text := string(name)
			p.Text(text, raster.Pt{X: min(x(t)-e.wide(text, letters)/2, width-right-e.wide(text, letters)), Y: height - 7}, letters, false, dim)
		}
	}
	each(func(c *motion.Curve, ink color.NRGBA) {
		var line, upper, lower []raster.Pt
		end := func() {
			if len(line) > 1 {
				slices.Reverse(lower)
				band := ink
				band.A = 0x38
				p.Fill([][]raster.Pt{append(upper, lower...)}, band)
				p.Stroke([][]raster.Pt{line}, 2, 0, 0, ink)
			}
			line, upper, lower = nil, nil, nil
		}
		for i, v := range c.Values {
			if !v.Known {
				end()
				continue
			}
			t := x(fit.Seconds[i])
			line = append(line, raster.Pt{X: t, Y: y(v.Value)})
			upper, lower = append(upper, raster.Pt{X: t, Y: y(v.High95)}), append(lower, raster.Pt{X: t, Y: y(v.Low95)})
		}
		end()
	})
	marked = marked && at >= from && at <= to
	if marked {
		box(x(at)-1, top, 2, height-foot-top, accent)
	}
	// The legend, with the numbers where the pictures are.
	column := left
	each(func(c *motion.Curve, ink color.NRGBA) {
		box(column, 14, 18, 4, ink)
		p.Text(words.Sentence(c.Name), raster.Pt{X: column + 26, Y: 21}, 15, true, bright)
		number := ""
		if v := nearest(fit, c, at); marked && v.Known {
			number = words.Told(c.Unit, false).Of(c.Name, "").WithInterval(v.Value, v.Low95, v.High95)
		}
		p.Text(number, raster.Pt{X: column + 26, Y: 41}, 15, false, bright)
		column += (width - left - right) / float64(len(plotted))
	})
	return p.Image
}

// nearest is a curve's value at the instant of the fit that is nearest to a time.
func nearest(fit *motion.Curves, c *motion.Curve, at float64) motion.Value {
	i, found := slices.BinarySearch(fit.Seconds, at)
	if i = min(i, len(fit.Seconds)-1); !found && i > 0 && at-fit.Seconds[i-1] < fit.Seconds[i]-at {
		i--
	}
	return c.Values[i]
}
