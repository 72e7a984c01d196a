package bench

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/video/club"
	"turngauge/video/pose"
)

// swung is a made-up swing whose moments are known in closed form: the shaft rests, turns
// back by 260 degrees with the least jerk (Flash and Hogan 1985), and comes down by a
// parabola to the strike; the lead wrist goes along an arc about the shoulder.
const swungStart, swungTop, swungStrike, swungTurn = 0.5, 1.3, 1.57, 260 * math.Pi / 180

// shaft is its direction, radians from the ground's level on the trail side.
func swungShaft(t float64) float64 {
	switch {
	case t < swungStart:
		return -math.Pi / 2
	case t < swungTop:
		u := (t - swungStart) / (swungTop - swungStart)
		return -math.Pi/2 + swungTurn*u*u*u*(10-15*u+6*u*u)
	}
	u := (t - swungTop) / (swungStrike - swungTop)
	return -math.Pi/2 + swungTurn*(1-u*u)
}

// swungArm is how far the lead wrist lies below the shoulder, parts of the height.
func swungArm(t float64) float64 { return -0.3 * math.Sin(swungShaft(t)/260*160) }

// swing films it: each look strays by a degree, some show a rail as well, and one in six
// shows no shaft. hidden is when the lead wrist is not seen.
func swung(s *Instants, rate float64, hiddenFrom, hiddenTo float64, r *rand.Rand) []glance {
	var out []glance
	for n := 0; float64(n)/rate < swungStrike+0.2; n++ {
		t := float64(n) / rate
		g := glance{seconds: t, seen: true}
		f := &g.fig
		f.Next.Side = 1000
		size := f.Size()
		at := func(name pose.Name, x, y, seen float64) {
			f.Landmarks[name] = pose.Landmark{X: x + 2*r.NormFloat64(), Y: y + 2*r.NormFloat64(), Seen: seen}
		}
		for i, left := range [...]pose.Name{pose.LeftShoulder, pose.LeftHip, pose.LeftKnee, pose.LeftAnkle} {
			at(left, 600, 300+100*float64(i), 1)
			at(left.Opposite(), 500, 300+100*float64(i), 1)
		}
		wrist := 300 + size*swungArm(t)
		seen := 0.95
		if t > hiddenFrom && t < hiddenTo {
			seen = 0.2
			at(pose.LeftWrist, 550, 420, seen)
		} else {
			at(pose.LeftWrist, 550, wrist, seen)
		}
		at(pose.RightWrist, 540, wrist+15, 0.95)
		// Right in the picture is 0, down a quarter turn: level on the trail side is π.
		found := func(angle, score float64) {
			if s.Handed == geometry.LeftHanded {
				angle = math.Pi - angle
			}
			g.clubs = append(g.clubs, club.Candidate{Angle: angle, Score: score})
		}
		if n%6 != 4 {
			found(math.Pi+swungShaft(t)+math.Pi/180*r.NormFloat64(), 0.5)
		}
		if t > 0.7 && t < 1 || s.Doubted == nil { // the hands pass a rail
			found(0.2, 0.45)
		}
		if s.Handed == geometry.LeftHanded { // the network's right is his lead side
			for i := pose.LeftShoulder; i < pose.NumLandmarks; i += 2 {
				f.Landmarks[i], f.Landmarks[i+1] = f.Landmarks[i+1], f.Landmarks[i]
			}
			for i := range f.Landmarks {
				f.Landmarks[i].X = 1100 - f.Landmarks[i].X
			}
		}
		out = append(out, g)
	}
	return out
}

