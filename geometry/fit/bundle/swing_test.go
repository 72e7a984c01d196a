package bundle

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/geometry/levmar"
)

// filmed says how the golfer of package golfer is filmed and marked.
type filmed struct {
	views     []geometry.View         // both if empty
	positions []geometry.PositionName // all if empty
	biased    bool                    // each mark off alike at all positions
	late      map[geometry.PositionName]float64
	frame     float64 // seconds from one frame to the next; 1/240 if zero
}

// cameraOf is a phone a little off its line and not quite level.
func cameraOf(v geometry.View) geometry.Camera {
	at, aim := r3.Vec{X: 0.3, Y: 1.1, Z: 4.3}, r3.Vec{X: 0.1, Y: 0.9, Z: 0.1}
	if v == geometry.DownTheLine {
		at, aim = r3.Vec{X: -3.8, Y: 0.95, Z: 0.4}, r3.Vec{Y: 0.9, Z: 0.2}
	}
	return geometry.Camera{Position: at, Rotation: geometry.LookAt(at, aim, 0.02), FocalPx: 1450, Width: 1080, Height: 1920}
}

// pointAt is where a point is at a time. A coach's own position is one at the top.
func pointAt(m *golfer.Model, name geometry.PositionName, late float64, pt geometry.Point) r3.Vec {
	if name == "rehearsal" {
		name = geometry.Top
	}
	pose := m.At(m.Events()[name] + late)
	return pose.Points[pt]
}

// swing is a filmed and marked swing, 2.5 px of error a mark, and its golfer. What is late
// is the second clip.
func swing(seed uint64, o filmed) (geometry.Swing, *golfer.Model) {
	r := rand.New(rand.NewPCG(seed, 77))
	m := golfer.Mara()
	if len(o.views) == 0 {
		o.views = []geometry.View{geometry.FaceOn, geometry.DownTheLine}
	}
	if len(o.positions) == 0 {
		o.positions = geometry.KeyPositions
	}
	if o.frame == 0 {
		o.frame = 1.0 / 240
	}
	sw := geometry.Swing{Golfer: geometry.Golfer{StatureM: m.Params.Stature, StatureSigmaM: 0.015}, ClubLengthM: 1}
	for c, v := range o.views {
		cam := cameraOf(v)
		clip := geometry.Clip{View: v, Width: cam.Width, Height: cam.Height, FocalPx: cam.FocalPx, FocalRelSigma: 0.05}
		line := geometry.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine}
		for i, x := range [2]float64{-0.6, 0.62} {
			line.Ends[i], _ = cam.Project(r3.Vec{X: x, Z: 0.4})
		}
		clip.GroundLines = []geometry.GroundLine{line}
		sw.Clips = append(sw.Clips, clip)
		for pos, name := range o.positions {
			late := 0.0
			if c == 1 {
				late = o.late[name]
			}
			for pt := range geometry.Point(geometry.NumPoints) {
				if pt == geometry.Ball && name != geometry.Address {
					continue
				}
				at, err := cam.Project(pointAt(m, name, late, pt))
				if err != nil {
					continue
				}
				mark := geometry.Mark{Clip: c, Position: pos, Point: pt, At: geometry.ImagePt{X: at.X + 2.5*r.NormFloat64(), Y: at.Y + 2.5*r.NormFloat64()}}
				if o.biased {
					mark.SigmaPx, mark.SharedBiasPx = 10, float64(4+len(sw.Marks)%5)
				}
				sw.Marks = append(sw.Marks, mark)
			}
		}
	}
	for _, name := range o.positions {
		p := geometry.Position{Name: name}
		for range o.views {
			p.Seconds = append(p.Seconds, m.Events()[name])
			p.FrameSeconds = append(p.FrameSeconds, o.frame)
		}
		sw.Positions = append(sw.Positions, p)
	}
	return sw, m
}

// solved is a swing with its most probable state at the usual spread of the marks.
type solved struct {
	sw geometry.Swing
	p  *Problem
	e  *Minimiser
	st *State
	of *golfer.Model
}

