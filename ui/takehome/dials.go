package takehome

import (
	"fmt"
	"image"
	"math"
	"slices"

	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/dial"
	"turngauge/ui/takehome/fade"
)

// dialed is what a dial of an annotated clip shows.
type dialed struct {
	name     string
	readings []dial.Reading
	says     []string // a line for each side, two for one alone
}

// dials are the turns of hips and shoulders at a moment; nil where none was followed.
func (l *reel) dials(m *moment) []dialed {
	var out []dialed
	any := false
	for _, x := range [...]struct{ name, measure string }{{"hips", "pelvis turn"}, {"shoulders", "torso turn"}} {
		d := dialed{name: x.name}
		for i := range l.panels {
			p := &l.panels[i]
			if i > 0 && (p.side == l.panels[i-1].side || len(d.readings) == l.sides) {
				continue
			}
			r := dial.Reading{Ink: clipAccent}
			if l.sides > 1 && p.side.nth == 0 {
				r.Ink, r.Dashed = clipDim, true
			}
			says := []string{"not known here"}
			if v, ok := p.turnAt(x.measure, m.frames[i]); ok {
				r.Value, r.Low, r.High, r.Known = v.Value, v.Low95, v.High95, true
				n := words.Told(geometry.Degrees, false).Of(x.measure, m.position)
				says[0] = n.WithInterval(v.Value, v.Low95, v.High95)
				if l.sides == 1 {
					says = []string{n.Value(v.Value), "(" + n.Interval(v.Low95, v.High95) + ")"}
				}
			}
			any = any || p.side.motion != nil && p.side.motion.Fit != nil
			d.readings, d.says = append(d.readings, r), append(d.says, says...)
		}
		out = append(out, d)
	}
	if !any {
		return nil
	}
	return out
}

// dialKey tells the dials of a moment from others.
func dialKey(list []dialed) string { return fmt.Sprint(list) }

// drawDials draws dials beside each other, ending at right, with what they say below, and
// returns the width that they take.
func (l *reel) drawDials(img *image.RGBA, list []dialed, right, height float64) float64 {
	size := 12 * l.unit
	lines, least := 3.0, 150*l.unit
	if l.sides > 1 {
		least = 190 * l.unit
	}
	r := math.Min(height-14*l.unit-lines*lineShare*size-2*size, 64*l.unit)
	slot := math.Max(2.3*r, least)
	x := right - slot*float64(len(list))
	away := -1.0
	if l.panels[len(l.panels)-1].side.Lesson.Student.Handed == geometry.LeftHanded {
		away = 1
	}
	for i := range list {
		d := dial.Dial{At: explain.Pt{X: x + slot*(float64(i)+0.5), Y: 8*l.unit + r}, Radius: r, Away: away, Ground: clipDim}
		d.Draw(img, list[i].readings)
		y := 8*l.unit + r + 4*l.unit
		say := func(text string, bold bool, k int) {
			ink := clipText
			if k >= 0 && l.sides > 1 {
				ink = list[i].readings[k].Ink
			}
			w := l.words.measure(text, size, bold)
			l.words.draw(img, text, Pt{d.At.X - w/2, y}, size, bold, ink)
			y += lineShare * size
		}
		say(list[i].name, true, -1)
		for k, s := range list[i].says {
			say(s, false, k)
		}
	}
	return right - x + 12*l.unit
}

// legend says how lines and dials are to be read where the swing was followed.
func (l *reel) legend() string {
	for i := range l.panels {
		if l.panels[i].side.motion != nil {
			return " · lines fade where they could not be followed"
		}
	}
	return ""
}

// faint is a part of what is drawn on a view, and how strongly.
type faint struct {
	figure   *explain.Figure
	strength float64
}

// figures are what is drawn on a view, from the lowest.
func (l *reel) figures(p *panel, m *moment, n int) (out []faint) {
	c, _ := p.side.motion.clip(p.clip.ID)
	ref, set := p.side.Swing().FrameOf(p.clip.ID, m.position)
	if c == nil || m.tale != nil || set && ref.Index == n {
		if fig := l.figure(p, m, n); fig != nil {
			out = append(out, faint{fig, 1})
		}
		return out
	}
	f := p.motionFrame(c, n)
	for _, x := range [...]struct {
		line   explain.Line
		points []geometry.Point
	}{
		{explain.HipLine, []geometry.Point{geometry.LeadHip, geometry.TrailHip}},
		{explain.ShoulderLine, []geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder}},
		{explain.TrunkLine, []geometry.Point{geometry.LeadHip, geometry.TrailHip, geometry.LeadShoulder, geometry.TrailShoulder}},
	} {
		if x.line == explain.TrunkLine && p.clip.View != geometry.DownTheLine {
			continue
		}
		s := fade.Strength(func(frame int) bool {
			return frame < 0 || frame >= len(c.Seconds) || !slices.ContainsFunc(x.points, func(pt geometry.Point) bool { _, ok := c.At(pt, frame); return !ok })
		}, n)
		if s > 0 {
			var on explain.Set
			on[x.line] = true
			out = append(out, faint{f.Figure(on), s})
		}
	}
	return out
}
