package shots

import (
	"maps"
	"slices"
)

// What a list of shots may hold at most, and a name in one, in characters.
const (
	Most    = 5000
	MaxName = 200
)

// Shot is one ball, as a launch monitor or the coach's eye read it.
type Shot struct {
	ID string
	// Block names the run of shots it belongs to, such as "before" or "after".
	Block string
	Club  string
	// Values holds what was read; a reading that was not made is absent.
	Values map[Reading]float64
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

// Info says how a reading is written.
type Info struct {
	Name     Reading
	Unit     string // as it is kept
	Positive string // what a positive value means; "" where it can't be mistaken
	Most     float64
}

// Readings lists all readings in the order in which they are shown.
var Readings = []Info{
	{ClubPath, "deg", "in-to-out", 45}, {FaceToPath, "deg", "open to the path", 45},
	{StartLine, "deg", "to the far side of the target line", 60},
	{StrikeAcross, "mm", "toward the toe", 80}, {StrikeUp, "mm", "up the face", 80},
	{Carry, "m", "", 400}, {Offline, "m", "to the far side of the target line", 200},
	{ClubSpeed, "m/s", "", 80}, {BallSpeed, "m/s", "", 120}, {LaunchAngle, "deg", "up", 90},
	{DynamicLoft, "deg", "", 90}, {AttackAngle, "deg", "up", 30},
	{BackSpin, "rpm", "", 20000}, {SpinAxis, "deg", "curving to the far side", 90},
}

// InfoOf returns what is known of a reading.
func InfoOf(r Reading) (Info, bool) {
	for _, i := range Readings {
		if i.Name == r {
			return i, true
		}
	}
	return Info{}, false
}

// Clone returns a deep copy.
func (s *Shot) Clone() Shot {
	c := *s
	c.Values = maps.Clone(s.Values)
	if c.Values == nil {
		c.Values = make(map[Reading]float64)
	}
	return c
}

// List is the shots of a lesson, in the order in which they were hit.
type List []Shot

// Clone returns a deep copy.
func (l List) Clone() List {
	c := slices.Clone(l)
	for i := range c {
		c[i] = c[i].Clone()
	}
	return c
}

// Blocks returns the blocks of the shots, in order of first appearance.
func (l List) Blocks() []string {
	var blocks []string
	for i := range l {
		if !slices.Contains(blocks, l[i].Block) {
			blocks = append(blocks, l[i].Block)
		}
	}
	return blocks
}

// The blocks that are there before anyone names others.
const (
	Before = "before"
	After  = "after"
)

// Compared returns the blocks that are held against each other: the first two with
// shots, though never after against before. ok is false where fewer than two have
// shots; then they are before and after.
func (l List) Compared() (earlier, later string, ok bool) {
	blocks := l.Blocks()
	switch {
	case len(blocks) < 2:
		return Before, After, false
	case blocks[0] == After && slices.Contains(blocks, Before):
		return Before, After, true
	}
	return blocks[0], blocks[1], true
}

// Of returns the values of a reading in a block, in order.
func (l List) Of(block string, r Reading) []float64 {
	var out []float64
	for i := range l {
		if v, ok := l[i].Values[r]; ok && l[i].Block == block {
			out = append(out, v)
		}
	}
	return out
}
