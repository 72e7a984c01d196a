package bench

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/ui/demo"
	"turngauge/video/pose"
)

// mirrored turns a picture over, as a left-hander would be seen.
func mirrored(im *image.RGBA) *image.RGBA {
	out := image.NewRGBA(im.Rect)
	for y := range im.Rect.Dy() {
		for x := range im.Rect.Dx() {
			out.SetRGBA(im.Rect.Dx()-1-x, y, im.RGBAAt(x, y))
		}
	}
	return out
}

// otherGolfers are golfers and moments that the leans were not estimated on.
func otherGolfers(seed uint64) (list []demo.Still, positions []geometry.PositionName) {
	r := rand.New(rand.NewPCG(seed, 3))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	for _, name := range geometry.KeyPositions {
		p := golfer.MaraFirstVisit()
		p.Stature, p.StanceWidth = between(1.62, 1.84), between(0.35, 0.48)
		p.LeadFlareDegrees, p.PelvisTurnTopDegrees = between(5, 30), between(32, 52)
		list = append(list, demo.Still{Golfer: p, Seconds: golfer.New(p).Events()[name]})
		positions = append(positions, name)
	}
	return list, positions
}

// swapped reports whether the hips, knees and ankles of a figure lie nearer to those of
// the other side.
func swapped(g *sighted, im *image.RGBA, truth demo.TruthFrame, handed geometry.Handed) bool {
	own, other := 0.0, 0.0
	for _, p := range []geometry.Point{geometry.LeadHip, geometry.LeadKnee, geometry.LeadAnkle} {
		for _, p := range []geometry.Point{p, p.Opposite()} {
			at, _ := truth.Pixel(p)
			if handed == geometry.LeftHanded {
				at.X = float64(im.Rect.Dx()) - at.X
			}
			l, o := g.landmark(p), g.landmark(p.Opposite())
			own += math.Hypot(l.X-at.X, l.Y-at.Y)
			other += math.Hypot(o.X-at.X, o.Y-at.Y)
		}
	}
	return own > other
}

// TestJointsOfRenderedGolfers: joints in pictures of golfers of known truth, some
// of them turned over for a left-hander, lie about their points as widely as
// they say they do.
func TestJointsOfRenderedGolfers(t *testing.T) {
	t.Parallel()
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	for _, spot := range []demo.Spot{
		{Clip: "fo", Moved: r3.Vec{X: 0.1, Y: 0.1, Z: -0.2}, Shrink: 2},
		{Clip: "dl", Moved: r3.Vec{X: 0.2, Y: 0.1, Z: 0.1}, Shrink: 2},
	} {
		view := geometry.FaceOn
		if spot.Clip == "dl" {
			view = geometry.DownTheLine
		}
		list, positions := otherGolfers(uint64(view))
		offered, visible, near, within := 0, 0, 0, 0
		sum, clubs, clubsNear := 0.0, 0, 0
		require.NoError(t, spot.Stills(list, func(i int, im *image.RGBA, truth demo.TruthFrame) {
			f := Following{View: view, Position: positions[i]}
			if i%3 == 2 {
				f.Handed, im = geometry.LeftHanded, mirrored(im)
			}
			size := 0.0
			if fig, ok := finder.Find(im); ok {
				size = fig.Size()
				g := newSighted(&fig, view, f.Handed, positions[i])
				assert.False(t, swapped(&g, im, truth, f.Handed), "%s at %s: sides", view, positions[i])
			}
			for _, p := range Useful(view, positions[i]) {
				if _, ok := truth.Pixel(p); ok && looked(p) {
					visible++
				}
			}
			for _, x := range f.Look(finder, im, nil) {
				at, ok := truth.Pixel(x.Point)
				if f.Handed == geometry.LeftHanded {
					at.X = float64(im.Rect.Dx()) - at.X
				}
				d := math.Hypot(x.At.X-at.X, x.At.Y-at.Y)
				if x.Point == geometry.Grip || x.Point == geometry.Clubhead {
					clubs++
					if d < 0.04*size {
						clubsNear++
					} else {
						t.Logf("%s at %s: %s is off by %.1f %%", view, positions[i], x.Point, 100*d/size)
					}
					continue
				}
				if !ok {
					continue // hidden: the network guesses, and the coach looks
				}
				offered++
				if d <= 0.025*size {
					near++
				}
				z := math.Max(math.Abs(x.At.X-at.X), math.Abs(x.At.Y-at.Y)) / x.SigmaPx
				if z <= 2 {
					within++
				}
				sum += (x.At.X - at.X) * (x.At.X - at.X) / (x.SigmaPx * x.SigmaPx)
				sum += (x.At.Y - at.Y) * (x.At.Y - at.Y) / (x.SigmaPx * x.SigmaPx)
			}
		}))
		t.Logf("%s: %d of %d visible points offered, %.0f %% within 2.5 %% of the height, %.0f %% within two of their sd, mean square %.2f sd; club: %d of %d points near",
			view, offered, visible, 100*float64(near)/float64(offered), 100*float64(within)/float64(offered),
			sum/float64(2*offered), clubsNear, clubs)
		assert.Greater(t, float64(offered), 0.7*float64(visible))
		assert.Greater(t, float64(near), 0.9*float64(offered))
		assert.Greater(t, float64(within), 0.95*float64(offered))
		// Well below 1, since most of the sd is for photographs.
		assert.Less(t, sum/float64(2*offered), 0.8)
		assert.Greater(t, sum/float64(2*offered), 0.1)
		assert.GreaterOrEqual(t, clubsNear, clubs-1)
		assert.Greater(t, clubs, 1)
	}
}

