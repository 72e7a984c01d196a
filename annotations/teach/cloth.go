package teach

import (
	"turngauge/annotations"
	"turngauge/geometry"
)

// cloth are the points that a hand has to mark once.
var cloth = []geometry.Point{geometry.Buckle, geometry.Tailbone, geometry.Breastbone, geometry.UpperBack}

// A Want is a point of the clothes that a swing lacks at a key position of a clip, and the
// mark in another swing that it is looked for from.
type Want struct {
	Swing      string // its ID
	Clip, From *annotations.Clip
	Position   geometry.PositionName
	// Frame is that of the key position in Clip's file, FromFrame in From's.
	Frame, FromFrame int
	Mark             annotations.Mark // by hand, in From
	About            geometry.ImagePt // where in Clip it should be, by how the joints have moved
	PxPerM           float64          // at the golfer in Clip
}

// A Sought names a Want and the pictures that it is looked for with.
type Sought struct {
	swing, clip, from string
	position          geometry.PositionName
	point             geometry.Point
	frame, fromFrame  int
	at                geometry.ImagePt
}

// Sought is what the want comes to: another mark or another frame is another.
func (w *Want) Sought() Sought {
	return Sought{w.Swing, w.Clip.ID, w.From.ID, w.Position, w.Mark.Point, w.Frame, w.FromFrame, w.Mark.At}
}

// Wants lists what a swing of a lesson lacks that can be looked for in its pictures: points
// of the clothes that a hand has marked at the same key position of another swing that was
// swung alike, before a phone that has not moved. The nearest swing is taken.
func Wants(l *annotations.Lesson, swing string) []Want {
	i := l.SwingIndex(swing)
	if i < 0 {
		return nil
	}
	return (&ties{l, make(map[[4]int]float64)}).wants(i)
}

func (t *ties) wants(i int) (out []Want) {
	s := &t.l.Swings[i]
	for k := range s.Clips {
		c := &s.Clips[k]
		for _, p := range s.Positions {
			ref, ok := p.Frame(c.ID)
			if !ok || c.File == "" {
				continue
			}
			for _, point := range cloth {
				if _, marked := s.Mark(c.ID, p.Name, point); marked {
					continue
				}
				if w, ok := t.source(i, k, p.Name, point); ok {
					w.Frame = ref.Index
					out = append(out, w)
				}
			}
		}
	}
	return out
}

// source returns the mark by hand from which a point is looked for in a clip of a swing: that
// of the nearest swing in the order of the lesson.
func (t *ties) source(swing, clip int, position geometry.PositionName, point geometry.Point) (w Want, found bool) {
	s := &t.l.Swings[swing]
	c := &s.Clips[clip]
	nearest := len(t.l.Swings)
	for j := range t.l.Swings {
		o := &t.l.Swings[j]
		away := j - swing
		if away < 0 {
			away = -away
		}
		if away == 0 || away >= nearest || !alike(s, o) {
			continue
		}
		for n := range o.Clips {
			f := &o.Clips[n]
			m, ok := o.Mark(f.ID, position, point)
			ref, framed := o.FrameOf(f.ID, position)
			if !ok || !framed || f.View != c.View || f.File == "" || m.State != geometry.Placed || m.LowConfidence(f.View) || m.Unsure(f.View) || t.size(j, n, swing, clip) == 0 {
				continue
			}
			by, ok := moved(o, f.ID, s, c.ID, position)
			if !ok {
				continue
			}
			nearest, found = away, true
			w = Want{Swing: s.ID, Clip: c, From: f, Position: position, FromFrame: ref.Index, Mark: m,
				About: geometry.ImagePt{X: m.At.X + by.X, Y: m.At.Y + by.Y}, PxPerM: pxPerM(t.l, s, clip)}
		}
	}
	return w, found
}

// trunk are the joints that cloth goes with.
var trunk = []geometry.Point{geometry.LeadHip, geometry.TrailHip, geometry.LeadShoulder, geometry.TrailShoulder}

// moved is by how much the trunk has moved in the picture between two swings.
func moved(from *annotations.Swing, fromClip string, to *annotations.Swing, toClip string, position geometry.PositionName) (by geometry.ImagePt, ok bool) {
	n := 0.0
	for _, p := range trunk {
		a, okA := from.Mark(fromClip, position, p)
		b, okB := to.Mark(toClip, position, p)
		if okA && okB && a.State != geometry.Hidden && b.State != geometry.Hidden {
			by.X, by.Y, n = by.X+b.At.X-a.At.X, by.Y+b.At.Y-a.At.Y, n+1
		}
	}
	if n == 0 {
		return by, false
	}
	return geometry.ImagePt{X: by.X / n, Y: by.Y / n}, true
}
