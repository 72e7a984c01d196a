package geometry

import "math"

// Handed says which way round a golfer plays. A left-hander is measured in
// the mirror: image x is flipped, then everything is the same.
type Handed uint8

// The two ways round. The zero value is right-handed.
const (
	RightHanded Handed = iota
	LeftHanded
)

// Sex chooses the row of the segment-mass table; unset uses the mean of both.
type Sex uint8

// The rows of the segment-mass table.
const (
	SexUnset Sex = iota
	Female
	Male
)

// View says from where a clip was filmed.
type View uint8

// The views that are measured. The zero value means unset.
const (
	ViewUnset View = iota
	// FaceOn looks at the golfer's front, along -z.
	FaceOn
	// DownTheLine looks from behind toward the target, along +x.
	DownTheLine
)

// String returns the view's name as the lesson document spells it.
func (v View) String() string {
	switch v {
	case FaceOn:
		return "face-on"
	case DownTheLine:
		return "down-the-line"
	default:
		return "unset"
	}
}

// PositionName names an instant of the swing. A coach may add others to the
// ones below; those get the measures that need no particular instant.
type PositionName string

// The key positions of a swing, in order of time.
const (
	Address       PositionName = "address"
	ClubLevelBack PositionName = "club level back"
	LeadArmLevel  PositionName = "lead arm level"
	Top           PositionName = "top"
	Delivery      PositionName = "delivery"
	Impact        PositionName = "impact"
	Finish        PositionName = "finish"
)

// KeyPositions lists the key positions in order of time.
var KeyPositions = []PositionName{
	Address, ClubLevelBack, LeadArmLevel, Top, Delivery, Impact, Finish,
}

// At puts the position's name into a sentence: "at the top".
func (p PositionName) At() string {
	switch p {
	case Top, Finish:
		return "at the " + string(p)
	default:
		return "at " + string(p)
	}
}

// MarkState says how a mark came about.
type MarkState uint8

// The states of a mark. Hidden means the coach says the point can't be seen:
// it carries no coordinates and adds nothing to the fit.
const (
	Placed MarkState = iota
	Hidden
	Proposed
	Tracked
)

// Mark is one point seen in one clip at one key position.
type Mark struct {
	Clip     int // index into Swing.Clips
	Position int // index into Swing.Positions
	Point    Point
	At       ImagePt // upright pixels; unused when Hidden
	// SigmaPx is the standard deviation of one coordinate of the mark in
	// pixels; 0 means the default for its point and state.
	SigmaPx float64
	// SharedBiasPx is the part of SigmaPx by which this point is off, the same at all
	// positions in this clip, as what a program sees on one golfer is: the rest
	// of its variance is anew in each mark. 0 for a mark by hand.
	SharedBiasPx float64
	State        MarkState
	// LowConfidence says that the mark stands where the program saw the point: advice
	// may ask for it to be placed by hand, which is more exact.
	LowConfidence bool
}

// Direction says how a line on the ground lies.
type Direction uint8

// Directions of a ground line; DirectionUnset uses its length only.
const (
	DirectionUnset Direction = iota
	AlongTargetLine
	AcrossTargetLine
)

// GroundLine is a stick or mat edge on the ground with both ends marked in
// one clip.
type GroundLine struct {
	LengthM float64 // metres; 0 means unknown
	Along   Direction
	Ends    [2]ImagePt
	SigmaPx float64 // of one coordinate of an end; 0 means the default
}

// Clip is what the fit needs to know of one clip.
type Clip struct {
	View          View
	Width, Height int     // upright pixels
	FocalPx       float64 // 0 means unknown: a typical phone is assumed
	FocalRelSigma float64 // relative standard deviation; 0 means the default
	GroundLines   []GroundLine
	// OffLine says that the camera stood far from the line that the view is
	// named after; the marks then say where.
	OffLine bool
	// Mirrored says that the clip is a mirror image, as some selfie cameras film.
	Mirrored bool
	// Clock says whether the clip's times are those of life. Where they are not, the
	// Seconds of its frames are NaN.
	Clock Clock
	// Stand numbers where the phone stood: elsewhere in clips of one view with other
	// numbers. 0 means unknown.
	Stand int
}