// stickFigure is a figure 500 pixels tall whose lead joints lie toward the right
// and nearer or farther than the trail ones.
func stickFigure(apartX, apartDepth float64) *pose.Figure {
	f := &pose.Figure{Next: pose.Region{Side: 625}}
	for i := range f.Landmarks {
		side := 1.0 // even numbers are the right side from the shoulders on
		if pose.Name(i) >= pose.LeftShoulder && (i-int(pose.LeftShoulder))%2 == 1 {
			side = -1
		}
		f.Landmarks[i] = pose.Landmark{X: 300 + side*apartX/2, Y: 300, Depth: side * apartDepth / 2, Seen: 1, Present: 1}
	}
	return f
}

// TestSides: left and right become lead and trail by the hand, and are turned
// round where the network has taken front for back.
func TestSides(t *testing.T) {
	for _, c := range []struct {
		name       string
		x, depth   float64 // of the network's left less its right
		view       geometry.View
		handed     geometry.Handed
		position   geometry.PositionName
		leadIsLeft bool
	}{
		{"right-hander", 80, 0, geometry.FaceOn, geometry.RightHanded, geometry.Address, true},
		{"right-hander taken for his back", -80, 0, geometry.FaceOn, geometry.RightHanded, geometry.Address, false},
		{"left-hander", 80, 0, geometry.FaceOn, geometry.LeftHanded, geometry.Address, false},
		{"left-hander taken for his back", -80, 0, geometry.FaceOn, geometry.LeftHanded, geometry.Top, true},
		{"down the line", 2, 90, geometry.DownTheLine, geometry.RightHanded, geometry.Address, true},
		{"down the line from the wrong side", 2, -90, geometry.DownTheLine, geometry.RightHanded, geometry.Address, false},
		{"down the line, left-hander", 2, -90, geometry.DownTheLine, geometry.LeftHanded, geometry.Address, false},
		{"in the finish down the line, whatever the depth", -60, -90, geometry.DownTheLine, geometry.RightHanded, geometry.Finish, true},
		{"in the finish down the line, front for back", 60, 90, geometry.DownTheLine, geometry.RightHanded, geometry.Finish, false},
		{"in the finish down the line, left-hander", -60, 90, geometry.DownTheLine, geometry.LeftHanded, geometry.Finish, false},
		{"too near to tell", -5, 0, geometry.FaceOn, geometry.RightHanded, geometry.Address, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := newSighted(stickFigure(c.x, c.depth), c.view, c.handed, c.position)
			want := pose.LeftHip
			if !c.leadIsLeft {
				want = pose.RightHip
			}
			assert.Equal(t, want, g.name(geometry.LeadHip))
			assert.Equal(t, want+pose.LeftKnee-pose.LeftHip, g.name(geometry.LeadKnee))
			assert.NotEqual(t, g.name(geometry.LeadKnee), g.name(geometry.TrailKnee))
			assert.Equal(t, pose.LeftEar, g.name(geometry.Head))
		})
	}
}

