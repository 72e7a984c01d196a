package golfer

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
)

// times steps through a swing from well before to well after.
func times(step float64) []float64 {
	var out []float64
	for t := -0.5; t < 2.2; t += step {
		out = append(out, t)
	}
	return out
}

func models() map[string]*Model {
	return map[string]*Model{"first visit": Mara(), "second visit": New(MaraSecondVisit())}
}

// TestLengths compares with the worked example of Drillis and Contini's
// table (via Winter) for a stature of 1.80 m: ankle 0.0702, knee 0.513, hip
// 0.954, foot 0.2736 m.
func TestLengths(t *testing.T) {
	l := LengthsFor(1.80)
	const tol = 1e-9
	assert.InDelta(t, 0.0702, l.AnkleHeight, tol)
	assert.InDelta(t, 0.513, l.AnkleHeight+l.Shank, tol)
	assert.InDelta(t, 0.954, l.AnkleHeight+l.Shank+l.Thigh, tol)
	assert.InDelta(t, 0.2736, l.AnkleToHeel+l.AnkleToToe, tol)
	// Harrington (2007) for an ASIS breadth of 240 mm: 173 mm between the hip
	// joint centres, at a stature of 1.72 m.
	assert.InDelta(t, 0.1730, LengthsFor(1.72).HipBreadth, 1e-4)
}

func TestSegmentsKeepTheirLength(t *testing.T) {
	const tol = 1e-9
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			l := &m.Lengths
			pairs := []struct {
				a, b geometry.Point
				want float64
			}{
				{geometry.LeadHip, geometry.TrailHip, l.HipBreadth},
				{geometry.LeadShoulder, geometry.TrailShoulder, l.ShoulderBreadth},
				{geometry.LeadHip, geometry.LeadKnee, l.Thigh}, {geometry.TrailHip, geometry.TrailKnee, l.Thigh},
				{geometry.LeadKnee, geometry.LeadAnkle, l.Shank}, {geometry.TrailKnee, geometry.TrailAnkle, l.Shank},
				{geometry.LeadShoulder, geometry.LeadElbow, l.UpperArm}, {geometry.TrailShoulder, geometry.TrailElbow, l.UpperArm},
				{geometry.LeadElbow, geometry.LeadWrist, l.Forearm}, {geometry.TrailElbow, geometry.TrailWrist, l.Forearm},
				{geometry.LeadHeel, geometry.LeadToe, l.AnkleToHeel + l.AnkleToToe}, {geometry.TrailHeel, geometry.TrailToe, l.AnkleToHeel + l.AnkleToToe},
				{geometry.Buckle, geometry.Tailbone, l.BeltFront + l.BeltRear},
				{geometry.Breastbone, geometry.UpperBack, l.ChestFront + l.ChestRear},
			}
			first := m.At(0)
			for _, s := range times(0.004) {
				p := m.At(s)
				for _, q := range pairs {
					require.InDelta(t, q.want, r3.Norm(r3.Sub(p.Points[q.a], p.Points[q.b])), tol, "%v to %v at %.3f s, metres", q.a, q.b, s)
				}
				for _, q := range [][2]geometry.Point{
					{geometry.Grip, geometry.Clubhead}, {geometry.LeadAnkle, geometry.LeadToe}, {geometry.TrailAnkle, geometry.TrailHeel},
					{geometry.LeadHip, geometry.Buckle}, {geometry.TrailShoulder, geometry.Breastbone},
				} {
					want := r3.Norm(r3.Sub(first.Points[q[0]], first.Points[q[1]]))
					require.InDelta(t, want, r3.Norm(r3.Sub(p.Points[q[0]], p.Points[q[1]])), tol, "%v to %v at %.3f s, metres", q[0], q[1], s)
				}
				require.InDelta(t, l.Trunk, r3.Norm(r3.Sub(p.Chest.O, p.Pelvis.O)), tol, "trunk at %.3f s", s)
				require.InDelta(t, l.NeckToHead, r3.Norm(r3.Sub(p.Head.O, p.Chest.O)), tol, "neck at %.3f s", s)
				require.Less(t, p.Reach, 0.9995, "no limb is stretched at %.3f s", s)
			}
			// A club is measured from the butt to the ground along the shaft
			// (common practice, no source); the middle of the face is a little
			// nearer or farther than that.
			assert.InDelta(t, m.Params.Club.Length, r3.Norm(r3.Sub(first.Points[geometry.Grip], first.Points[geometry.Clubhead])), 0.01)
		})
	}
}