func film(t *testing.T, seed uint64, o filmed) *solved {
	t.Helper()
	sw, of := swing(seed, o)
	p := NewProblem(&sw)
	e := NewMinimiser(p, nil)
	st, _, _, err := e.Begin(context.Background(), sw, make([]float64, len(p.Clips)))
	require.NoError(t, err)
	p.SetSigmas(&sw, st)
	end, err := e.MinimiseAll(context.Background(), st)
	require.NoError(t, err)
	require.True(t, end.Converged)
	return &solved{sw, p, e, st, of}
}

// shaken returns the problem of a film and a state some centimetres and
// degrees away from its solution, so that no derivative is accidentally zero.
func shaken(t *testing.T, seed uint64, o filmed) (*Problem, *State) {
	t.Helper()
	s := film(t, seed, o)
	r := rand.New(rand.NewPCG(seed, 3))
	st := s.st.Clone()
	dG := make([]float64, s.p.nG)
	for i := range dG {
		dG[i] = 0.02 * r.NormFloat64()
	}
	var dP [][]float64
	for range s.p.Names {
		x := make([]float64, BlockSize)
		for i := range x {
			x[i] = 0.04 * r.NormFloat64()
		}
		dP = append(dP, x)
	}
	st.step(dG, dP)
	return s.p, st
}

// A point that starts behind its camera is brought in front.
func TestStartBehindCamera(t *testing.T) {
	sw, _ := swing(2, filmed{})
	p := NewProblem(&sw)
	st := p.firstState(make([]float64, len(p.Clips)))
	p.SetSigmas(&sw, st)
	e := NewMinimiser(p, nil)
	active := make([]bool, len(p.Names))
	active[0] = true
	p.Seed(st, 0, &p.figure[0])
	st.Set(0, geometry.LeadKnee, geometry.WorldPt{Z: 40})
	end, err := e.minimise(context.Background(), st, active, false, 200)
	require.NoError(t, err)
	assert.Less(t, end.Cost, levmar.BehindCost)
	assert.Less(t, st.At(0, geometry.LeadKnee).Z, 1.0)
}

// At 60 frames a second the club goes 40 cm from one frame to the next before
// it strikes. A frame of one clip that is late by two fifths of that is found to
// be, and its marks are expected where they are.
func TestALateFrameIsFound(t *testing.T) {
	const frame = 1.0 / 60
	for seed := uint64(0); seed < 4; seed++ {
		distinct := func(late float64) (float64, *solved) {
			s := film(t, seed, filmed{frame: frame, late: map[geometry.PositionName]float64{geometry.Delivery: late}})
			pos := positionOf(s, geometry.Delivery)
			o := s.p.oTime[pos]
			return (s.st.g[o[1]] - s.st.g[o[0]]) * s.p.timeSigma[pos][1], s
		}
		late, s := distinct(0.4 * frame)
		early, _ := distinct(-0.4 * frame)
		// Drawn toward none, as frames half of one apart are unlikely.
		assert.InDelta(t, 0.8*frame, late-early, 0.4*frame, "seed %d, seconds between a late and an early frame", seed)
		pos := positionOf(s, geometry.Delivery)
		pr, ok := s.p.Project(s.st, 1, pos, geometry.Clubhead)
		require.True(t, ok)
		cam := cameraOf(geometry.DownTheLine)
		expected, err := cam.Project(pointAt(s.of, geometry.Delivery, 0.4*frame, geometry.Clubhead))
		require.NoError(t, err)
		atInstant, err := cam.Project(pointAt(s.of, geometry.Delivery, 0, geometry.Clubhead))
		require.NoError(t, err)
		assert.Less(t, math.Hypot(pr.X-expected.X, pr.Y-expected.Y), 0.5*math.Hypot(pr.X-atInstant.X, pr.Y-atInstant.Y), "seed %d, of the clubhead", seed)
	}
}

func positionOf(s *solved, name geometry.PositionName) int {
	for i, n := range s.p.Names {
		if n == name {
			return i
		}
	}
	return -1
}
