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

// plotted is a curve that a film shows.
type plotted struct {
	*motion.Curve
	look curves.Look
}

// plottedOf are the curves that were chosen, those of the trunk where that is not known.
func plottedOf(fit *motion.Curves, shown *review.Curves) (out []plotted) {
	for k := range min(len(fit.Curves), len(curves.Looks)) {
		c := &fit.Curves[k]
		on := slices.Contains(curves.Trunk[:], k)
		if shown != nil {
			on = slices.Contains(shown.Names, c.Name)
		}
		if on && !c.Lost {
			out = append(out, plotted{c, curves.Looks[k]})
		}
	}
	return out
}

// follow has the swings followed whose curves were open. The only error is that of ctx.
func (f *Film) follow(ctx context.Context) error {
	for s := range f.changes() {
		if s == nil || !slices.Contains(s.Panels, Curves) {
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

// scale is what one side of a plot shows: angles stand on the left, lengths on the right.
type scale struct {
	low, high, step float64
	any             bool
}

// round widens it to round numbers, some four of them.
func (r *scale) round() {
	if !r.any {
		return
	}
	raw := max(r.high-r.low, 1e-6) / 4
	base := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range [...]float64{1, 2, 3, 5, 10} {
		if r.step = m * base; r.step >= raw {
			break
		}
	}
	r.low, r.high = math.Floor(r.low/r.step)*r.step, math.Ceil(r.high/r.step)*r.step
}

// plot draws a swing's measures over time, each with its 95 % interval as a band, or how fast
// they change, and where the pictures are.
func (e *easel) plot(s *side, a *aside) *image.RGBA {
	unit, imperial := e.unit, e.f.request.Imperial // pixels to a point
	width, height := float64(a.room.Dx())/unit, float64(a.room.Dy())/unit
	p := raster.New(width, height, unit)
	box := func(x, y, w, h float64, ink color.NRGBA) {
		p.Fill([][]raster.Pt{{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}}, ink)
	}
	box(0, 0, width, height, surround)
	fit := s.motion
	all := plottedOf(fit, a.curves)
	speeds := a.curves != nil && a.curves.Speeds
	notation := func(c *motion.Curve) words.Notation {
		if speeds {
			return words.Speed(c.Unit, imperial)
		}
		return words.Told(c.Unit, imperial).Of(c.Name, "")
	}
	series := func(v *motion.Value) (value, low, high float64) {
		if speeds {
			return v.Rate, v.RateLow95, v.RateHigh95
		}
		return v.Value, v.Low95, v.High95
	}
	var scales [2]scale
	sideOf := func(c *motion.Curve) int {
		if c.Unit == geometry.Centimetres {
			return 1
		}
		return 0
	}
	for _, c := range all {
		r, shown := &scales[sideOf(c.Curve)], notation(c.Curve).Shown
		for i := range c.Values {
			if v := &c.Values[i]; v.Known {
				_, low, high := series(v)
				r.low, r.high, r.any = min(r.low, shown(low)), max(r.high, shown(high)), true
			}
		}
	}
	const foot, letters, column, row = 24.0, 14.0, 165.0, 42.0
	left, right := 44.0, 16.0
	if scales[1].any {
		right = 52
	}
	per := ""
	if speeds {
		left, right, per = left+24, right+20, "/s"
	}
	perRow := max(min(int((width-left-right)/column), len(all)), 1)
	top := 10 + row*float64((len(all)+perRow-1)/perRow)
	from, to := fit.Seconds[0], fit.Seconds[len(fit.Seconds)-1]
	x := func(t float64) float64 { return left + (t-from)/max(to-from, 1e-9)*(width-left-right) }
	faint := color.NRGBA{0x3a, 0x3e, 0x44, 0xff}
	for k := range scales {
		r := &scales[k]
		if r.round(); !r.any {
			continue
		}
		for i := range int(math.Round((r.high-r.low)/r.step)) + 1 {
			v := r.low + float64(i)*r.step
			at := height - foot - (v-r.low)/max(r.high-r.low, 1e-9)*(height-foot-top)
			mark := strings.Replace(strconv.FormatFloat(math.Round(v*1e6)/1e6+0, 'g', -1, 64), "-", "−", 1)
			if k == 0 {
				box(left, at, width-left-right, 1, faint)
				mark += "°" + per
				p.Text(mark, raster.Pt{X: left - 6 - e.wide(mark, letters), Y: at + letters/3}, letters, false, dim)
				continue
			}
			if mark += " cm"; imperial {
				mark = strings.TrimSuffix(mark, " cm") + " in"
			}
			if !scales[0].any {
				box(left, at, width-left-right, 1, faint)
			}
			mark += per
			p.Text(mark, raster.Pt{X: width - right + 6, Y: at + letters/3}, letters, false, dim)
		}
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
	for _, c := range all {
		r, shown := &scales[sideOf(c.Curve)], notation(c.Curve).Shown
		y := func(v float64) float64 {
			return height - foot - (shown(v)-r.low)/max(r.high-r.low, 1e-9)*(height-foot-top)
		}
		dash := 0.0
		if c.look.Dashed {
			dash = 7
		}
		var line, upper, lower []raster.Pt
		end := func() {
			if len(line) > 1 {
				slices.Reverse(lower)
				band := c.look.Dark
				band.A = 0x38
				p.Fill([][]raster.Pt{append(upper, lower...)}, band)
				p.Stroke([][]raster.Pt{line}, 2, dash, dash/2, c.look.Dark)
			}
			line, upper, lower = nil, nil, nil
		}
		for i := range c.Values {
			if !c.Values[i].Known {
				end()
				continue
			}
			value, low, high := series(&c.Values[i])
			t := x(fit.Seconds[i])
			line = append(line, raster.Pt{X: t, Y: y(value)})
			upper, lower = append(upper, raster.Pt{X: t, Y: y(high)}), append(lower, raster.Pt{X: t, Y: y(low)})
		}
		end()
	}
	marked := a.instant >= from && a.instant <= to
	if marked {
		box(x(a.instant)-1, top, 2, height-foot-top, accent)
	}
	// The legend, with the numbers where the pictures are.
	for i, c := range all {
		across := left + float64(i%perRow)*(width-left-right)/float64(perRow)
		down := row * float64(i/perRow)
		p.Stroke([][]raster.Pt{{{X: across, Y: down + 16}, {X: across + 18, Y: down + 16}}}, 4, map[bool]float64{true: 5}[c.look.Dashed], 3, c.look.Dark)
		p.Text(words.Sentence(c.Name), raster.Pt{X: across + 26, Y: down + 21}, 15, true, bright)
		number := ""
		if v := nearest(fit, c.Curve, a.instant); marked && v.Known {
			value, low, high := series(&v)
			number = notation(c.Curve).WithInterval(value, low, high)
		}
		p.Text(number, raster.Pt{X: across + 26, Y: down + 41}, 15, false, bright)
	}
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