// TestSilentJoints: what the network does not see, or sees now here and now
// there, is not offered; nor what it was never taught.
func TestSilentJoints(t *testing.T) {
	f := stickFigure(80, 0)
	f.Landmarks[pose.LeftElbow].Seen = 0.3
	f.Landmarks[pose.RightKnee].Wander = 20
	f.Landmarks[pose.RightAnkle].Wander = 10
	g := newSighted(f, geometry.FaceOn, geometry.RightHanded, geometry.Address)
	for p := range geometry.Point(geometry.NumPoints) {
		x, ok := g.joint(p)
		switch p {
		case geometry.LeadElbow, geometry.TrailKnee, geometry.Buckle, geometry.Tailbone, geometry.Breastbone,
			geometry.UpperBack, geometry.Grip, geometry.Clubhead, geometry.Ball:
			assert.False(t, ok, p)
			continue
		}
		require.True(t, ok, p)
		assert.Equal(t, geometry.Proposed, x.State)
		assert.Greater(t, x.SigmaPx, geometry.DefaultSigmaPx(p, geometry.Placed, geometry.FaceOn), "less sure than a hand: %s", p)
	}
	// In hundredths of 500 pixels, and the other way for a left-hander.
	x, _ := g.joint(geometry.LeadHip)
	l, _ := leanOf(geometry.FaceOn, geometry.Address, geometry.LeadHip)
	assert.InDelta(t, 340-5*l.along, x.At.X, 1e-9)
	assert.InDelta(t, 300-5*l.down, x.At.Y, 1e-9)
	left := newSighted(f, geometry.FaceOn, geometry.LeftHanded, geometry.Address)
	y, _ := left.joint(geometry.LeadHip)
	assert.InDelta(t, 260+5*l.along, y.At.X, 1e-9)
	l, _ = leanOf(geometry.FaceOn, geometry.Address, geometry.TrailAnkle)
	z, _ := g.joint(geometry.TrailAnkle)
	assert.InDelta(t, math.Hypot(5*l.sd(), 10), z.SigmaPx, 1e-9, "its wandering counts")
}

// TestProposedMarksAreTakenCorrectedAndRefused goes through what a coach does
// with marks that the program proposed, on both stages.
func TestProposedMarksAreTakenCorrectedAndRefused(t *testing.T) {
	b := newBench(t)
	b.GoTo(0, 50)
	b.SetPosition(geometry.Address)
	list, note := b.Follow()
	require.Empty(t, note)
	require.NotEmpty(t, list)
	f := list[0]
	assert.Empty(t, f.Marks, "nothing is marked yet, so nothing can be followed")
	assert.Contains(t, f.Looked, geometry.LeadHip)
	assert.NotContains(t, f.Looked, geometry.Buckle)
	seen := func(p geometry.Point, x float64) Found {
		return Found{Point: p, At: geometry.ImagePt{X: x, Y: 400}, SigmaPx: 9, State: geometry.Proposed}
	}
	found := []Found{seen(geometry.LeadHip, 500), seen(geometry.TrailHip, 450), seen(geometry.LeadKnee, 510), seen(geometry.TrailKnee, 440), seen(geometry.Head, -30)}
	placed, note := b.TakeFollowed(f, found)
	require.Empty(t, note)
	assert.Equal(t, 4, placed, "what lies outside the picture is left away")
	assert.NotContains(t, f.Missing(found), geometry.LeadHip)
	mark := func(p geometry.Point) (m struct {
		state geometry.MarkState
		sd    float64
		there bool
	}) {
		x, ok := b.Swing().Mark(f.Clip, geometry.Address, p)
		m.state, m.sd, m.there = x.State, x.SDPx, ok
		return m
	}
	assert.Equal(t, geometry.Proposed, mark(geometry.LeadHip).state)
	assert.InDelta(t, 9, mark(geometry.LeadHip).sd, 1e-9)

	b.Accept() // takes hold of the first
	b.Accept() // takes it, and hold of the next
	first := mark(geometry.LeadHip)
	assert.Equal(t, geometry.Placed, first.state)
	assert.InDelta(t, 9, first.sd, 1e-9, "taken, and no surer for that")

	s, ok := b.Selected()
	require.True(t, ok)
	require.Equal(t, geometry.TrailHip, s.Point)
	b.Nudge(3, 0)
	assert.Equal(t, geometry.Placed, mark(geometry.TrailHip).state)
	assert.Zero(t, mark(geometry.TrailHip).sd, "moved by hand, it has the hand's error")

	b.Accept()
	b.Delete()
	assert.False(t, mark(geometry.LeadKnee).there, "refused")

	assert.Equal(t, 1, b.Waiting())
	assert.Contains(t, b.AcceptAll(), "1 mark taken")
	assert.Equal(t, geometry.Placed, mark(geometry.TrailKnee).state)
	assert.Zero(t, b.Waiting())
	b.Undo()
	assert.Equal(t, geometry.Proposed, mark(geometry.TrailKnee).state, "all at once, and back at once")
}
