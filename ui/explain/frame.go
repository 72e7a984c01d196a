package explain

import (
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/geometry"
)

// Line is one of the lines that follow from marks.
type Line uint8

// The lines, in the order in which they are offered.
const (
	AnkleKneeLine Line = iota // ankle, back of the knee, and on to the hip
	HipLine                   // through both hips
	ShoulderLine              // through both shoulders
	FootLine                  // heel to toe, and on
	ShaftPlane                // the plane of the shaft at address, seen edge-on
	TrunkLine                 // middle of the hips to middle of the shoulders

	// NumLines counts the lines; a Line is an index below it.
	NumLines = iota
)

var lineNames = [NumLines]string{"ankle-knee line", "hip line", "shoulder line", "foot direction", "shaft plane", "trunk line"}

// String returns the line's name.
func (l Line) String() string {
	if int(l) < NumLines {
		return lineNames[l]
	}
	return "unknown line"
}

// ParseLine returns the line with the given name; settings of before November 2026
// call the first one otherwise.
func ParseLine(name string) (Line, bool) {
	if name == "leg line" {
		return AnkleKneeLine, true
	}
	i := slices.Index(lineNames[:], name)
	return Line(max(i, 0)), i >= 0
}

// InMotion is the position of a frame between key positions, where its points were followed
// to it.
const InMotion geometry.PositionName = "in motion"

// Set is a choice of lines.
type Set [NumLines]bool

// Spot is where a point is seen.
type Spot struct {
	At    geometry.ImagePt // upright pixels
	Known bool
	// Fitted says that nobody marked the point here: the fit puts it there,
	// from the other view.
	Fitted bool
}

// Frame is one frame of a clip with everything that can be drawn on it.
type Frame struct {
	View     geometry.View
	Handed   geometry.Handed
	Position geometry.PositionName // "" where the frame is no key position
	// Width and Height are the size of the upright picture, pixels.
	Width, Height float64
	// Spots are where the points are seen at this position.
	Spots [geometry.NumPoints]Spot
	// Shaft is the club at address in this clip: grip and clubhead.
	Shaft [2]Spot
	// Seen is what the fit adds.
	Seen Seen
	// Numbers are the measures of this position as they are written, each with
	// its interval, by name.
	Numbers map[string]string
	// Drawings are the coach's own on this frame.
	Drawings []annotations.Drawing
	// Paired says that the other view is shown beside this one: a number that
	// belongs to the face-on view is not written down the line as well.
	Paired bool
	// ClickSDPx is the standard deviation of one coordinate of what the coach
	// places, pixels; 0 means the usual.
	ClickSDPx float64
}

// NewFrame gathers the marks and drawings of a frame of a swing's clip. seen is
// what the fit expects at the key position, if there is one, and written the
// measures' texts there. The clip must be in the swing.
func NewFrame(l *annotations.Lesson, swing, clip string, index int, seen Seen, written map[string]string) *Frame {
	sw := l.Swing(swing)
	c := sw.Clip(clip)
	f := &Frame{
		View: c.View, Handed: l.HandedIn(c), Width: float64(c.Width), Height: float64(c.Height),
		Seen: seen, Numbers: written,
	}
	for i := range sw.Drawings {
		if d := &sw.Drawings[i]; d.On(clip, index) {
			f.Drawings = append(f.Drawings, *d)
		}
	}
	position, ok := sw.PositionAt(clip, index)
	if !ok {
		return f
	}
	f.Position = position
	f.Spots = seen.Spots
	for i := range sw.Marks {
		m := &sw.Marks[i]
		if m.Clip != clip || m.State == geometry.Hidden {
			continue
		}
		if m.Position == position {
			f.Spots[m.Point] = Spot{At: m.At, Known: true}
		}
		if m.Position == geometry.Address {
			switch m.Point {
			case geometry.Grip:
				f.Shaft[0] = Spot{At: m.At, Known: true}
			case geometry.Clubhead:
				f.Shaft[1] = Spot{At: m.At, Known: true}
			}
		}
	}
	return f
}

// sided is a line on one side of the body.
func sided(p geometry.Point, trail bool) geometry.Point {
	if trail {
		return p.Opposite()
	}
	return p
}

// spots returns where points are; ok is false where one of them is not known.
func (f *Frame) spots(points ...geometry.Point) (at []Spot, ok bool) {
	for _, p := range points {
		if !f.Spots[p].Known {
			return nil, false
		}
		at = append(at, f.Spots[p])
	}
	return at, true
}

// Needs says why a line can't be drawn on this frame and what to do about it,
// or returns "" where it can be.
func (f *Frame) Needs(l Line) string {
	if (l == AnkleKneeLine || l == ShaftPlane) && f.View != geometry.DownTheLine {
		return "is read down the line"
	}
	if f.Position == "" {
		return "stands at key positions, and between them once the swing is followed (I)"
	}
	missing := func(points ...geometry.Point) string {
		var names []string
		for _, p := range points {
			if !f.Spots[p].Known {
				names = append(names, p.String())
			}
		}
		if len(names) == 0 {
			return ""
		}
		return "needs the " + join(names) + " marked here"
	}
	either := func(a, b string) string {
		if a == "" || b == "" {
			return ""
		}
		return a
	}
	switch l {
	case AnkleKneeLine:
		return either(missing(geometry.LeadAnkle, geometry.LeadKnee, geometry.LeadHip), missing(geometry.TrailAnkle, geometry.TrailKnee, geometry.TrailHip))
	case HipLine:
		return missing(geometry.LeadHip, geometry.TrailHip)
	case ShoulderLine:
		return missing(geometry.LeadShoulder, geometry.TrailShoulder)
	case FootLine:
		return either(missing(geometry.LeadHeel, geometry.LeadToe), missing(geometry.TrailHeel, geometry.TrailToe))
	case TrunkLine:
		return missing(geometry.LeadHip, geometry.TrailHip, geometry.LeadShoulder, geometry.TrailShoulder)
	case ShaftPlane:
		if !f.Shaft[0].Known || !f.Shaft[1].Known {
			return "needs the grip and the clubhead marked at address, down the line"
		}
	}
	return ""
}

// join lists names: "a", "a and b", "a, b and c".
func join(names []string) string {
	n := len(names)
	if n < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
}
