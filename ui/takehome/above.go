package takehome

import (
	"image/color"
	"math"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/plan"
)

// The ground that a plan view shows at least, metres: the same for any golfer,
// so that the one before and the one now are seen at one scale.
const (
	groundHalf   = 0.52
	groundBehind = -0.22
	groundBeyond = 0.62
)

// ground places the ground on a drawing.
type ground struct {
	centre Pt      // where the ground's origin lies
	scale  float64 // points per metre
	flip   float64 // -1 where the target is on the left
}

func (g *ground) at(p plan.Pt) Pt {
	return Pt{g.centre.X + g.flip*g.scale*p.X, g.centre.Y + g.scale*p.Z}
}

// angle returns the direction on the drawing of a heading in degrees.
func (g *ground) angle(deg float64) float64 {
	a := deg * math.Pi / 180
	if g.flip < 0 {
		return math.Pi - a
	}
	return a
}

const (
	planTop    = 12.0 // the title stands beside the golfer
	planBottom = 10.0 // room for the word "target"
)

// reach is the ground that a figure takes.
type reach struct{ half, behind, beyond float64 }

func reachOf(figures ...*plan.Figure) reach {
	r := reach{groundHalf, groundBehind, groundBeyond}
	add := func(ok bool, p plan.Pt) {
		if ok && !math.IsNaN(p.X+p.Z) && math.Abs(p.X) < 3 && math.Abs(p.Z) < 3 {
			r.half = math.Max(r.half, math.Abs(p.X)+0.06)
			r.behind, r.beyond = math.Min(r.behind, p.Z-0.06), math.Max(r.beyond, p.Z+0.05)
		}
	}
	for _, f := range figures {
		if f == nil {
			continue
		}
		for _, l := range []*plan.Line{&f.Hips, &f.Shoulders} {
			add(l.Known, l.Lead)
			add(l.Known, l.Trail)
		}
		for _, t := range []*plan.Foot{&f.Lead, &f.Trail} {
			add(t.Known, t.Heel)
			add(t.Known, t.Toe)
		}
		add(f.HasBall, f.Ball)
	}
	return r
}

// fromAbove draws the golfer from above. size is that of the drawing, points;
// title stands at its top.
func fromAbove(f *plan.Figure, title, says string, width, height float64, r reach) Drawing {
	d := Drawing{Width: width, Height: height, Says: says}
	room := height - planTop - planBottom
	g := ground{flip: 1, scale: math.Min(width/(2*r.half), room/(r.beyond-r.behind))}
	if f.Mirror {
		g.flip = -1
	}
	g.centre = Pt{width / 2, planTop + room/2 - g.scale*(r.behind+r.beyond)/2}
	d.add(Shape{Path: rectangle(0, 0, width, height), Fill: paper.Panel})
	d.text(title, Pt{8, 14}, 0, 8.5, true, paper.Text)
	d.target(f, &g)
	d.shoe(&f.Lead, &g, false)
	d.shoe(&f.Trail, &g, true)
	if f.HasHead {
		d.ring(g.at(f.Head), 0.08*g.scale, 0.75, draw.Alpha(paper.Ghost, 0.6))
	}
	for _, l := range []*plan.Line{&f.AddressShoulders, &f.AddressHips} {
		d.bodyLine(l, &g, 1, false, draw.Alpha(paper.Ghost, 0.6))
	}
	d.fan(&f.Shoulders, &g, paper.Text)
	d.fan(&f.Hips, &g, paper.Accent)
	d.bodyLine(&f.Shoulders, &g, 2.4, true, paper.Text)
	d.bodyLine(&f.Hips, &g, 2.4, true, paper.Accent)
	d.turns(f, &g)
	return d
}

// Above is a golfer from above as the sheet has him, with a title; points.
func Above(f *plan.Figure, title string, width, height float64) Drawing {
	return fromAbove(f, title, planSays(f, "now"), width, height, reachOf(f))
}

// target draws the target line through the ball, with its arrow.
func (d *Drawing) target(f *plan.Figure, g *ground) {
	y := g.at(plan.Pt{Z: groundBeyond - 0.1}).Y
	if f.HasBall {
		y = g.at(f.Ball).Y
	}
	a, b := Pt{8, y}, Pt{d.Width - 8, y}
	align := 1.0
	if g.flip < 0 {
		a, b, align = b, a, 0
	}
	d.line(a, Pt{b.X - 6*g.flip, y}, 0.8, false, paper.Edge)
	d.add(Shape{Fill: paper.Edge, Path: polyline(true, b, Pt{b.X - 8*g.flip, y - 3}, Pt{b.X - 8*g.flip, y + 3})})
	d.text("target", Pt{b.X, y + 9.5}, align, 7.5, false, paper.Dim)
	if f.HasBall {
		at := g.at(f.Ball)
		d.disc(at, 4, paper.Panel)
		d.disc(at, math.Max(0.02135*g.scale, 2.6), paper.Text) // a ball's radius: Rules of Golf, Equipment Rules part 4 (42.67 mm across)
	}
}

