package fit_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/fit"
	"turngauge/geometry/golfer"
)

// A golfer who moves, filmed at few frames a second: what is measured is the frame,
// what is asked for the instant.

// movingLesson films a kinematic golfer with a swing of his own from both sides, at
// so many frames a second from a random moment on, and marks him with the usual
// errors. The frame of a position is the nearest to its instant or, where off, one
// of the two about it, which is told. truth holds the measures at the instants.
func movingLesson(t *testing.T, r *rand.Rand, fps float64, off bool, views []geometry.View) (sw geometry.Swing, truth map[string]float64) {
	t.Helper()
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	p := golfer.MaraFirstVisit()
	p.PelvisTurnTopDegrees = between(30, 52)
	p.TorsoTurnTopDegrees = p.PelvisTurnTopDegrees + between(32, 50)
	p.LeadFlareDegrees, p.TrailFlareDegrees = between(0, 30), between(0, 20)
	m := golfer.New(p)
	slow := between(0.9, 1.25)
	events := m.Events()
	var positions []geometry.Position
	var poses [][geometry.NumPoints]geometry.WorldPt
	phase := make([]float64, len(views))
	for c := range phase {
		phase[c] = r.Float64() / fps
	}
	frames := make([][]float64, len(geometry.KeyPositions))
	for i, name := range geometry.KeyPositions {
		at := slow * events[name]
		poses = append(poses, m.At(events[name]).Points)
		pos := geometry.Position{Name: name}
		for c := range views {
			x := (at - phase[c]) * fps
			k := math.Round(x)
			if off {
				k = math.Floor(x) + float64(r.IntN(2))
				pos.OffSeconds = append(pos.OffSeconds, 0.5/fps)
			}
			frames[i] = append(frames[i], phase[c]+k/fps)
			pos.FrameSeconds = append(pos.FrameSeconds, 1/fps)
		}
		pos.Seconds = frames[i]
		positions = append(positions, pos)
	}
	truth = map[string]float64{}
	for _, k := range geometry.MeasuresOf(geometry.Golfer{}, positions, poses) {
		truth[k.Name+" / "+string(k.Position)] = k.Value
	}
	truth["tempo / impact"] = (events[geometry.Top] - events[geometry.Address]) / (events[geometry.Impact] - events[geometry.Top])
	sw.Positions = positions
	for c, v := range views {
		aim := r3.Vec{X: between(-0.1, 0.1), Y: between(0.75, 1), Z: between(0, 0.3)}
		yaw, dist := between(-6, 6)*math.Pi/180, between(3, 5)
		place := r3.Vec{X: dist * math.Sin(yaw), Z: dist * math.Cos(yaw)}
		if v == geometry.DownTheLine {
			place = r3.Vec{X: -dist * math.Cos(yaw), Z: dist * math.Sin(yaw)}
		}
		place = r3.Add(place, aim)
		place.Y = between(0.8, 1.3)
		cam := geometry.Camera{Position: place, Rotation: geometry.LookAt(place, aim, between(-2, 2)*math.Pi/180), FocalPx: between(0.7, 0.85) * 1920, Width: 1920, Height: 1080}
		sw.Clips = append(sw.Clips, geometry.Clip{View: v, Width: cam.Width, Height: cam.Height, FocalPx: cam.FocalPx * (1 + 0.05*r.NormFloat64()), FocalRelSigma: 0.05})
		for i := range positions {
			pose := m.At(frames[i][c] / slow)
			for pt := geometry.Point(0); pt < geometry.Ball; pt++ {
				var front r3.Vec
				switch pt {
				case geometry.Buckle, geometry.Tailbone:
					front = pose.Pelvis.Front
				case geometry.Breastbone, geometry.UpperBack:
					front = pose.Chest.Front
				}
				if pt == geometry.Tailbone || pt == geometry.UpperBack {
					front = r3.Scale(-1, front)
				}
				if front != (r3.Vec{}) && r3.Dot(front, r3.Unit(r3.Sub(place, pose.Points[pt]))) < 0.05 {
					continue // out of sight
				}
				at, err := cam.Project(pose.Points[pt])
				require.NoError(t, err)
				sd := geometry.SigmaPxAt(pt, geometry.Placed, v, cam.FocalPx/cam.ToCamera(pose.Points[pt]).Z, geometry.ClickSigmaPx)
				at.X += sd * r.NormFloat64()
				at.Y += sd * r.NormFloat64()
				sw.Marks = append(sw.Marks, geometry.Mark{Clip: c, Position: i, Point: pt, At: at})
			}
		}
	}
	return sw, truth
}

// The intervals of turns at impact and of tempo hold the truth at 30 and 60 frames a
// second, with the nearest frames and with frames off by up to one.
func TestInstantsBetweenFrames(t *testing.T) {
	t.Parallel()
	n, seed, full := 4, uint64(30), false
	if flag.Lookup("accuracy").Value.String() == "true" {
		number := func(name string) int {
			v, err := strconv.Atoi(flag.Lookup(name).Value.String())
			require.NoError(t, err)
			return v
		}
		n, seed, full = number("accuracy-n"), uint64(number("accuracy-seed")), true
	}
	both := []geometry.View{geometry.FaceOn, geometry.DownTheLine}
	inside, all := 0, 0
	for _, row := range []struct {
		fps   float64
		off   bool
		views []geometry.View
	}{{30, false, both}, {60, false, both}, {30, true, both}, {60, true, both}, {30, true, both[:1]}, {60, true, both[:1]}} {
		alarms := 0
		held, given, se, half := map[string]int{}, map[string]int{}, map[string]float64{}, map[string]float64{}
		for i := range n {
			sw, truth := movingLesson(t, rand.New(rand.NewPCG(seed, uint64(i))), row.fps, row.off, row.views)
			sol, err := fit.NewSolver().Solve(context.Background(), sw)
			require.NoError(t, err)
			if sol.Mistake != nil {
				alarms++
				continue
			}
			for _, name := range []string{"pelvis turn", "torso turn", "tempo"} {
				m, miss := sol.Measure(name, geometry.Impact)
				if miss != nil {
					continue
				}
				want := truth[name+" / impact"]
				given[name]++
				se[name] += (m.Value - want) * (m.Value - want)
				half[name] += (m.High95 - m.Low95) / 2
				if m.Low95 <= want && want <= m.High95 {
					held[name]++
					inside++
				}
				all++
			}
		}
		text := fmt.Sprintf("%.0f frames a second, off by up to one %v, %d views:", row.fps, row.off, len(row.views))
		for _, name := range []string{"pelvis turn", "torso turn", "tempo"} {
			k := float64(given[name])
			text += fmt.Sprintf("  %s %.2f/%.2f/%.3f (%d)", name, math.Sqrt(se[name]/k), half[name]/k, float64(held[name])/k, given[name])
			if full && name != "tempo" { // which thousands of draws tell: TestTempoBetweenFrames
				assert.GreaterOrEqual(t, float64(held[name])/k, 0.93, name)
			}
		}
		t.Logf("%s  alarms %d", text, alarms)
		assert.LessOrEqual(t, alarms, max(n/50, 1))
	}
	assert.Greater(t, float64(inside)/float64(all), 0.85)
}
