package annotations

import (
	"fmt"
	"math"
	"slices"
)

// Shot is one ball, as a launch monitor or the coach's eye read it.
type Shot struct {
	ID string
	// Block names the run of shots it belongs to, such as "before" or "after".
	Block string
	Club  string
	// Values holds what was read; a reading that was not made is absent.
	Values map[Reading]float64

	unknown *unknownFields
}

// Reading is one number of a shot. Directions are from the golfer's own side:
// positive is away from the golfer for a path or a start (in-to-out, starting
// on the far side of the target line), and open for the face, so that
// left-handers read alike.
type Reading string

// The readings, with the units they are kept in.
const (
	ClubPath     Reading = "club path"       // degrees, positive in-to-out
	FaceToPath   Reading = "face to path"    // degrees, positive open to the path
	StartLine    Reading = "start direction" // degrees, positive to the far side of the target line
	StrikeAcross Reading = "strike across"   // millimetres from the middle of the face, positive to the toe
	StrikeUp     Reading = "strike up"       // millimetres from the middle of the face, positive up
	Carry        Reading = "carry"           // metres
	Offline      Reading = "offline"         // metres from the target line, positive to the far side
	ClubSpeed    Reading = "club head speed" // metres a second
	BallSpeed    Reading = "ball speed"      // metres a second
	LaunchAngle  Reading = "launch angle"    // degrees, positive up
	DynamicLoft  Reading = "loft at impact"  // degrees
	AttackAngle  Reading = "angle of attack" // degrees, positive up
	BackSpin     Reading = "back spin"       // turns a minute
	SpinAxis     Reading = "spin axis tilt"  // degrees, positive curving to the far side
)

// ReadingInfo says how a reading is written.
type ReadingInfo struct {
	Name     Reading
	Unit     string // as it is kept
	Positive string // what a positive value means; "" where it can't be mistaken
	Most     float64
}

// Readings lists all readings in the order in which they are shown.
var Readings = []ReadingInfo{
	{ClubPath, "deg", "in-to-out", 45}, {FaceToPath, "deg", "open to the path", 45},
	{StartLine, "deg", "to the far side of the target line", 60},
	{StrikeAcross, "mm", "toward the toe", 80}, {StrikeUp, "mm", "up the face", 80},
	{Carry, "m", "", 400}, {Offline, "m", "to the far side of the target line", 200},
	{ClubSpeed, "m/s", "", 80}, {BallSpeed, "m/s", "", 120}, {LaunchAngle, "deg", "up", 90},
	{DynamicLoft, "deg", "", 90}, {AttackAngle, "deg", "up", 30},
	{BackSpin, "rpm", "", 20000}, {SpinAxis, "deg", "curving to the far side", 90},
}

// InfoOf returns what is known of a reading.
func InfoOf(r Reading) (ReadingInfo, bool) {
	for _, i := range Readings {
		if i.Name == r {
			return i, true
		}
	}
	return ReadingInfo{}, false
}

func (s *Shot) clone() Shot {
	c := *s
	c.Values = make(map[Reading]float64, len(s.Values))
	for k, v := range s.Values {
		c.Values[k] = v
	}
	return c
}

// Blocks returns the blocks of the lesson's shots, in order of first
// appearance.
func (l *Lesson) Blocks() []string {
	var blocks []string
	for i := range l.Shots {
		if !slices.Contains(blocks, l.Shots[i].Block) {
			blocks = append(blocks, l.Shots[i].Block)
		}
	}
	return blocks
}

// The blocks that are there before anyone names others.
const (
	BeforeBlock = "before"
	AfterBlock  = "after"
)

// ComparedBlocks returns the blocks that are held against each other: the first
// two with shots, though never after against before. ok is false where fewer
// than two have shots; then they are before and after.
func (l *Lesson) ComparedBlocks() (earlier, later string, ok bool) {
	blocks := l.Blocks()
	switch {
	case len(blocks) < 2:
		return BeforeBlock, AfterBlock, false
	case blocks[0] == AfterBlock && slices.Contains(blocks, BeforeBlock):
		return BeforeBlock, AfterBlock, true
	}
	return blocks[0], blocks[1], true
}

