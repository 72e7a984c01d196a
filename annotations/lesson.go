package annotations

import (
	"path/filepath"
	"slices"

	"turngauge/annotations/jsontree"
	"turngauge/annotations/review"
	"turngauge/annotations/shots"
	"turngauge/geometry"
)

// Version is the version of the lesson document that this program reads and
// writes.
const Version = 1

// Kind is the value of the document's "kind" field.
const Kind = "turngauge-lesson"

// Lesson is one lesson: a student and the swings that were looked at.
type Lesson struct {
	ID       string
	Title    string
	Date     string // year-month-day, such as 2026-05-02; "" where not given
	Student  Student
	Coach    string
	Place    string
	Notes    string
	Question string // what the student wants to know, in his words
	// ClickSDPx is the coach's own click error: the standard deviation of one
	// coordinate of a mark placed twice, in pixels; 0 for the program's default.
	ClickSDPx    float64
	Swings       []Swing
	Prescription Prescription
	Shots        shots.List
	Yards        bool // the flights of its shots are shown in yards, as their table had them
	Reviews      review.List

	unknown *jsontree.Fields
	// unknownOfShots are those of each shot, by its ID. The map is never changed.
	unknownOfShots map[string]*jsontree.Fields
}

// Student is the golfer the lesson is about. Numbers that are 0 are not known.
type Student struct {
	// ID tells students of one name apart; "" in documents that were made before there
	// were any, in which the name does.
	ID         string
	Name       string
	Handed     geometry.Handed
	StatureM   float64 // metres
	StatureSDM float64 // standard deviation of StatureM, metres
	MassKg     float64
	Sex        geometry.Sex
	Handicap   string // as golfers write it: "12.4", a plus handicap "+2.1"; "" where not known
	Injuries   string // what the coach has to mind, in the student's words

	unknown *jsontree.Fields
}

// Swing is one swing, filmed in one or more clips.
type Swing struct {
	ID        string
	Label     string
	Tried     string // what was tried in it, "lead foot turned in"; "" for the student's usual swing
	Club      Club
	Clips     []Clip
	Positions []Position
	Marks     []Mark
	Drawings  []Drawing
	Repeats   []Repeat // points marked a second time, blind
	Findings  []Finding
	Followed  *Followed // nil where the swing was not followed

	unknown *jsontree.Fields
}

// Club is the club that was swung.
type Club struct {
	Name    string
	LengthM float64 // from butt end to the middle of the face, metres; 0 where not known

	unknown *jsontree.Fields
}

// Clip is one video of a swing. The file need not exist for measuring.
type Clip struct {
	ID            string
	View          geometry.View
	File          string // path, relative to the document's folder or absolute; "" where not known
	SHA256        string // fingerprint of the file, 64 hex digits; "" where not known
	Width, Height int    // of the upright picture, pixels
	// TimeBase is the length of one tick of PTS as a fraction of a second,
	// such as {1, 90000}; {0, 0} where not known.
	TimeBase [2]int64
	Part     Part // of a long take
	// FilmedFPS is how many frames a second the camera took of a clip that plays
	// slower, or faster, than life; 0 for one that plays at life's speed.
	FilmedFPS float64
	// Mirrored says that the picture is a mirror image, as some selfie cameras
	// film. Marks lie where they are seen in it.
	Mirrored bool
	// Speed is what the coach says of a clip without FilmedFPS.
	Speed       Speed
	FocalPx     float64 // focal length in pixels; 0 where not known
	FocalRelSD  float64 // relative standard deviation of FocalPx; 0 for the default
	GroundLines []GroundLine
	// GolferAt is where the coach has pointed at the golfer among others, upright
	// pixels; the zero value is nowhere.
	GolferAt geometry.ImagePt
	// Stand numbers where the phone stood: at the same place in clips of one view and
	// number, at another in others. 0 where that is not known.
	Stand int

	unknown *jsontree.Fields
}

// HandedIn returns which way round the student looks to play in a clip: the other
// way in a mirror image.
func (l *Lesson) HandedIn(c *Clip) geometry.Handed {
	if (l.Student.Handed == geometry.LeftHanded) != c.Mirrored {
		return geometry.LeftHanded
	}
	return geometry.RightHanded
}

