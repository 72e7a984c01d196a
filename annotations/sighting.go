package annotations

import (
	"math"

	"turngauge/annotations/jsontree"
	"turngauge/geometry"
)

// Sighting is where a program saw the point of a mark in the picture, for a mark that
// stands elsewhere now: the hand has moved it, or other swings have taught it. How far
// apart the two lie is what a hand's corrections tell. The zero value is none.
type Sighting struct {
	At                 geometry.ImagePt
	SDPx, SharedBiasPx float64 // as they were of the mark

	unknown *jsontree.Fields
}

// None reports whether no program has seen the point.
func (x Sighting) None() bool { return !(x.SDPx > 0) }

// Sighting returns where a program saw the point of a mark, be it that the mark still
// stands there or not; none where only a hand knows it.
func (m Mark) Sighting(view geometry.View) Sighting {
	if m.Seen.None() && m.SDPx > 0 && (m.State == geometry.Proposed || m.LowConfidence(view)) {
		return Sighting{At: m.At, SDPx: m.SDPx, SharedBiasPx: m.SharedBiasPx}
	}
	return m.Seen
}

// keepSighting returns m, which takes the place of a mark in a view, with what is known
// of where its point was seen. What is proposed anew begins anew.
func (m Mark) keepSighting(before Mark, view geometry.View) Mark {
	moved := m.State == geometry.Placed && !(m.At == before.At && m.LowConfidence(view))
	if m.Seen.None() && (moved || m.State == geometry.Placed && !before.Seen.None()) {
		m.Seen = before.Sighting(view)
	}
	return m
}

func (x Sighting) node() *jsontree.Node {
	var b builder
	b.add("x", floatNode(x.At.X))
	b.add("y", floatNode(x.At.Y))
	b.number("sd_px", x.SDPx)
	b.number("shared_bias_px", x.SharedBiasPx)
	return b.done(x.unknown)
}

func (r *reader) sighting(o object) Sighting {
	x := Sighting{SDPx: o.positive("sd_px"), SharedBiasPx: o.positive("shared_bias_px")}
	x.At = geometry.ImagePt{X: r.coordinate(o.take("x"), o.at("x")), Y: r.coordinate(o.take("y"), o.at("y"))}
	if !o.void && x.SDPx == 0 {
		r.fault(o.at("sd_px"), "is missing; give how unsure the place was, pixels")
	}
	x.unknown = o.rest()
	return x
}

// check names the faults of a sighting in a clip.
func (x Sighting) check(f *Faults, path string, c *Clip) {
	if x.None() {
		return
	}
	if !(x.SDPx >= 0.01 && x.SDPx <= 1000) {
		f.within(path+".sd_px", x.SDPx, 0.01, 1000, "pixels")
	}
	if x.SharedBiasPx != 0 && !(x.SharedBiasPx >= 0.01 && x.SharedBiasPx <= x.SDPx) {
		f.add(path+".shared_bias_px", "must be between 0.01 and sd_px, of which it is a part")
	}
	if !(x.At.X >= 0 && x.At.X <= float64(c.Width) && x.At.Y >= 0 && x.At.Y <= float64(c.Height)) {
		c.inside(f, outsideMark, path, ".x", ".y", x.At)
	}
}

// rounded rounds its numbers as those of a mark.
func (x Sighting) rounded() Sighting {
	x.At.X = math.Round(x.At.X/coordinateStep) * coordinateStep
	x.At.Y = math.Round(x.At.Y/coordinateStep) * coordinateStep
	return x
}
