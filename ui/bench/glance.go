package bench

import (
	"context"
	"image"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/video/club"
	"turngauge/video/jointpath"
	"turngauge/video/pose"
)

// glance is what one look at a picture tells of the golfer in it.
type glance struct {
	seconds float64 // of life
	fig     pose.Figure
	seen    bool // fig is found
	swapped bool // the network's left is his right
	hands   club.Hands
	holds   bool // hands is told
	clubs   []club.Candidate
}

// glances looks into pictures from one frame to another, in order of time, at most so
// many, and adds to what was seen in those before.
func (s *Instants) glances(ctx context.Context, finder *pose.Finder, from, to, most int, all []glance) ([]glance, error) {
	looks := min(most, to-from)
	for i := range looks + 1 {
		n := from + (to-from)*i/max(looks, 1)
		var before *glance
		if len(all) > 0 {
			before = &all[len(all)-1]
			if s.Seconds(n) <= before.seconds {
				continue
			}
		}
		im, err := s.Picture(ctx, n)
		if err != nil {
			return nil, err
		}
		g := glance{seconds: s.Seconds(n)}
		if before != nil && before.seen {
			g.fig, g.seen = finder.Look(im, before.fig.Next)
		}
		if !g.seen {
			if s.GolferAt == (geometry.ImagePt{}) {
				g.fig, g.seen = finder.Find(im)
			} else {
				g.fig, g.seen = finder.FindAt(im, s.GolferAt.X, s.GolferAt.Y)
			}
		}
		if s.View == geometry.FaceOn {
			s.lookForClub(im, &g, before)
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		all = append(all, g)
	}
	return all, nil
}

// lookForClub looks for what may be the shaft at the hands, or where they were in the
// picture before.
func (s *Instants) lookForClub(im *image.RGBA, g, before *glance) {
	if g.seen {
		stature := s.StatureM
		if !(stature > 0) {
			stature = usualStatureM
		}
		g.hands, g.holds = (&sighted{fig: &g.fig}).hands(stature)
	}
	if !g.holds {
		if before == nil || !before.holds {
			return
		}
		g.hands = before.hands
	}
	g.clubs = club.Candidates(im, s.Standing, g.hands)
}

const (
	// perPair is how much likelier true sides are than swapped ones for each pair of
	// joints that says so by itself, as a logarithm: one in twelve errs (ours).
	perPair = 2.5
	// strayPart is how far a joint goes from look to look, as a part of the golfer's
	// height, and seldom how unlikely it is, as a logarithm, that the network changes its
	// mind of the sides.
	strayPart, seldom = 0.04, 3.0
	mostSure          = 30 // of what a change of mind says
)

// tellSides tells in which pictures the network has taken left for right: by what each
// picture says of that, and by where the joints were in the one before.
func (s *Instants) tellSides(list []glance) {
	var seen []*glance
	var own, change []float64
	for i := range list {
		g := &list[i]
		if !g.seen {
			continue
		}
		t := sighted{fig: &g.fig, view: s.View, position: geometry.Top, swap: s.Handed == geometry.LeftHanded, toward: 1}
		if s.Handed == geometry.LeftHanded {
			t.toward = -1
		}
		right, wrong := t.order()
		c := 0.0
		if n := len(seen); n > 0 {
			c = changed(&seen[n-1].fig, &g.fig)
		}
		seen, own, change = append(seen, g), append(own, perPair*float64(wrong-right)), append(change, c)
	}
	for i, swapped := range jointpath.Swapped(own, change) {
		seen[i].swapped = swapped != (s.Handed == geometry.LeftHanded)
	}
}

// changed is how much likelier it is that the network's sides are the other way in the
// second of two pictures than that they are not, as a logarithm: by how far left and right
// hips, shoulders, knees and ankles would have gone.
func changed(a, b *pose.Figure) float64 {
	stray := strayPart * b.Size()
	out := -seldom
	for _, left := range [...]pose.Name{pose.LeftHip, pose.LeftShoulder, pose.LeftKnee, pose.LeftAnkle} {
		square := func(from, to pose.Name) float64 {
			x, y := a.Landmarks[from].X-b.Landmarks[to].X, a.Landmarks[from].Y-b.Landmarks[to].Y
			return x*x + y*y
		}
		right := left.Opposite()
		out += (square(left, left) + square(right, right) - square(left, right) - square(right, left)) / (2 * stray * stray)
	}
	return math.Max(-mostSure, math.Min(out, mostSure))
}

const (
	// readArm is the standard deviation of what one look reads of the lead arm's level, as
	// a part of the golfer's height, of a wrist that is seen for sure; it grows with the
	// square of the doubt.
	readArm = 0.008
	// leastWrist is how sure the network must be of a wrist that says something.
	leastWrist = 0.5
	// armStir is how restless the level of the arm is, and gripStir that of one wrist less
	// the other, which hold one club: parts of the height, and of seconds to the power of
	// 3/2.
	armStir, gripStir = 2.0, 0.3
)

// armLevel tells when the lead arm is level on its way up: shoulder and wrist are equally
// high in the picture. Where the lead wrist is hidden, the trail wrist tells where it is,
// by what lies between them before and after.
func (s *Instants) armLevel(list []glance) (jointpath.Crossing, bool) {
	var sizes []float64
	for i := range list {
		if list[i].seen {
			sizes = append(sizes, list[i].fig.Size())
		}
	}
	if len(sizes) == 0 {
		return jointpath.Crossing{}, false
	}
	slices.Sort(sizes)
	size := sizes[len(sizes)/2]
	level := func(t *sighted, p geometry.Point) (down, sd float64) {
		l := t.landmark(p)
		if l.Seen < leastWrist {
			return 0, math.Inf(1)
		}
		lean, _ := leanOf(s.View, geometry.LeadArmLevel, p)
		return l.Y/size - lean.down/100, readArm / (l.Seen * l.Seen)
	}
	type levels struct{ seconds, shoulder, shoulderSD, lead, leadSD, trail, trailSD float64 }
	var looks []levels
	var less, arm []jointpath.Reading
	for i := range list {
		g := &list[i]
		if !g.seen {
			continue
		}
		t := &sighted{fig: &g.fig, view: s.View, swap: g.swapped}
		l := levels{seconds: g.seconds}
		l.shoulder, l.shoulderSD = level(t, geometry.LeadShoulder)
		l.lead, l.leadSD = level(t, geometry.LeadWrist)
		l.trail, l.trailSD = level(t, geometry.TrailWrist)
		looks = append(looks, l)
		less = append(less, jointpath.Reading{Seconds: l.seconds, Value: l.trail - l.lead, SD: math.Hypot(l.leadSD, l.trailSD)})
	}
	apart, haveApart := jointpath.Smooth(less, gripStir)
	for _, l := range looks {
		arm = append(arm, jointpath.Reading{Seconds: l.seconds, Value: l.lead - l.shoulder, SD: math.Hypot(l.leadSD, l.shoulderSD)})
		if haveApart {
			off, offSD := apart.At(l.seconds)
			arm = append(arm, jointpath.Reading{Seconds: l.seconds, Value: l.trail - off - l.shoulder, SD: math.Hypot(math.Hypot(l.trailSD, offSD), l.shoulderSD)})
		}
	}
	path, ok := jointpath.Smooth(arm, armStir)
	if !ok {
		return jointpath.Crossing{}, false
	}
	for _, c := range path.Crossings(0) {
		if !c.Upward { // of pixels, which count downward
			return c, true
		}
	}
	return jointpath.Crossing{}, false
}