// PathIn returns where the clip's file is when its document lies in a folder; ""
// where that is not known.
func (c *Clip) PathIn(folder string) string {
	if c.File == "" || filepath.IsAbs(c.File) {
		return c.File
	}
	return filepath.Join(folder, c.File)
}

// LinesOf returns the ground lines of a clip of the lesson: its own or, where it has none,
// those of another swing's that was filmed from the same stand. They are not to be changed.
func (l *Lesson) LinesOf(c *Clip) []GroundLine {
	if len(c.GroundLines) > 0 || c.Stand == 0 {
		return c.GroundLines
	}
	for i := range l.Swings {
		for k := range l.Swings[i].Clips {
			if o := &l.Swings[i].Clips[k]; len(o.GroundLines) > 0 && o.Stand == c.Stand && o.View == c.View && o.Width == c.Width && o.Height == c.Height {
				return o.GroundLines
			}
		}
	}
	return nil
}

// GroundLine is a stick or mat edge on the ground, marked at both ends.
type GroundLine struct {
	LengthM float64 // metres; 0 where not known
	Along   geometry.Direction
	Ends    [2]geometry.ImagePt // upright pixels
	SDPx    float64             // of one coordinate of an end; 0 for the default

	unknown *jsontree.Fields
}

// Position is a key position with the frame chosen for it in each clip.
type Position struct {
	Name   geometry.PositionName
	Frames []FrameRef

	unknown *jsontree.Fields
}

// FrameRef is one frame of one clip.
type FrameRef struct {
	Clip  string // the clip's ID
	Index int    // from 0, in the order in which frames are shown
	PTS   int64  // presentation time in the clip's TimeBase
	// PTSUnknown says that the document gives no PTS.
	PTSUnknown bool
	// Proposed says that the program proposed the frame, and the coach took it as
	// it was; one that he set himself is not.
	Proposed bool

	unknown *jsontree.Fields
}

// Mark is one point marked in one clip at one key position.
type Mark struct {
	Clip     string // the clip's ID
	Position geometry.PositionName
	Point    geometry.Point
	At       geometry.ImagePt // upright pixels; unused when State is Hidden
	SDPx     float64          // standard deviation of one coordinate; 0 for the default
	// SharedBiasPx is the part of SDPx by which the program is off alike at all
	// positions in this clip; 0 for a mark by hand.
	SharedBiasPx float64
	State        geometry.MarkState
	Seen         Sighting // where a program saw the point, of a mark that stands elsewhere

	unknown *jsontree.Fields
}

// NewLesson returns an empty lesson with a fresh ID.
func NewLesson() *Lesson { return &Lesson{ID: NewID()} }

// Clone returns a deep copy.
func (l *Lesson) Clone() *Lesson {
	c := *l
	c.Swings = make([]Swing, len(l.Swings))
	for i := range l.Swings {
		c.Swings[i] = l.Swings[i].clone()
	}
	c.Prescription = l.Prescription.clone()
	c.Shots = l.Shots.Clone()
	return &c
}

func (s *Swing) clone() Swing {
	c := *s
	c.Clips = slices.Clone(s.Clips)
	for i := range c.Clips {
		c.Clips[i].GroundLines = slices.Clone(c.Clips[i].GroundLines)
	}
	c.Positions = slices.Clone(s.Positions)
	for i := range c.Positions {
		c.Positions[i].Frames = slices.Clone(c.Positions[i].Frames)
	}
	c.Marks = slices.Clone(s.Marks)
	c.Drawings = slices.Clone(s.Drawings)
	for i := range c.Drawings {
		c.Drawings[i] = c.Drawings[i].clone()
	}
	c.Repeats = slices.Clone(s.Repeats)
	c.Findings = slices.Clone(s.Findings)
	return c
}

// Swing returns the swing with the given ID, or nil. It is not to be changed.
func (l *Lesson) Swing(id string) *Swing {
	if i := l.SwingIndex(id); i >= 0 {
		return &l.Swings[i]
	}
	return nil
}

// SwingIndex returns the index in Swings of the swing with the given ID, or -1.
func (l *Lesson) SwingIndex(id string) int {
	return slices.IndexFunc(l.Swings, func(s Swing) bool { return s.ID == id })
}