func TestFramesAreOrthonormal(t *testing.T) {
	m := Mara()
	for _, s := range times(0.01) {
		p := m.At(s)
		for i, f := range []Frame{p.Pelvis, p.Chest, p.Head, p.LeadFoot, p.TrailFoot, p.LeadHand, p.TrailHand, p.Club, p.Sole(&m.Params.Club)} {
			require.InDelta(t, 0, r3.Norm(r3.Sub(r3.Cross(f.Lead, f.Up), f.Front)), 1e-9, "frame %d at %.2f s is right-handed", i, s)
			require.InDelta(t, 1, r3.Norm(f.Lead), 1e-9, "frame %d", i)
			require.InDelta(t, 0, r3.Dot(f.Lead, f.Up), 1e-9, "frame %d", i)
		}
	}
}

func TestFeetStayPlanted(t *testing.T) {
	m := Mara()
	first := m.At(0)
	for _, s := range times(0.004) {
		p := m.At(s)
		for _, q := range []geometry.Point{geometry.LeadAnkle, geometry.LeadHeel, geometry.LeadToe, geometry.TrailToe} {
			require.InDelta(t, 0, r3.Norm(r3.Sub(p.Points[q], first.Points[q])), 1e-12, "%v at %.3f s", q, s)
		}
		if s <= ImpactTime {
			require.InDelta(t, 0, r3.Norm(r3.Sub(p.Points[geometry.TrailHeel], first.Points[geometry.TrailHeel])), 1e-12, "trail heel at %.3f s", s)
		}
		for i, q := range p.Points {
			require.Greater(t, q.Y, 0.0, "%v is above the ground at %.3f s", geometry.Point(i), s)
		}
	}
	finish := m.At(FinishTime)
	assert.Greater(t, finish.Points[geometry.TrailHeel].Y, 0.15, "the trail heel is up at the finish")
	origin := r3.Scale(0.5, r3.Add(first.Points[geometry.LeadAnkle], first.Points[geometry.TrailAnkle]))
	assert.InDelta(t, 0, math.Hypot(origin.X, origin.Z), 1e-9, "the origin lies between the ankles at address")
}

// TestTurns checks that the headings of hip and shoulder line are exactly the
// requested curves, although pelvis and chest lean.
func TestTurns(t *testing.T) {
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			for _, s := range times(0.01) {
				p := m.At(s)
				pelvis, torso := m.Turns(s)
				require.InDelta(t, 0, wrap(heading(across(&p.Points, geometry.LeadHip))-pelvis), 1e-9, "pelvis at %.2f s, degrees", s)
				require.InDelta(t, 0, wrap(heading(across(&p.Points, geometry.LeadShoulder))-torso), 1e-9, "torso at %.2f s, degrees", s)
			}
			top := m.Measures(geometry.Top)
			assert.InDelta(t, m.Params.PelvisTurnTopDegrees, top["pelvis turn"], 1)
			assert.InDelta(t, m.Params.TorsoTurnTopDegrees, top["torso turn"], 1.5)
		})
	}
}

// TestTiltedAxis checks the frame of a leaning segment against the turn about
// a tilted axis: with axial turn a about an axis tilted by b, the heading h
// has tan h = tan a cos b and the line's slope s has sin s = sin a sin b (from
// Rodrigues' formula). Worked examples: 60, 40 gives 53.00, 33.83; 45, 20
// gives 43.22, 14.00; 100, 40 gives 102.96, 39.27; 90, 40 gives 90, 40.
func TestTiltedAxis(t *testing.T) {
	for _, c := range []struct{ axial, tilt, heading, slope float64 }{
		{60, 40, 53.00, 33.83}, {45, 20, 43.22, 14.00}, {100, 40, 102.96, 39.27}, {90, 40, 90, 40},
	} {
		t.Run(fmt.Sprintf("%v about %v", c.axial, c.tilt), func(t *testing.T) {
			const tol = 0.01 // the examples are rounded so
			f := turned(r3.Vec{}, lean(c.tilt, 0), c.heading, 0)
			assert.InDelta(t, c.heading, heading(f.Lead), 1e-9)
			assert.InDelta(t, -c.slope, elevation(f.Lead), tol, "turned away, the lead side of a forward lean is lower")
			assert.InDelta(t, c.axial, axial(f), tol)
		})
	}
}

// TestMeasures compares this package's plain formulas with those of the fit
// on the same points.
func TestMeasures(t *testing.T) {
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			var positions []geometry.Position
			var points [][geometry.NumPoints]geometry.WorldPt
			events := m.Events()
			for _, n := range geometry.KeyPositions {
				positions = append(positions, geometry.Position{Name: n})
				points = append(points, m.At(events[n]).Points)
			}
			g := geometry.Golfer{StatureM: m.Params.Stature, MassKg: m.Params.MassKg, Sex: geometry.Female}
			known := map[geometry.PositionName]map[string]float64{}
			for _, q := range geometry.MeasuresOf(g, positions, points) {
				if known[q.Position] == nil {
					known[q.Position] = map[string]float64{}
				}
				known[q.Position][q.Name] = q.Value
			}
			compared := 0
			for _, n := range geometry.KeyPositions {
				ours := m.Measures(n)
				for name, v := range known[n] {
					require.Contains(t, ours, name, "at %s", n)
					assert.InDelta(t, ours[name], v, 1e-6, "%s at %s", name, n)
					compared++
				}
			}
			assert.Greater(t, compared, 100)
		})
	}
}

