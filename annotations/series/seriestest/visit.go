// Package seriestest makes lessons of several swings for tests: the demo's golfer with a
// true spread between swings, before cameras that stand still, marked by a hand.
package seriestest

import (
	"math/rand/v2"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// A Kind is swings of one kind: how many, what was tried in them, and how far the pelvis
// turns on average, degrees.
type Kind struct {
	Swings int
	Tried  string
	Turn   float64
}

// SpreadDegrees is the standard deviation from swing to swing of the turns that Visit
// makes, and ClickPx the standard deviation of a mark.
const (
	SpreadDegrees = 2.5
	ClickPx       = 2.0
)

// cameras are those of the demo, by the ID of the clip.
var cameras = map[string]geometry.Camera{
	"fo": camera(r3.Vec{X: 0.17, Y: 1.03, Z: 4.24}, r3.Vec{X: 0.045, Y: 1.08}, 1387),
	"dl": camera(r3.Vec{X: -4.78, Y: 0.96, Z: 0.41}, r3.Vec{Y: 1.07, Z: 0.27}, 1423),
}

func camera(at, target r3.Vec, focal float64) geometry.Camera {
	return geometry.Camera{Position: at, Rotation: geometry.LookAt(at, target, 0), FocalPx: focal, Width: 1920, Height: 1080}
}

// Visit returns a lesson of swings of several kinds, made of the demo's marked lesson
// (testdata/lessons/marked.json), and the true turns of the pelvis at the top, in the
// order of the swings. The same seed makes the same lesson.
func Visit(marked *annotations.Lesson, seed uint64, kinds ...Kind) (l *annotations.Lesson, turns []float64) {
	l = marked.Clone()
	first := l.Swings[0]
	l.Swings = nil
	r := rand.New(rand.NewPCG(seed, 18))
	for _, k := range kinds {
		for range k.Swings {
			p := golfer.MaraFirstVisit()
			p.PelvisTurnTopDegrees = k.Turn + SpreadDegrees*r.NormFloat64()
			p.TorsoTurnTopDegrees += SpreadDegrees * r.NormFloat64()
			s := marked.Clone().Swings[0]
			s.ID, s.Label, s.Tried = "s"+strconv.Itoa(len(l.Swings)+1), first.Label, k.Tried
			s.Findings, s.Followed, s.Drawings, s.Repeats = nil, nil, nil, nil
			s.Marks = marks(&first, golfer.New(p), r)
			l.Swings = append(l.Swings, s)
			turns = append(turns, p.PelvisTurnTopDegrees)
		}
	}
	return l, turns
}

// marks places what was marked in a swing anew, where the cameras see it.
func marks(of *annotations.Swing, m *golfer.Model, r *rand.Rand) []annotations.Mark {
	out := slices.Clone(of.Marks)
	events := m.Events()
	for i := range out {
		k := &out[i]
		c, filmed := cameras[k.Clip]
		t, known := events[k.Position]
		if k.State == geometry.Hidden || !filmed || !known {
			continue
		}
		pose := m.At(t)
		if at, err := c.Project(pose.Points[k.Point]); err == nil {
			k.At = geometry.ImagePt{X: at.X + ClickPx*r.NormFloat64(), Y: at.Y + ClickPx*r.NormFloat64()}
		}
	}
	return out
}
