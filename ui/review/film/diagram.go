package film

import (
	"image"
	"image/color"

	"turngauge/ui/draw"
	"turngauge/ui/explain"
	"turngauge/ui/takehome"
	"turngauge/ui/takehome/raster"
)

// inks are the sheet's colours and what they are on a film, by red, green and blue.
var inks = func() map[[3]uint8]color.NRGBA {
	out := map[[3]uint8]color.NRGBA{}
	light, dark := draw.LightPalette(), draw.DarkPalette()
	shoe := func(p draw.Palette) color.NRGBA { return draw.Over(p.Panel, draw.Alpha(p.Ghost, 0.18)) }
	for _, c := range [][2]color.NRGBA{
		{light.Text, dark.Text}, {light.Dim, dark.Dim}, {light.Edge, dark.Edge}, {light.Ghost, dark.Ghost},
		{light.Accent, dark.Accent}, {shoe(light), shoe(dark)}, {light.Panel, surround},
	} {
		out[[3]uint8{c[0].R, c[0].G, c[0].B}] = c[1]
	}
	return out
}()

func inkOf(c color.NRGBA) color.NRGBA {
	if on, ok := inks[[3]uint8{c.R, c.G, c.B}]; ok {
		on.A = c.A
		return on
	}
	return c
}

// diagram is a drawing of the sheet as an image for the film, scale pixels to a point.
func diagram(d *takehome.Drawing, scale float64) *image.RGBA {
	p := raster.New(d.Width, d.Height, scale)
	for i := range d.Shapes {
		s := &d.Shapes[i]
		if s.Text != "" {
			size := s.Size * scale
			w, _ := explain.NewTypeface(size, s.Bold).Measure(s.Text)
			p.Text(s.Text, raster.Pt{X: s.At.X - s.Align*w/scale, Y: s.At.Y}, s.Size, s.Bold, inkOf(s.Fill))
			continue
		}
		lines := straight(s.Path)
		if s.Fill.A > 0 {
			p.Fill(lines, inkOf(s.Fill))
		}
		if s.Stroke.A > 0 {
			dash, gap := 0.0, 0.0
			if s.Dashed { // as the sheet's
				dash, gap = 3*s.Width, 2*s.Width
			}
			p.Stroke(lines, s.Width, dash, gap, inkOf(s.Stroke))
		}
	}
	return p.Image
}

// straight makes a path one of straight lines.
func straight(steps []takehome.Step) (out [][]raster.Pt) {
	var line []raster.Pt
	end := func() {
		if len(line) > 1 {
			out = append(out, line)
		}
		line = nil
	}
	for _, s := range steps {
		var p [3]raster.Pt
		for i := range p {
			p[i] = raster.Pt(s.P[i])
		}
		switch s.Do {
		case takehome.MoveTo:
			end()
			line = []raster.Pt{p[2]}
		case takehome.LineTo:
			line = append(line, p[2])
		case takehome.CurveTo:
			line = raster.Curve(line, p[0], p[1], p[2])
		case takehome.ClosePath:
			if len(line) > 0 {
				line = append(line, line[0])
			}
			end()
		}
	}
	end()
	return out
}