// Clock says what is known of a clip's times.
type Clock uint8

// What is known. The zero value is the usual case.
const (
	LifesTime   Clock = iota
	ClockOpen         // it looks like slow motion of a rate that nobody has told
	ClockUneven       // its speed changes on the way
)

// Position is one instant of the swing, with the frame chosen for it in each
// clip.
type Position struct {
	Name PositionName
	// Seconds holds, for each clip, the time of the chosen frame on that
	// clip's own clock, or NaN where no frame is chosen.
	Seconds []float64
	// FrameSeconds holds, for each clip, how long one frame lasts, or 0 where
	// it is not known.
	FrameSeconds []float64
	// OffSeconds holds, for each clip, by how much more than half a frame the
	// chosen frame may lie from the instant: one standard deviation, seconds, as of
	// a position that a program proposed. 0, or too short a slice, for none.
	OffSeconds []float64
}

// Golfer is what is known of the golfer before anything is marked. Zero
// numbers mean unknown.
type Golfer struct {
	Handed        Handed
	StatureM      float64
	StatureSigmaM float64
	MassKg        float64
	Sex           Sex
}

// Swing is everything known and marked of one swing: the input of the fit.
type Swing struct {
	Golfer      Golfer
	ClubLengthM float64 // 0 means unknown
	// ClickSigmaPx is the coach's own repeatability: the standard deviation
	// of one coordinate of a placed mark, pixels; see Repeatability. 0 means
	// the usual 2.5 px.
	ClickSigmaPx float64
	// Marking is how well the coach is known to mark, from earlier lessons
	// (LearnMarking); nil means nothing is known.
	Marking   *MarkingPrior
	Clips     []Clip
	Positions []Position
	Marks     []Mark
}

// Flipped reports whether the golfer of a clip looks like a left-hander: he is one,
// or the clip is a mirror image, but not both.
func (sw *Swing) Flipped(clip int) bool {
	return (sw.Golfer.Handed == LeftHanded) != sw.Clips[clip].Mirrored
}

// Mirrored returns a copy of the swing in which every clip shows a right-hander:
// marks and sticks of those that are Flipped are flipped in their pictures. The
// others are copied as they are, and mirroring twice gives the swing itself.
func (sw Swing) Mirrored() Swing {
	sw.Clips = append([]Clip(nil), sw.Clips...)
	sw.Positions = append([]Position(nil), sw.Positions...)
	sw.Marks = append([]Mark(nil), sw.Marks...)
	for i := range sw.Clips {
		sw.Clips[i].GroundLines = append([]GroundLine(nil), sw.Clips[i].GroundLines...)
	}
	for i := range sw.Marks {
		if m := &sw.Marks[i]; sw.Flipped(m.Clip) {
			m.At.X = float64(sw.Clips[m.Clip].Width) - m.At.X
		}
	}
	for i := range sw.Clips {
		if !sw.Flipped(i) {
			continue
		}
		for k := range sw.Clips[i].GroundLines {
			for j := range sw.Clips[i].GroundLines[k].Ends {
				e := &sw.Clips[i].GroundLines[k].Ends[j]
				e.X = float64(sw.Clips[i].Width) - e.X
			}
		}
	}
	return sw
}

// leastOwn is the least share of a mark's standard deviation that is its own.
const leastOwn = 0.3

// OwnSigmaPx is the standard deviation of what errs anew in a mark whose SigmaPx is
// known.
func (m *Mark) OwnSigmaPx() float64 {
	return math.Sqrt(math.Max(sq(m.SigmaPx)-sq(m.SharedBiasPx), sq(leastOwn*m.SigmaPx)))
}

// InstantSigma is the standard deviation, seconds, of how far the frame chosen for
// a position in a clip lies from the instant it stands for: anywhere within half a
// frame, and what OffSeconds adds. It is 0 where neither is known.
func (p *Position) InstantSigma(clip int) float64 {
	var frame, off float64
	if clip < len(p.FrameSeconds) && p.FrameSeconds[clip] > 0 {
		frame = p.FrameSeconds[clip] / math.Sqrt(12)
	}
	if clip < len(p.OffSeconds) {
		off = p.OffSeconds[clip]
	}
	return math.Hypot(frame, off)
}
