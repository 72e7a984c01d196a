package takehome

import (
	"fmt"
	"math"
	"strings"
	"time"

	"turngauge/annotations/library"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
)

// Course is a measure over the student's lessons.
type Course struct {
	Name string // "Pelvis turn at the top"
	Word string // what came of it: "9° ± 7° more since 2 May 2026: very likely, closer to what we look for"
	Told bool   // the direction of the change from the first lesson to the last is
	Plot Drawing
}

// MostCourses is how many measures the sheet shows over the lessons.
const MostCourses = 4

// courses draws what the library knows of the lessons before.
func (b *builder) courses() {
	for _, series := range b.request.Course {
		if len(series) < 2 {
			continue
		}
		b.sheet.Courses = append(b.sheet.Courses, courseOf(series, b.request.Imperial, b.request.Decided))
	}
}

func courseOf(series []library.Value, imperial bool, decided float64) Course {
	first, last := &series[0], &series[len(series)-1]
	change := library.ChangeOver(series)
	c := Course{Name: sentence(nameAt(last.Name, last.Position)), Told: change.Told(decided)}
	n := words.Told(last.Unit, imperial).Of(last.Name, last.Position)
	c.Word = n.Change(&change, first.Value, last.Value) + " since " + dayOf(first.Date, "2 January 2006") + ": "
	c.Word += strings.Replace(words.ChangeSure(&change, first.Value, last.Value, last.Target, lookedFor, decided), ": ", ", ", 1)
	c.Plot = coursePlot(series, imperial, decided)
	c.Plot.Says = c.Name + ". " + c.Word
	return c
}

func dayOf(date, form string) string {
	if t, err := time.Parse(time.DateOnly, date); err == nil {
		return t.Format(form)
	}
	return date
}

// The size of a plot over the lessons, points.
const courseWidth, courseHeight = 236.0, 104.0

// coursePlot draws the values with their intervals over the target range, in
// the order of the lessons, spaced in time as far as there is room.
func coursePlot(series []library.Value, imperial bool, decided float64) Drawing {
	d := Drawing{Width: courseWidth, Height: courseHeight}
	const left, right, top, bottom, small = 30.0, 14.0, 8.0, 16.0, 7.5
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range series {
		low, high = min(low, v.Low95), max(high, v.High95)
	}
	t := series[len(series)-1].Target
	if t != nil { // as far as it is near
		wide := high - low
		for _, e := range []float64{t.Low, t.High} {
			if !math.IsInf(e, 0) && e > low-wide && e < high+wide {
				low, high = min(low, e), max(high, e)
			}
		}
	}
	margin := max((high-low)*0.06, 1e-6)
	low, high = low-margin, high+margin
	y := func(v float64) float64 {
		return d.Height - bottom - (v-low)/(high-low)*(d.Height-top-bottom)
	}
	if t != nil {
		a, z := top, d.Height-bottom
		if !math.IsInf(t.High, 0) {
			a = max(y(t.High), a)
		}
		if !math.IsInf(t.Low, 0) {
			z = min(y(t.Low), z)
		}
		if z > a {
			d.add(Shape{Path: rectangle(left, a, d.Width-left-right+10, z-a), Fill: draw.Over(white, paper.Band)})
		}
		for _, e := range []float64{t.Low, t.High} {
			if !math.IsInf(e, 0) && e > low && e < high {
				d.text(words.Told(series[0].Unit, imperial).Of(series[0].Name, series[0].Position).Value(e), Pt{left - 4, y(e) + small*0.35}, 1, small, false, paper.Within)
			}
		}
	}
	xs := coursePlaces(series, d.Width-left-right-20)
	last := math.Inf(-1)
	for i, v := range series {
		x := left + 10 + xs[i]
		if i > 0 {
			before := left + 10 + xs[i-1]
			if v.Change != nil && v.Change.Told(decided) {
				d.line(Pt{before, y(series[i-1].Value)}, Pt{x, y(v.Value)}, 1.6, false, paper.Accent)
			} else {
				d.line(Pt{before, y(series[i-1].Value)}, Pt{x, y(v.Value)}, 1, true, paper.Ghost)
			}
		}
		day := dayOf(v.Date, "2 Jan 06")
		w := textWidth(day, small, false)
		at := math.Max(math.Min(x, d.Width-w/2), w/2)
		if at-w/2 > last+4 {
			d.text(day, Pt{at, d.Height - 4}, 0.5, small, false, paper.Dim)
			last = at + w/2
		}
	}
	for i, v := range series {
		x := left + 10 + xs[i]
		ink := verdictInk(v.Verdict)
		d.line(Pt{x, y(v.Low95)}, Pt{x, y(v.High95)}, 1.2, false, ink)
		for _, e := range []float64{v.Low95, v.High95} {
			d.line(Pt{x - 3, y(e)}, Pt{x + 3, y(e)}, 1.2, false, ink)
		}
		d.disc(Pt{x, y(v.Value)}, 4.6, white)
		if v.Verdict != "" {
			d.verdict(Pt{x, y(v.Value)}, 3.8, v.Verdict)
		} else {
			d.disc(Pt{x, y(v.Value)}, 3, ink)
		}
	}
	end := &series[len(series)-1]
	d.label(words.Told(end.Unit, imperial).Of(end.Name, end.Position).Value(end.Value), left+10+xs[len(xs)-1], math.Max(y(end.High95)-3, small), small, paper.Text)
	return d
}

// coursePlaces places lessons along an axis by their days, no two nearer than
// there is room for.
func coursePlaces(series []library.Value, width float64) []float64 {
	n := len(series)
	days := make([]float64, n)
	begin := time.Time{}
	for i, v := range series {
		if t, err := time.Parse(time.DateOnly, v.Date); err == nil {
			if begin.IsZero() {
				begin = t
			}
			days[i] = t.Sub(begin).Hours() / 24
		} else if i > 0 {
			days[i] = days[i-1]
		}
	}
	// Half the way by time, half evenly: lessons of one week stay apart, and a
	// year's pause is seen.
	out := make([]float64, n)
	whole := math.Max(days[n-1], 1)
	for i := range out {
		out[i] = width * (0.5*days[i]/whole + 0.5*float64(i)/float64(n-1))
	}
	return out
}

// says of the courses, under their title.
func coursesNote(n int) string {
	return fmt.Sprintf("The %s over your lessons, each with its 95 %% interval; the band is what we look for. A whole line is a change that is sure, a broken one a change that can't be told.", words.Spelled(n, "measure", "measures"))
}
