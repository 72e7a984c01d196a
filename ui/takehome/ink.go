package takehome

import (
	"image/color"

	"turngauge/geometry"
	"turngauge/ui/draw"
)

// paper are the colours of the sheet: the window's for bright places, on white.
var paper = draw.LightPalette()

var white = color.NRGBA{0xff, 0xff, 0xff, 0xff}

// verdictInk is the colour of a verdict.
func verdictInk(v geometry.Verdict) color.NRGBA {
	switch v {
	case geometry.Within:
		return paper.Within
	case geometry.Below, geometry.Above:
		return paper.Outside
	case geometry.CantTell, geometry.NotBelow, geometry.NotAbove:
		return paper.Unknown
	}
	return paper.Text
}

// verdict draws the sign of a verdict about a place: its shape tells it without
// its colour.
func (d *Drawing) verdict(at Pt, r float64, v geometry.Verdict) {
	ink := verdictInk(v)
	triangle := func(up float64) {
		d.add(Shape{Fill: ink, Path: polyline(true, Pt{at.X - r, at.Y + 0.7*r*up}, Pt{at.X + r, at.Y + 0.7*r*up}, Pt{at.X, at.Y - 0.9*r*up})})
	}
	switch v {
	case geometry.Within:
		d.disc(at, 0.85*r, ink)
	case geometry.Below:
		triangle(-1)
	case geometry.Above:
		triangle(1)
	case geometry.CantTell:
		d.ring(at, 0.7*r, 0.32*r, ink)
	case geometry.NotBelow, geometry.NotAbove: // the bar is the end that it is known not to pass
		side := 1.0
		if v == geometry.NotAbove {
			side = -1
		}
		d.ring(Pt{at.X, at.Y - 0.22*side*r}, 0.6*r, 0.3*r, ink)
		bar := at.Y + 0.82*side*r
		d.add(Shape{Fill: ink, Path: polyline(true, Pt{at.X - 0.9*r, bar - 0.16*r}, Pt{at.X + 0.9*r, bar - 0.16*r}, Pt{at.X + 0.9*r, bar + 0.16*r}, Pt{at.X - 0.9*r, bar + 0.16*r})})
	}
}

// sign is the sign of a verdict by itself.
func sign(v geometry.Verdict) Drawing {
	d := Drawing{Width: 9, Height: 9, Says: string(v)}
	d.verdict(Pt{4.5, 4.5}, 4, v)
	return d
}