// TestMomentsOfAMadeUpSwing: all moments are told within what they say of themselves and
// some ten milliseconds, of right- and left-handers, at 120 and at 30 pictures a second,
// though motion tells them badly and the lead wrist is hidden for a fifth of a second
// about the moment at which the arm is level.
func TestMomentsOfAMadeUpSwing(t *testing.T) {
	t.Parallel()
	crossing := func(f func(float64) float64, from, to float64) float64 {
		for range 60 {
			if m := (from + to) / 2; (f(m) < 0) == (f(from) < 0) {
				from = m
			} else {
				to = m
			}
		}
		return from
	}
	for _, c := range []struct {
		handed geometry.Handed
		rate   float64
		tol    float64
	}{
		{geometry.RightHanded, 120, 0.012}, {geometry.LeftHanded, 120, 0.012}, {geometry.RightHanded, 30, 0.03},
	} {
		r := rand.New(rand.NewPCG(5, 6))
		late := int(math.Round(0.07 * c.rate))
		s := &Instants{
			View: geometry.FaceOn, Handed: c.handed, Frames: int(2 * c.rate), Seconds: func(n int) float64 { return float64(n) / c.rate },
			Address: int(swungStart*c.rate) - late, Top: int(swungTop*c.rate) - late, Impact: int(swungStrike*c.rate) - late,
			Doubted: map[geometry.PositionName]bool{geometry.Address: true, geometry.Top: true, geometry.Impact: true},
		}
		lean := func(p geometry.Point) float64 { l, _ := leanOf(s.View, geometry.LeadArmLevel, p); return l.down / 100 }
		arm := crossing(swungArm, swungStart, swungTop)
		list := swung(s, c.rate, arm-0.1, arm+0.1, r)
		s.tellSides(list)
		for i := range list {
			require.Equal(t, c.handed == geometry.LeftHanded, list[i].swapped)
		}
		got := map[geometry.PositionName]Proposal{}
		for _, p := range s.moments(list) {
			got[p.Name] = p
		}
		level := lean(geometry.LeadWrist) - lean(geometry.LeadShoulder)
		for name, want := range map[geometry.PositionName]float64{
			geometry.Address: swungStart, geometry.Top: swungTop, geometry.Impact: swungStrike,
			geometry.ClubLevelBack: crossing(swungShaft, swungStart, swungTop),
			geometry.Delivery:      crossing(swungShaft, swungTop, swungStrike),
			geometry.LeadArmLevel:  crossing(func(t float64) float64 { return swungArm(t) - level }, swungStart, swungTop),
		} {
			p, ok := got[name]
			require.True(t, ok, "%s at %g a second", name, c.rate)
			tol := c.tol
			switch name {
			case geometry.Address: // the least jerk hides it
				tol += 0.05
			case geometry.Top: // and here it flattens what motion has said wrongly
				tol += 0.01
			}
			assert.InDelta(t, want, s.Seconds(p.Frame), tol, "%s at %g a second", name, c.rate)
		}
		assert.True(t, got[geometry.Impact].Unsure, "no sound tells it")
	}
}

// TestNoClubNoMoments: stripes that stand still, and too few looks, tell nothing of a shaft.
func TestNoClubNoMoments(t *testing.T) {
	t.Parallel()
	s := &Instants{
		View: geometry.FaceOn, Frames: 200, Seconds: func(n int) float64 { return float64(n) / 100 },
		Address: 50, Top: 130, Impact: 157,
	}
	list := swung(s, 100, 0, 0, rand.New(rand.NewPCG(5, 6)))
	for i := range list {
		list[i].clubs = list[i].clubs[len(list[i].clubs)-1:]
	}
	for _, p := range s.moments(list) {
		assert.Equal(t, geometry.LeadArmLevel, p.Name)
	}
	assert.Empty(t, s.moments(nil))
	assert.Empty(t, s.moments(list[:1]))
}

// TestSidesOverTime: a network that takes front for back in single pictures, where joints
// lie too near to each other to tell by themselves, is set right by the pictures around.
func TestSidesOverTime(t *testing.T) {
	t.Parallel()
	s := &Instants{View: geometry.FaceOn, Frames: 200, Seconds: func(n int) float64 { return float64(n) / 100 }, Address: 50, Top: 130, Impact: 157}
	list := swung(s, 50, 0, 0, rand.New(rand.NewPCG(5, 6)))
	for i := range list {
		f := &list[i].fig
		if i%4 == 1 || i > 30 && i < 37 { // turned over by the network
			for k := pose.LeftShoulder; k < pose.NumLandmarks; k += 2 {
				f.Landmarks[k], f.Landmarks[k+1] = f.Landmarks[k+1], f.Landmarks[k]
			}
		}
	}
	s.tellSides(list)
	for i := range list {
		assert.Equal(t, i%4 == 1 || i > 30 && i < 37, list[i].swapped, "look %d", i)
	}
}