func TestEvents(t *testing.T) {
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			e := m.Events()
			last := math.Inf(-1)
			for _, n := range geometry.KeyPositions {
				require.Contains(t, e, n)
				assert.Greater(t, e[n], last, "%s comes in order", n)
				last = e[n]
			}
			// 0.80 s and 0.27 s: Grober and Cholewicki, arXiv physics/0611291.
			assert.InDelta(t, 0.80, e[geometry.Top], 0.02)
			assert.InDelta(t, 0.27, e[geometry.Impact]-e[geometry.Top], 0.02)
			p := m.At(e[geometry.ClubLevelBack])
			assert.InDelta(t, 0, p.Club.Front.Y, 1e-6, "the shaft is level")
			p = m.At(e[geometry.LeadArmLevel])
			assert.InDelta(t, p.Points[geometry.LeadShoulder].Y, p.Points[geometry.LeadWrist].Y, 1e-6, "the lead arm is level")
			// The pelvis reverses first (Meister et al. 2011 and others).
			before, _ := m.Turns(e[geometry.Top] - 0.02)
			at, _ := m.Turns(e[geometry.Top] + 0.02)
			assert.Less(t, at, before, "the pelvis is on its way down at the top of the club")
		})
	}
}

func TestStrike(t *testing.T) {
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			ball := m.Params.Ball
			address, impact := m.At(0), m.At(ImpactTime)
			// The head's centre is half a head behind the ball's rear.
			gap := r3.Sub(ball, impact.Points[geometry.Clubhead])
			assert.InDelta(t, BallRadius+0.011, gap.X, 1e-8)
			assert.InDelta(t, 0, math.Hypot(gap.Y, gap.Z), 0.005)
			assert.Less(t, address.Points[geometry.Clubhead].X, ball.X-BallRadius, "the club rests behind the ball")
			const dt = 1e-4
			a, b := m.At(ImpactTime-dt), m.At(ImpactTime+dt)
			speed := r3.Norm(r3.Sub(b.Points[geometry.Clubhead], a.Points[geometry.Clubhead])) / (2 * dt)
			assert.InDelta(t, 35, speed, 3, "metres per second")
			assert.Equal(t, ball, impact.Points[geometry.Ball], "the ball rests until the strike")
			assert.Greater(t, m.At(ImpactTime + 0.1).Points[geometry.Ball].X, 4.0, "and flies to the target")
			assert.Greater(t, address.Club.Lead.X, 0.99, "the face looks at the target at address")
			assert.Greater(t, impact.Club.Lead.X, 0.97, "and at impact")
			assert.Less(t, impact.Club.Front.X, 0.0, "the shaft leans to the target at impact")
		})
	}
}

// TestSmooth bounds how much each point's acceleration changes from one
// hundredth of a millisecond to the next: positions have no jumps in place,
// speed or acceleration.
func TestSmooth(t *testing.T) {
	m := Mara()
	const h = 1e-5
	for p := range geometry.Point(geometry.NumPoints) {
		if p == geometry.Ball {
			continue // it is struck
		}
		for s := -0.02; s < 1.75; s += 0.0037 {
			at := func(k float64) r3.Vec { return m.At(s + k*h).Points[p] }
			a0 := r3.Add(r3.Sub(at(0), r3.Scale(2, at(1))), at(2))
			a1 := r3.Add(r3.Sub(at(1), r3.Scale(2, at(2))), at(3))
			jump := r3.Norm(r3.Sub(a1, a0)) / (h * h)
			require.Less(t, jump, 40.0, "%v at %.4f s, metres per second squared", p, s)
		}
	}
}

func TestDeterminism(t *testing.T) {
	a, b := Mara(), Mara()
	for _, s := range times(0.05) {
		require.Equal(t, a.At(s), b.At(s))
	}
}

func ExampleModel_Measures() {
	m := Mara()
	top := m.Measures(geometry.Top)
	fmt.Printf("pelvis turn %.0f deg, torso turn %.0f deg\n", top["pelvis turn"], top["torso turn"])
	// Output: pelvis turn 39 deg, torso turn 86 deg
}

func BenchmarkAt(b *testing.B) {
	m := Mara()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		m.At(float64(i%200) * 0.01)
	}
}

func TestUnreachableBall(t *testing.T) {
	p := MaraFirstVisit()
	p.Ball.Z = 2
	assert.Panics(t, func() { New(p) })
}
