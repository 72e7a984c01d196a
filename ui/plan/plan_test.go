package plan

import (
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gioui.org/layout"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/draw/drawtest"
)

// points makes an invented golfer whose hips and shoulders are turned away
// from the target by the given angles.
func points(hipsDeg, shouldersDeg float64) *Points {
	var p Points
	set := func(i geometry.Point, x, z float64) {
		p[i] = geometry.PointEstimate{Known: true, At: geometry.WorldPt{X: x, Z: z}}
	}
	ends := func(lead, trail geometry.Point, half, deg, x, z float64) {
		s, c := math.Sincos(deg * math.Pi / 180)
		set(lead, x+half*c, z+half*s)
		set(trail, x-half*c, z-half*s)
	}
	ends(geometry.LeadHip, geometry.TrailHip, 0.13, hipsDeg, 0, -0.10)
	ends(geometry.LeadShoulder, geometry.TrailShoulder, 0.19, shouldersDeg, -0.02, 0.16)
	set(geometry.LeadHeel, 0.20, -0.04)
	set(geometry.LeadToe, 0.30, 0.19)
	set(geometry.TrailHeel, -0.22, -0.04)
	set(geometry.TrailToe, -0.25, 0.20)
	set(geometry.Ball, 0.06, 0.62)
	set(geometry.Head, -0.03, 0.25)
	return &p
}

func turn(name string, v, sd float64) geometry.Measure {
	return geometry.Measure{
		Name: name, Position: geometry.Top, Unit: geometry.Degrees,
		Value: v, Sigma: sd, Low95: v - 1.959964*sd, High95: v + 1.959964*sd,
	}
}

func example() Figure {
	f := Build(geometry.Top, points(38.2, 92.7), points(1, 3), []geometry.Measure{
		turn("pelvis turn", 38.2, 2.9), turn("torso turn", 92.7, 2.3), turn("sway", 1, 1),
	})
	f.Lead.FlareText, f.Trail.FlareText = "24.1° ± 2.7", "6.8° ± 2.9"
	return f
}

func TestPictures(t *testing.T) {
	mirror := example()
	mirror.Mirror = true
	previous := example()
	prev := Build(geometry.Top, points(28, 85), nil, nil)
	previous.PreviousHips, previous.PreviousShoulders = prev.Hips, prev.Shoulders
	ex := example()
	var none Figure
	for _, c := range []struct {
		name string
		dark bool
		text float32
		w, h int
		f    *Figure
	}{
		{"dark", true, 1, 340, 320, &ex},
		{"light-mirror", false, 1, 340, 320, &mirror},
		{"previous-dark-15", true, 1.5, 560, 460, &previous},
		{"small-dark", true, 1, 200, 180, &ex},
		{"empty", true, 1, 340, 200, &none},
	} {
		t.Run(c.name, func(t *testing.T) {
			th := draw.NewFixedTheme(c.dark, c.text)
			var v View
			img := drawtest.Picture(t, c.w, c.h, 1, th.Panel, func(gtx layout.Context) { v.Layout(gtx, th, c.f) })
			if dir := os.Getenv("TURNGAUGE_PICTURES"); dir != "" {
				drawtest.Save(t, filepath.Join(dir, "plan-"+c.name+".png"), img)
			}
			if img.Bounds().Size() != image.Pt(c.w, c.h) {
				t.Fatal("wrong size")
			}
		})
	}
}
