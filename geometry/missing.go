package geometry

// Why says what keeps a measure, or the whole swing, from being measured.
type Why uint8

// What keeps it. The zero value is nothing.
const (
	Measurable    Why = iota
	NotMarked         // Missing.Wanted has to be marked
	OneViewOnly       // and one view alone does not give it: Wanted has to be marked in the other
	NotDefined        // the marked points lie so that it has no value
	LeftOpen          // its interval is too wide to be of use: HalfWidth; Best may settle it
	Ambiguous         // a mirror image fits one view as well; Best may settle it
	NoTempo           // address, top and impact are not set in one clip, in order of time
	NoPosition        // Position is not set in the swing
	NoSuchMeasure     // there is no measure of that name there
	BadInput          // Fault
	Mistaken          // Mistake makes the numbers wrong
	NoClock           // the speed at which a clip plays is not known yet
	UnevenClock       // the speed at which a clip plays changes on the way
)

// Missing says why a measure could not be given at a position. Name is "" where
// the whole swing is meant.
//
// A number that is not given is not a failure: what is told in its place is which of the reasons
// holds, and what a coach can do about it. Half widths are in Unit; positions and points are the
// right-hander's.
type Missing struct {
	Name     string
	Position PositionName
	Why      Why
	Wanted   []Wanted
	// HalfWidth is half the 95 % interval that the marks leave, in Unit.
	HalfWidth float64
	Unit      Unit
	// Best is the mark that would settle it, nil for none.
	Best  *Suggestion
	Fault *InputFault
	// Mistake is the mistake of the whole swing, or of its position, for which it
	// is withheld.
	Mistake *Mistake
}

// Wanted is what has to be marked: a need, at some positions.
type Wanted struct {
	Need
	Positions []PositionName
	View      View // in that view; of use with OneViewOnly
}

// WaitsFor reports whether marking a point would bring the measure nearer.
func (m *Missing) WaitsFor(p Point) bool {
	for i := range m.Wanted {
		for _, w := range m.Wanted[i].Points {
			if w == p {
				return true
			}
		}
	}
	return m.Best != nil && m.Best.Point == p
}

// FaultKind is what is wrong with the input of a fit.
type FaultKind uint8

// The faults, with the fields of InputFault that belong to each.
const (
	NotANumber        FaultKind = iota // stature, mass, club length or click error
	StatureOutOfRange                  // Value, metres
	ClubOutOfRange                     // Value, metres
	ClickOutOfRange                    // Value, pixels
	NoClips
	NoPositions
	PositionTwice       // Position
	FrameRateOutOfRange // Position
	NoView              // Clip
	NoPictureSize       // Clip, Width, Height
	FocalOutOfRange     // Clip
	StickOutOfRange     // Clip
	StickTooShort       // Clip
	StrayMark           // Mark
	MarkTwice           // Point, Position, View
	MarkOutside         // Point, Position, View
)

// InputFault is something in a swing with which it can't be fitted. Clip and Mark
// are indices.
//
// Only the fields that are listed beside its kind mean anything; the others are zero. What to say
// of it is not decided here (package words of the annotations).
type InputFault struct {
	What          FaultKind
	Value         float64
	Clip, Mark    int
	Width, Height int
	Point         Point
	Position      PositionName
	View          View
}