// ReadingsOf returns the values of a reading in a block, in order.
func (l *Lesson) ReadingsOf(block string, r Reading) []float64 {
	var out []float64
	for i := range l.Shots {
		if v, ok := l.Shots[i].Values[r]; ok && l.Shots[i].Block == block {
			out = append(out, v)
		}
	}
	return out
}

// AddShots puts shots at the end of the lesson's. Their IDs come from the
// caller; see NewID.
type AddShots struct{ Shots []Shot }

// Label says how many.
func (e AddShots) Label() string {
	if len(e.Shots) == 1 {
		return "add a shot"
	}
	return fmt.Sprintf("add %d shots", len(e.Shots))
}

func (e AddShots) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Shots = slices.Clone(l.Shots)
	for i := range e.Shots {
		next.Shots = append(next.Shots, e.Shots[i].clone())
	}
	return &next, nil
}

// SetShot replaces the shot with the same ID.
type SetShot struct {
	Shot    Shot
	Gesture uint64 // as for SetMark
}

// Label says so.
func (e SetShot) Label() string { return "change a shot" }

func (e SetShot) mergeKey() any { return textKeyOf("shot "+e.Shot.ID, e.Gesture) }

func (e SetShot) apply(l *Lesson) (*Lesson, error) {
	i := slices.IndexFunc(l.Shots, func(s Shot) bool { return s.ID == e.Shot.ID })
	if i < 0 {
		return nil, fmt.Errorf("there is no shot %q in the lesson any more", e.Shot.ID)
	}
	next := *l
	next.Shots = slices.Clone(l.Shots)
	s := e.Shot.clone()
	s.unknown = l.Shots[i].unknown
	next.Shots[i] = s
	return &next, nil
}

// DropShots takes the shots of a block out, or one shot by its ID. What is not
// there is no error.
type DropShots struct{ Block, ID string }

// Label says so.
func (e DropShots) Label() string {
	if e.ID != "" {
		return "take a shot out"
	}
	return "take out the shots of " + e.Block
}

func (e DropShots) apply(l *Lesson) (*Lesson, error) {
	next := *l
	next.Shots = slices.DeleteFunc(slices.Clone(l.Shots), func(s Shot) bool {
		if e.ID != "" {
			return s.ID == e.ID
		}
		return s.Block == e.Block
	})
	if len(next.Shots) == len(l.Shots) {
		return l, nil
	}
	return &next, nil
}

// The shots of a lesson in the document:
//
//	"shots": [{"id": "01J…", "block": "before", "club": "7-iron", "club path": -3.1, "strike across": 8}]
//
// A reading is a field of its own name, in the unit of Readings.

const maxShots = 5000

func (r *reader) shot(o object) Shot {
	s := Shot{ID: o.text("id", required), Block: o.text("block", optional), Club: o.text("club", optional), Values: map[Reading]float64{}}
	for _, i := range Readings {
		if n := o.take(string(i.Name)); n != nil {
			s.Values[i.Name] = r.number(n, o.at(string(i.Name)))
		}
	}
	s.unknown = o.rest()
	return s
}

func (s *Shot) node() *node {
	var b builder
	b.text("id", s.ID)
	b.text("block", s.Block)
	b.text("club", s.Club)
	for _, i := range Readings {
		if v, ok := s.Values[i.Name]; ok {
			b.add(string(i.Name), floatNode(v))
		}
	}
	return b.done(s.unknown)
}

func (l *Lesson) checkShots(f *Faults) {
	if len(l.Shots) > maxShots {
		f.add("shots", "has %d entries; at most %d are allowed", len(l.Shots), maxShots)
		return
	}
	seen := make(map[string]int, len(l.Shots))
	for i := range l.Shots {
		s := &l.Shots[i]
		at := "shots" + index(i)
		f.id(at+".id", s.ID)
		f.once(seen, s.ID, at+".id", "shots", "shot", i)
		f.text(at+".block", s.Block, maxName)
		f.text(at+".club", s.Club, maxName)
		for _, k := range Readings {
			if v, ok := s.Values[k.Name]; ok && (math.IsNaN(v) || math.Abs(v) > k.Most) {
				f.add(at+"."+string(k.Name), "%g %s is no %s of a golf shot", v, k.Unit, k.Name)
			}
		}
	}
}