// shoe draws a foot: two circles, one about the heel and one about the ball of
// the foot, and their outer tangents.
func (d *Drawing) shoe(t *plan.Foot, g *ground, trail bool) {
	if !t.Known {
		return
	}
	heel, toe := g.at(t.Heel), g.at(t.Toe)
	length := math.Hypot(toe.X-heel.X, toe.Y-heel.Y)
	angle := math.Atan2(toe.Y-heel.Y, toe.X-heel.X)
	// Shares of the foot's length, for a shoe (ours, for looks).
	back, front := 0.15*length, 0.2*length
	ball := Pt{heel.X + 0.86*(toe.X-heel.X), heel.Y + 0.86*(toe.Y-heel.Y)}
	lean := math.Asin(math.Min((front-back)/math.Max(0.86*length, 1e-6), 1))
	path := arc(nil, heel, back, angle+math.Pi/2+lean, math.Pi-2*lean)
	path = arc(path, ball, front, angle-math.Pi/2-lean, math.Pi+2*lean)
	path = append(path, Step{Do: ClosePath})
	d.add(Shape{Path: path, Fill: draw.Over(paper.Panel, draw.Alpha(paper.Ghost, 0.18)), Stroke: paper.Dim, Width: 1, Dashed: trail})
	d.line(heel, toe, 0.6, false, draw.Alpha(paper.Dim, 0.6))
}

// bodyLine draws the hip or the shoulder line: its lead half solid to a filled
// end, its trail half dashed to a hollow one.
func (d *Drawing) bodyLine(l *plan.Line, g *ground, width float64, ends bool, ink color.NRGBA) {
	if !l.Known {
		return
	}
	lead, trail := g.at(l.Lead), g.at(l.Trail)
	mid := Pt{(lead.X + trail.X) / 2, (lead.Y + trail.Y) / 2}
	d.line(mid, lead, width, false, ink)
	d.line(mid, trail, width, true, ink)
	if ends {
		d.disc(lead, 3.8, ink)
		d.disc(trail, 3.8, paper.Panel)
		d.ring(trail, 3.1, 1.4, ink)
	}
}

// fan draws the 95 % interval of a line's heading about its middle.
func (d *Drawing) fan(l *plan.Line, g *ground, ink color.NRGBA) {
	if !l.Known || l.SigmaDeg <= 0 {
		return
	}
	a, b := g.at(l.Lead), g.at(l.Trail)
	mid := Pt{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
	r := math.Hypot(a.X-b.X, a.Y-b.Y)/2 + 7
	half := math.Min(1.959964*l.SigmaDeg, 89)
	from, to := g.angle(l.HeadingDeg-half), g.angle(l.HeadingDeg+half)
	for _, turn := range [2]float64{0, math.Pi} {
		d.add(Shape{Path: wedge(mid, r, from+turn, to-from), Fill: draw.Alpha(ink, 0.2)})
	}
}

// turns writes what was measured below the title, each in its line's colour:
// beside the lines it would cover them.
func (d *Drawing) turns(f *plan.Figure, g *ground) {
	x, align := d.Width-8, 1.0
	y := 14.0
	for _, l := range []struct {
		line *plan.Line
		ink  color.NRGBA
	}{{&f.Shoulders, paper.Text}, {&f.Hips, paper.Accent}} {
		if l.line.Known && l.line.Label != "" {
			d.text(l.line.Label, Pt{x, y}, align, 8, true, l.ink)
			y += 11
		}
	}
}

// planSays is a plan view in words.
func planSays(f *plan.Figure, when string) string {
	s := "You from above, " + when + ", at " + at(f.Position) + ": the feet, the ball and the target line"
	if f.Hips.Known {
		s += "; " + f.Hips.Label
	}
	if f.Shoulders.Known {
		s += "; " + f.Shoulders.Label
	}
	return s
}

// at says at which position, as one says it.
func at(p geometry.PositionName) string {
	switch p {
	case geometry.Top:
		return "the top"
	case geometry.Finish:
		return "the finish"
	case geometry.LeadArmLevel:
		return "lead arm level"
	}
	return string(p)
}
