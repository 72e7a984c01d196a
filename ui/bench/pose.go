package bench

import (
	"image"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/video/ball"
	"turngauge/video/club"
	"turngauge/video/pose"
)

const (
	// leastSeen is how sure the network must be that it sees a joint. Below
	// it elbows and wrists behind the body are off by a hand and more.
	leastSeen = 0.5
	// mostWander is how far a joint may wander between two looks, as a part
	// of the golfer's height.
	mostWander = 0.03
)

// looked reports whether a point can be looked for in a picture.
func looked(p geometry.Point) bool {
	if p == geometry.Grip || p == geometry.Clubhead || p == geometry.Ball {
		return true
	}
	_, ok := joints[p]
	return ok
}

// sighted is a figure in a picture with its sides told apart.
type sighted struct {
	fig      *pose.Figure
	view     geometry.View
	position geometry.PositionName
	swap     bool    // the network's left is the lead side of a left-hander, or it took front for back
	toward   float64 // +1 where the target, or the ball, lies to the right in the picture
}

func newSighted(f *pose.Figure, view geometry.View, handed geometry.Handed, position geometry.PositionName) sighted {
	g := sighted{fig: f, view: view, position: position, swap: handed == geometry.LeftHanded, toward: 1}
	if handed == geometry.LeftHanded {
		g.toward = -1
	}
	if g.backToFront() {
		g.swap = !g.swap
	}
	return g
}

// pairs are what tells whether the network took the golfer's front for his
// back. The arms cross, so they don't.
var pairs = [...]geometry.Point{geometry.LeadHip, geometry.LeadShoulder, geometry.LeadKnee, geometry.LeadAnkle}

// leastApart is how far both sides lie apart, as a part of the golfer's height,
// where they tell front from back.
const leastApart = 0.03

// backToFront reports whether the network has taken left for right: face-on the
// lead side lies toward the target, and down the line it is the far one. In the
// finish the golfer has turned to the target: face-on only the feet tell, and down the
// line, where his back is seen, the lead side lies away from the ball in the picture.
// How deep the network thinks that it lies is of no use there: on film of golfers it was
// wrong in 6 of 11 figures, the order in the picture in none.
func (g *sighted) backToFront() bool {
	right, wrong := g.order()
	return wrong > right
}

// order counts the pairs of joints that lie in the order of true sides, and in that of
// swapped ones.
func (g *sighted) order() (right, wrong int) {
	for _, p := range pairs {
		back := g.position == geometry.Finish && g.view == geometry.DownTheLine
		if g.position == geometry.Finish && !back && p != geometry.LeadAnkle {
			continue
		}
		lead, trail := g.landmark(p), g.landmark(p.Opposite())
		apart := (lead.X - trail.X) * g.toward
		switch {
		case back:
			apart = -apart
		case g.view == geometry.DownTheLine:
			apart = lead.Depth - trail.Depth
		}
		switch apart /= g.fig.Size(); {
		case apart > leastApart:
			right++
		case apart < -leastApart:
			wrong++
		}
	}
	return right, wrong
}

// name returns which landmark of the network a point is. Left is followed by
// right.
func (g *sighted) name(p geometry.Point) pose.Name {
	name := joints[p]
	switch {
	case g.swap && p.Side() == geometry.Lead:
		return name + 1
	case g.swap && p.Side() == geometry.Trail:
		return name - 1
	default:
		return name
	}
}

func (g *sighted) landmark(p geometry.Point) *pose.Landmark { return &g.fig.Landmarks[g.name(p)] }

// joint returns where a point is, and how sure that is; not where the network
// does not see it, nor for what it was not taught: belt, chest, club and ball.
func (g *sighted) joint(p geometry.Point) (Found, bool) {
	x, y, wander, ok := g.place(p)
	l, known := leanOf(g.view, g.position, p)
	if !ok || !known {
		return Found{}, false
	}
	size := g.fig.Size()
	return Found{
		Point: p,
		At: geometry.ImagePt{
			X: x - l.along/100*size*g.toward,
			Y: y - l.down/100*size,
		},
		SigmaPx:      math.Hypot(l.sd()/100*size, wander),
		SharedBiasPx: l.stays / 100 * size,
		State:        geometry.Proposed,
	}, true
}

// place returns where the network has a joint, and how far it wandered between
// two looks, pixels; not where it does not see it.
func (g *sighted) place(p geometry.Point) (x, y, wander float64, ok bool) {
	if _, ok := joints[p]; !ok {
		return 0, 0, 0, false
	}
	m := *g.landmark(p)
	if p == geometry.Head { // between the ears
		o := &g.fig.Landmarks[pose.RightEar]
		m.X, m.Y = (m.X+o.X)/2, (m.Y+o.Y)/2
		m.Seen, m.Wander = math.Min(m.Seen, o.Seen), math.Max(m.Wander, o.Wander)
	}
	size := g.fig.Size()
	return m.X, m.Y, m.Wander, m.Seen >= leastSeen && m.Wander <= mostWander*size && size > 0
}

// handsApart is how far the wrists may lie apart, as a part of the golfer's
// height, with both on the club.
const handsApart = 0.16

