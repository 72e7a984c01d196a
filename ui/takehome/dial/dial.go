// Package dial draws the turn of hips or shoulders as a dial that runs with a clip: seen
// from above, square to the target line at the top, turned away from the target to the
// one side and open to the other.
package dial

import (
	"image"
	"image/color"
	"math"

	"turngauge/ui/explain"
)

// Reading is a turn in degrees, positive away from the target, with its 95 % interval.
type Reading struct {
	Value, Low, High float64
	Known            bool
	Ink              color.NRGBA
	Dashed           bool // tells one of two needles from the other without its colour
}

// Dial is where and how large it is, in pixels.
type Dial struct {
	At     explain.Pt // the middle of its half circle
	Radius float64
	// Away is -1 where away from the target is to the left, for a golfer who has the
	// target on the right, and 1 for a left-hander.
	Away   float64
	Ground color.NRGBA
}

// most is the turn at the end of the scale, degrees.
const most = 120.0

// angle is the direction of a turn on the dial, radians clockwise from the x axis: square
// is up.
func (d *Dial) angle(turn float64) float64 {
	t := math.Max(math.Min(turn, most), -most) / most * math.Pi / 2
	return -math.Pi/2 + d.Away*t
}

func (d *Dial) on(angle, r float64) explain.Pt {
	s, c := math.Sincos(angle)
	return explain.Pt{X: d.At.X + r*c, Y: d.At.Y + r*s}
}

// Draw draws the scale and the needles; one that is not known is left out, and the scale
// stays.
func (d *Dial) Draw(img *image.RGBA, readings []Reading) {
	r, w := d.Radius, math.Max(d.Radius/30, 1)
	scale := explain.Shape{Colour: d.Ground}
	scale.Bows = append(scale.Bows, explain.Bow{At: d.At, Radius: r, Width: w, From: -math.Pi, Turn: math.Pi})
	for turn := -most; turn <= most; turn += 30 {
		long := 0.08
		if turn == 0 {
			long = 0.16
		}
		a := d.angle(turn)
		scale.Segments = append(scale.Segments, explain.Segment{A: d.on(a, r), B: d.on(a, r*(1-long)), Width: w})
	}
	shapes := []explain.Shape{scale}
	for _, x := range readings {
		if !x.Known {
			continue
		}
		from, to := d.angle(x.Low), d.angle(x.High)
		band := x.Ink
		band.A = 0x55
		shapes = append(shapes, explain.Shape{Colour: band, Bows: []explain.Bow{{At: d.At, Radius: r * 0.8, Width: r * 0.22, From: from, Turn: to - from}}})
		needle := explain.Shape{Colour: x.Ink, Discs: []explain.Disc{{At: d.At, Radius: 2 * w}}}
		a := d.angle(x.Value)
		if x.Dashed {
			for t := 0.1; t < 0.95; t += 0.24 {
				needle.Segments = append(needle.Segments, explain.Segment{A: d.on(a, r*t), B: d.on(a, r*(t+0.14)), Width: 2 * w})
			}
		} else {
			needle.Segments = append(needle.Segments, explain.Segment{A: d.At, B: d.on(a, r*0.93), Width: 2 * w})
		}
		shapes = append(shapes, needle)
	}
	explain.Paint(img, &explain.Layout{Shapes: shapes}, explain.NewTypeface(10, false))
}