// Clip returns the clip with the given ID, or nil. It is not to be changed.
func (s *Swing) Clip(id string) *Clip {
	if i := s.ClipIndex(id); i >= 0 {
		return &s.Clips[i]
	}
	return nil
}

// ClipIndex returns the index in Clips of the clip with the given ID, or -1.
func (s *Swing) ClipIndex(id string) int {
	return slices.IndexFunc(s.Clips, func(c Clip) bool { return c.ID == id })
}

// ClipOf returns the first clip filmed from view, or nil.
func (s *Swing) ClipOf(view geometry.View) *Clip {
	for i := range s.Clips {
		if s.Clips[i].View == view {
			return &s.Clips[i]
		}
	}
	return nil
}

// Position returns the key position with the given name, or nil.
func (s *Swing) Position(name geometry.PositionName) *Position {
	if i := s.PositionIndex(name); i >= 0 {
		return &s.Positions[i]
	}
	return nil
}

// PositionIndex returns the index in Positions of the named position, or -1.
func (s *Swing) PositionIndex(name geometry.PositionName) int {
	return slices.IndexFunc(s.Positions, func(p Position) bool { return p.Name == name })
}

// Frame returns the frame chosen for the position in a clip.
func (p *Position) Frame(clip string) (FrameRef, bool) {
	for _, f := range p.Frames {
		if f.Clip == clip {
			return f, true
		}
	}
	return FrameRef{}, false
}

// FrameOf returns the frame chosen for the named position in a clip.
func (s *Swing) FrameOf(clip string, name geometry.PositionName) (FrameRef, bool) {
	if p := s.Position(name); p != nil {
		return p.Frame(clip)
	}
	return FrameRef{}, false
}

// PositionAt returns the key position whose frame in a clip is the given one.
func (s *Swing) PositionAt(clip string, index int) (geometry.PositionName, bool) {
	for i := range s.Positions {
		if f, ok := s.Positions[i].Frame(clip); ok && f.Index == index {
			return s.Positions[i].Name, true
		}
	}
	return "", false
}

// Mark returns the mark of a point in a clip at a key position.
func (s *Swing) Mark(clip string, position geometry.PositionName, point geometry.Point) (Mark, bool) {
	if i := s.MarkIndex(clip, position, point); i >= 0 {
		return s.Marks[i], true
	}
	return Mark{}, false
}

// MarkIndex returns the index in Marks of a mark, or -1.
func (s *Swing) MarkIndex(clip string, position geometry.PositionName, point geometry.Point) int {
	for i := range s.Marks {
		m := &s.Marks[i]
		if m.Point == point && m.Position == position && m.Clip == clip {
			return i
		}
	}
	return -1
}

// MarksAt returns the marks of a clip at a key position, in document order.
func (s *Swing) MarksAt(clip string, position geometry.PositionName) []Mark {
	var out []Mark
	for _, m := range s.Marks {
		if m.Clip == clip && m.Position == position {
			out = append(out, m)
		}
	}
	return out
}

// MarkedBefore returns the last position before the named one, in document
// order, that has a mark in the clip. The named position need not exist yet:
// then its place in the order of key positions counts.
func (s *Swing) MarkedBefore(clip string, name geometry.PositionName) (geometry.PositionName, bool) {
	end := s.PositionIndex(name)
	if end < 0 {
		end = s.placeFor(name, FrameRef{Index: -1})
	}
	for i := end - 1; i >= 0; i-- {
		for j := range s.Marks {
			if s.Marks[j].Clip == clip && s.Marks[j].Position == s.Positions[i].Name {
				return s.Positions[i].Name, true
			}
		}
	}
	return "", false
}

// placeFor returns the index in Positions at which a new position belongs: a
// key position by the order of key positions, another one by its frame.
func (s *Swing) placeFor(name geometry.PositionName, f FrameRef) int {
	rank := slices.Index(geometry.KeyPositions, name)
	for i := range s.Positions {
		if rank >= 0 {
			if slices.Index(geometry.KeyPositions, s.Positions[i].Name) > rank {
				return i
			}
			continue
		}
		if g, ok := s.Positions[i].Frame(f.Clip); ok && g.Index > f.Index {
			return i
		}
	}
	return len(s.Positions)
}
