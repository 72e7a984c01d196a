package fit_test

import (
	"context"
	"errors"
	"fmt"
	"math"

	"turngauge/geometry"
	"turngauge/geometry/fit"
)

// filmed is a swing as a lesson hands it over: two clips of a golfer at address
// and at the top with the shoulders, hips, feet and front points marked. Here
// the marks are pictures of made-up points.
func filmed() geometry.Swing {
	face := geometry.Camera{Position: geometry.WorldPt{Y: 1, Z: 4}, FocalPx: 1400, Width: 1920, Height: 1080}
	face.Rotation = geometry.LookAt(face.Position, geometry.WorldPt{Y: 0.9}, 0)
	line := geometry.Camera{Position: geometry.WorldPt{X: -4, Y: 1, Z: 0.2}, FocalPx: 1400, Width: 1920, Height: 1080}
	line.Rotation = geometry.LookAt(line.Position, geometry.WorldPt{Y: 0.9, Z: 0.2}, 0)

	sw := geometry.Swing{
		Golfer: geometry.Golfer{StatureM: 1.75},
		Clips: []geometry.Clip{
			{View: geometry.FaceOn, Width: 1920, Height: 1080, FocalPx: 1400},
			{View: geometry.DownTheLine, Width: 1920, Height: 1080, FocalPx: 1400},
		},
		Positions: []geometry.Position{
			{Name: geometry.Address, Seconds: []float64{0.50, 0.70}, FrameSeconds: []float64{1.0 / 240, 1.0 / 240}},
			{Name: geometry.Top, Seconds: []float64{1.30, 1.50}, FrameSeconds: []float64{1.0 / 240, 1.0 / 240}},
			{Name: geometry.Impact, Seconds: []float64{1.57, 1.77}, FrameSeconds: []float64{1.0 / 240, 1.0 / 240}},
		},
	}
	for pos, turn := range []float64{0, 45} {
		s, c := math.Sincos(turn * math.Pi / 180)
		s2, c2 := math.Sincos(2 * turn * math.Pi / 180)
		points := map[geometry.Point]geometry.WorldPt{
			geometry.LeadHip:       {X: 0.09 * c, Y: 0.92, Z: -0.08 + 0.09*s},
			geometry.TrailHip:      {X: -0.09 * c, Y: 0.92, Z: -0.08 - 0.09*s},
			geometry.Buckle:        {X: -0.11 * s, Y: 1.00, Z: -0.08 + 0.11*c},
			geometry.LeadShoulder:  {X: 0.18 * c2, Y: 1.33, Z: 0.22 + 0.18*s2},
			geometry.TrailShoulder: {X: -0.18 * c2, Y: 1.33, Z: 0.22 - 0.18*s2},
			geometry.LeadKnee:      {X: 0.15, Y: 0.52, Z: 0.07}, geometry.TrailKnee: {X: -0.15, Y: 0.52, Z: 0.07},
			geometry.LeadAnkle: {X: 0.2, Y: 0.09}, geometry.TrailAnkle: {X: -0.2, Y: 0.09},
			geometry.LeadHeel: {X: 0.18, Y: 0.02, Z: -0.06}, geometry.TrailHeel: {X: -0.19, Y: 0.02, Z: -0.06},
			geometry.LeadToe: {X: 0.28, Y: 0.02, Z: 0.20}, geometry.TrailToe: {X: -0.22, Y: 0.02, Z: 0.21},
		}
		for pt := geometry.Point(0); pt < geometry.NumPoints; pt++ {
			at, ok := points[pt]
			if !ok {
				continue
			}
			for clip, cam := range []*geometry.Camera{&face, &line} {
				p, err := cam.Project(at)
				if err != nil {
					continue
				}
				// A hand is some pixels off.
				k := float64(len(sw.Marks))
				p.X, p.Y = p.X+4*math.Sin(7*k), p.Y+4*math.Cos(11*k)
				sw.Marks = append(sw.Marks, geometry.Mark{Clip: clip, Position: pos, Point: pt, At: p})
			}
		}
	}
	return sw
}

func ExampleSolver_Solve() {
	solution, err := fit.NewSolver().Solve(context.Background(), filmed())
	if err != nil {
		fmt.Println(err)
		return
	}
	m, missing := solution.Measure("pelvis turn", geometry.Top)
	if missing != nil {
		fmt.Println(missing.Why)
		return
	}
	fmt.Println(m.Name, "at the", m.Position, "by", m.Method)
	fmt.Println("45 degrees within the interval:", m.Low95 < 45 && 45 < m.High95)
	// Output:
	// pelvis turn at the top by joint fit, 2 views
	// 45 degrees within the interval: true
}

// With too little marked the error says what there is to do.
func ExampleInsufficient() {
	sw := filmed()
	sw.Marks = nil
	_, err := fit.NewSolver().Solve(context.Background(), sw)
	var bad *geometry.Insufficient
	fmt.Println(errors.As(err, &bad))
	w := bad.Missing[0].Wanted[0]
	fmt.Println("mark", w.Text, w.Positions[0].At())
	// Output:
	// true
	// mark both hips at address
}

func ExampleSolution_Suggest() {
	solution, err := fit.NewSolver().Solve(context.Background(), filmed())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range solution.Suggest("torso turn", geometry.Top, 1) {
		fmt.Println("next, mark the", s.Point, "- narrower:", s.HalfWidthThen < s.HalfWidthNow)
	}
	// Output: next, mark the upper back - narrower: true
}
