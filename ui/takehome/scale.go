package takehome

import (
	"image/color"
	"math"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/explain"
)

// reading is one number as a dot-and-interval shows it.
type reading struct {
	Name             string // of the measure, at Position
	Position         geometry.PositionName
	Unit             geometry.Unit
	Imperial         bool
	Value, Low, High float64 // in Unit, with its 95 % interval
	Verdict          geometry.Verdict
	Target           *geometry.Range // in Unit; an end may be infinite
	Before           *float64        // the value last time, in Unit
	From, To         float64         // the stretch shown, in Unit
}

// extent returns the stretch to show where the sheet of measures has none: all
// that there is to see with a third more on either side.
func (r *reading) extent() (from, to float64) {
	from, to = math.Min(r.Low, r.Value), math.Max(r.High, r.Value)
	add := func(v float64) {
		if !math.IsInf(v, 0) && !math.IsNaN(v) {
			from, to = math.Min(from, v), math.Max(to, v)
		}
	}
	if r.Target != nil {
		add(r.Target.Low)
		add(r.Target.High)
	}
	if r.Before != nil {
		add(*r.Before)
	}
	margin := math.Max((to-from)/3, 1e-3)
	return from - margin, to + margin
}

func (r *reading) notation() words.Notation {
	return words.Told(r.Unit, r.Imperial).Of(r.Name, r.Position)
}

// says is a reading in words.
func (r *reading) says() string {
	n := r.notation()
	s := n.Value(r.Value) + ", 95 % interval " + n.Interval(r.Low, r.High)
	if r.Target != nil {
		s += "; we look for " + n.Range(*r.Target)
	}
	if r.Verdict != "" && r.Target != nil {
		s += "; " + n.Side(r.Verdict, *r.Target)
	}
	if r.Before != nil {
		s += "; last time " + n.Value(*r.Before)
	}
	return s
}

// label writes a text centred on x, or as near as it fits.
func (d *Drawing) label(text string, x, y, size float64, ink color.NRGBA) {
	w := textWidth(text, size, false)
	x = math.Max(math.Min(x, d.Width-w/2), w/2)
	d.text(text, Pt{x, y}, 0.5, size, false, ink)
}

// smallScale draws a reading without words, for a line of a table.
func smallScale(r *reading, width float64) Drawing {
	d := Drawing{Width: width, Height: 12, Says: r.says()}
	r.draw(&d, r.onto(width), 6, 0.62)
	return d
}

// onto returns where a value stands on a scale of the given width.
func (r *reading) onto(width float64) func(v float64) float64 {
	const inset = 4.0
	return func(v float64) float64 {
		t := math.Max(math.Min((v-r.From)/(r.To-r.From), 1), 0)
		return inset + t*(width-2*inset)
	}
}

// band returns where the target range begins and ends.
func (r *reading) band(at func(float64) float64, width float64) (a, b float64) {
	a, b = 0, width
	if !math.IsInf(r.Target.Low, 0) {
		a = at(r.Target.Low)
	}
	if !math.IsInf(r.Target.High, 0) {
		b = at(r.Target.High)
	}
	return a, math.Max(b, a+1)
}

// draw draws the scale, the band, last time's ring, the interval and the dot,
// with its middle at height y, k times as large as usual.
func (r *reading) draw(d *Drawing, at func(float64) float64, y, k float64) {
	d.add(Shape{Path: rectangle(0, y-0.75, d.Width, 1.5), Fill: paper.Track})
	if r.From < 0 && r.To > 0 {
		d.line(Pt{at(0), y - 6*k}, Pt{at(0), y + 6*k}, 0.75, false, paper.Track)
	}
	if r.Target != nil {
		a, b := r.band(at, d.Width)
		d.add(Shape{Path: rectangle(a, y-8*k, b-a, 16*k), Fill: draw.Over(white, paper.Band)})
		d.add(Shape{Path: rectangle(a, y-0.75, b-a, 1.5), Fill: draw.Over(white, draw.Alpha(paper.Within, 0.45))})
	}
	if r.Before != nil {
		d.disc(Pt{at(*r.Before), y}, 4.4*k, white)
		d.ring(Pt{at(*r.Before), y}, 3.6*k, 1.4*k, paper.Ghost)
	}
	ink := verdictInk(r.Verdict)
	if r.Verdict == geometry.CantTell {
		ink = paper.Dim
	}
	d.disc(Pt{at(r.Value), y}, 5.6*k, white)
	d.line(Pt{at(r.Low), y}, Pt{at(r.High), y}, 1.8*k, false, ink)
	for _, v := range [2]float64{r.Low, r.High} {
		if v >= r.From && v <= r.To { // an end beyond the scale has no cap
			d.line(Pt{at(v), y - 4.5*k}, Pt{at(v), y + 4.5*k}, 1.4*k, false, ink)
		}
	}
	d.disc(Pt{at(r.Value), y}, 4*k, ink)
}

// textWidth is about how wide a text is set, points: as wide as the Go font is.
func textWidth(s string, size float64, bold bool) float64 {
	const fine = 64 // hundredths of a point and less are lost on a small size
	w, _ := explain.NewTypeface(fine, bold).Measure(s)
	return w * size / fine
}
