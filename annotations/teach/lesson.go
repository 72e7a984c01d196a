package teach

import (
	"math"

	"turngauge/annotations"
	"turngauge/geometry"
)

// leastCommon is how many points must be marked in two clips at the same key positions for
// the sizes of the golfer in them to be compared, and mostLarger by what factor they may
// differ before one phone.
const (
	leastCommon = 6
	mostLarger  = 1.25
)

// A telling is what is known of one mark's place in a picture: what a program saw, and what
// a hand has made of it.
type telling struct {
	swing, clip int
	position    geometry.PositionName
	point       geometry.Point
	seen        annotations.Sighting
	by          [2]float64 // what the hand has moved it by, pixels
	hand        float64    // standard deviation of that, pixels; 0 where no hand has been there
	moved       bool       // and not only taken
}

// class is what two tellings must have in common to be of one error.
type class struct {
	view  geometry.View
	point geometry.Point
}

// teaches reports whether a point is one whose errors last.
func teaches(p geometry.Point) bool { return p != geometry.Clubhead && p != geometry.Ball }

// tellings returns what is known of the marks of a lesson that a program saw, apart by view
// and point, in document order.
func tellings(l *annotations.Lesson) map[class][]telling {
	out := make(map[class][]telling)
	for i := range l.Swings {
		s := &l.Swings[i]
		scales := make([]float64, len(s.Clips))
		for _, m := range s.Marks {
			c := s.ClipIndex(m.Clip)
			if c < 0 || !teaches(m.Point) || m.State == geometry.Hidden || m.State == geometry.Tracked {
				continue
			}
			view := s.Clips[c].View
			t := telling{swing: i, clip: c, position: m.Position, point: m.Point, seen: m.Sighting(view)}
			if t.seen.None() {
				continue
			}
			switch {
			case m.State == geometry.Proposed:
			case m.LowConfidence(view):
				if !m.Seen.None() {
					continue // taken where others had taught it: nothing new
				}
				t.hand = takenSigmas * t.seen.SDPx
			default:
				t.moved = true
				t.by = [2]float64{m.At.X - t.seen.At.X, m.At.Y - t.seen.At.Y}
				if t.hand = m.SDPx; t.hand == 0 {
					if scales[c] == 0 {
						scales[c] = pxPerM(l, s, c)
					}
					t.hand = handSigma(l, m.Point, view, scales[c])
				}
				most := mistaken * math.Hypot(t.seen.SDPx, t.hand)
				if math.Abs(t.by[0]) > most || math.Abs(t.by[1]) > most {
					continue // it was something else that was seen
				}
			}
			k := class{view, m.Point}
			out[k] = append(out[k], t)
		}
	}
	return out
}

const (
	// takenSigmas is within how many standard deviations of its place a mark lies that a
	// coach has looked at and left there.
	takenSigmas = 2
	// mistaken is from how many standard deviations on a correction is of something else.
	mistaken = 3.5
)

// handSigma is the standard deviation of a mark by the coach's hand, pixels.
func handSigma(l *annotations.Lesson, p geometry.Point, view geometry.View, pxPerM float64) float64 {
	click := l.ClickSDPx
	if click == 0 {
		click = geometry.ClickSigmaPx
	}
	return geometry.SigmaPxAt(p, geometry.Placed, view, pxPerM, click)
}

// upright is the part of his height by which a golfer's head lies above his ankles at
// address; he bends by about that much with each posture (the demo's golfer; common practice,
// no source).
const upright = 0.8

// pxPerM is about how many pixels a metre is at the golfer in a clip.
func pxPerM(l *annotations.Lesson, s *annotations.Swing, clip int) float64 {
	c, stature := &s.Clips[clip], l.Student.StatureM
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, m := range s.MarksAt(c.ID, geometry.Address) {
		switch {
		case m.State == geometry.Hidden:
		case m.Point == geometry.Head:
			top = m.At.Y
		case m.Point == geometry.LeadAnkle || m.Point == geometry.TrailAnkle:
			bottom = math.Max(bottom, m.At.Y)
		}
	}
	if high := bottom - top; high > 0 && !math.IsInf(high, 0) && stature > 0 {
		return high / (upright * stature)
	}
	return geometry.TypicalPxPerM * float64(max(c.Width, c.Height)) / 1920 // as sigma.go has it
}

// ties says how the clips of a lesson hang together.
type ties struct {
	l     *annotations.Lesson
	sizes map[[4]int]float64
}

// size returns how much larger the golfer is in a clip than in another, 0 where the two
// have nothing in common. They are of one view.
func (t *ties) size(swing, clip, of, ofClip int) float64 {
	if swing == of && clip == ofClip {
		return 1
	}
	key := [4]int{swing, clip, of, ofClip}
	r, known := t.sizes[key]
	if !known {
		r = t.compare(&t.l.Swings[swing], clip, &t.l.Swings[of], ofClip)
		t.sizes[key] = r
	}
	return r
}

func (t *ties) compare(s *annotations.Swing, clip int, o *annotations.Swing, other int) float64 {
	a, b := &s.Clips[clip], &o.Clips[other]
	switch {
	case a.Mirrored != b.Mirrored || a.Width != b.Width || a.Height != b.Height:
		return 0
	case a.Stand != 0 && b.Stand != 0:
		if a.Stand != b.Stand {
			return 0
		}
		return 1
	}
	spread, n := [2]float64{}, 0
	for i := range s.Positions {
		var places [2][]geometry.ImagePt
		for _, m := range s.MarksAt(a.ID, s.Positions[i].Name) {
			p, ok := o.Mark(b.ID, m.Position, m.Point)
			if ok && teaches(m.Point) && m.State != geometry.Hidden && p.State != geometry.Hidden {
				places[0], places[1] = append(places[0], m.At), append(places[1], p.At)
			}
		}
		n += len(places[0])
		for k := range places {
			spread[k] += scatter(places[k])
		}
	}
	if n < leastCommon || spread[1] == 0 {
		return 0
	}
	if r := math.Sqrt(spread[0] / spread[1]); r < mostLarger && r > 1/mostLarger {
		return r
	}
	return 0
}

// scatter is the sum of squares of places about their middle.
func scatter(places []geometry.ImagePt) (sum float64) {
	var x, y float64
	n := float64(len(places))
	for _, p := range places {
		x, y = x+p.X/n, y+p.Y/n
	}
	for _, p := range places {
		sum += (p.X-x)*(p.X-x) + (p.Y-y)*(p.Y-y)
	}
	return sum
}