// hands says where to look for the shaft: where the network sees at least one
// hand on the club.
func (g *sighted) hands(statureM float64) (club.Hands, bool) {
	lead, okLead := g.hand(geometry.LeadWrist)
	trail, okTrail := g.hand(geometry.TrailWrist)
	size := g.fig.Size()
	h := club.Hands{PixelsPerMetre: size / statureM}
	switch {
	case okLead && okTrail && math.Hypot(lead.X-trail.X, lead.Y-trail.Y) <= handsApart*size:
		h.X, h.Y = (lead.X+trail.X)/2, (lead.Y+trail.Y)/2
	case okLead && !okTrail:
		h.X, h.Y = lead.X, lead.Y
	case okTrail && !okLead:
		h.X, h.Y = trail.X, trail.Y
	default:
		return h, false
	}
	return h, true
}

// hand returns the middle of a hand, between the wrist and the knuckle of the
// first finger.
func (g *sighted) hand(wrist geometry.Point) (geometry.ImagePt, bool) {
	w := g.landmark(wrist)
	k := &g.fig.Landmarks[g.name(wrist)+pose.LeftIndexFinger-pose.LeftWrist]
	return geometry.ImagePt{X: (w.X + k.X) / 2, Y: (w.Y + k.Y) / 2}, w.Seen >= leastSeen
}

const (
	// usualStatureM and usualClubM stand for what is not known.
	usualStatureM, usualClubM = 1.72, 0.95
	// buttM is how far the butt of the club lies beyond the middle of the
	// upper hand, and lowerM beyond that of the lower one (common practice, no
	// source).
	buttM, lowerM = 0.06, 0.09
	// clubSigmaM is how far a proposed butt or clubhead strays, one coordinate.
	// The head's middle lies beside the shaft by about as much.
	gripSigmaM, headSigmaM = 0.03, 0.03
	// leastStillPart is which part of the club's length is seen from the hands
	// on with the head on the ground, in either view: a stripe that ends sooner
	// is lost before the head.
	leastStillPart = 0.7
)

// club returns the butt of the club and its head on a shaft that was found.
func (g *sighted) club(s club.Shaft, position geometry.PositionName, statureM, clubM float64) []Found {
	perM := g.fig.Size() / statureM
	dx, dy := (s.ToX-s.FromX)/s.Length, (s.ToY-s.FromY)/s.Length
	var out []Found
	still := position == geometry.Address || position == geometry.Impact
	if !still || s.Length >= leastStillPart*clubM*perM {
		out = append(out, Found{
			Point: geometry.Clubhead, At: geometry.ImagePt{X: s.ToX, Y: s.ToY},
			SigmaPx: headSigmaM * perM, State: geometry.Proposed,
		})
	}
	hand, ok := g.hand(geometry.LeadWrist)
	beyond := buttM
	if !ok {
		hand, ok = g.hand(geometry.TrailWrist)
		beyond = lowerM
	}
	if !ok {
		return out
	}
	// The butt is foreshortened as the rest of the club is.
	along := (hand.X-s.FromX)*dx + (hand.Y-s.FromY)*dy
	back := beyond * perM * math.Min((s.Length-along)/((clubM-beyond)*perM), 1)
	return append(out, Found{
		Point: geometry.Grip, At: geometry.ImagePt{X: s.FromX + (along-back)*dx, Y: s.FromY + (along-back)*dy},
		SigmaPx: gripSigmaM * perM, State: geometry.Proposed,
	})
}

// Look finds in the picture of the key position's frame what the network and the
// shaft's stripe tell of it: every point that they are sure of, whether it is
// wanted or not. standing is the clip's background, nil where it isn't known.
func (f *Following) Look(finder *pose.Finder, im, standing *image.RGBA) []Found {
	var fig pose.Figure
	var ok bool
	if f.GolferAt == (geometry.ImagePt{}) {
		fig, ok = finder.Find(im)
	} else {
		fig, ok = finder.FindAt(im, f.GolferAt.X, f.GolferAt.Y)
	}
	if !ok {
		return nil
	}
	g := newSighted(&fig, f.View, f.Handed, f.Position)
	var out []Found
	for p := range geometry.Point(geometry.NumPoints) {
		if x, ok := g.joint(p); ok {
			out = append(out, x)
		}
	}
	stature, length := f.StatureM, f.ClubM
	if !(stature > 0) {
		stature = usualStatureM
	}
	if !(length > 0) {
		length = usualClubM
	}
	if h, ok := g.hands(stature); ok {
		if s, ok := club.Find(im, standing, h); ok {
			out = append(out, g.club(s, f.Position, stature, length)...)
		}
	}
	if f.Position == geometry.Address {
		out = append(out, besideClub(im, out, g.fig.Size()/stature)...)
	}
	return out
}

const (
	// besideM is how far from the clubhead the ball is looked for at address
	// (common practice, no source: a ball teed beside a driver's toe), and
	// ballSigmaM how far it strays, one coordinate: its lower edge is in shade.
	besideM, ballSigmaM = 0.25, 0.008
)

// besideClub returns the ball at the clubhead that was found. Down the line the
// head often hides it: then nothing is said.
func besideClub(im *image.RGBA, found []Found, perM float64) []Found {
	i := slices.IndexFunc(found, func(x Found) bool { return x.Point == geometry.Clubhead })
	if i < 0 {
		return nil
	}
	b, ok := ball.Find(im, ball.Place{X: found[i].At.X, Y: found[i].At.Y, Within: besideM * perM, PixelsPerMetre: perM})
	if !ok {
		return nil
	}
	return []Found{{Point: geometry.Ball, At: geometry.ImagePt{X: b.X, Y: b.Y}, SigmaPx: ballSigmaM * perM, State: geometry.Proposed}}
}
