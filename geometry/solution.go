package geometry

// Unit is the unit a measure is given in.
type Unit string

// The units of measures.
const (
	Degrees     Unit = "deg"
	Centimetres Unit = "cm"
	Percent     Unit = "%"
	Ratio       Unit = "ratio"
	Seconds     Unit = "s"
)

// Group says in which part of the sheet a measure stands.
type Group string

// The groups of the sheet, in order.
const (
	SetUp     Group = "set-up"
	Backswing Group = "backswing"
	Downswing Group = "downswing"
	Strike    Group = "strike"
)

// Measure is one measured number with its uncertainty.
type Measure struct {
	Name       string // such as "pelvis turn"; see Definitions
	Position   PositionName
	Definition string // landmarks, plane and reference, in one line
	Group      Group
	Unit       Unit
	Value      float64
	Sigma      float64 // standard deviation of Value, same unit
	// Shared is the part of Sigma that the same golfer's other swings, marked by the
	// same coach and filmed by phones that stood where they stood, share: it rests on
	// the body's shape, the cameras and the lasting misplacement of the marks, and does
	// not fall with the number of swings. 0 where it is not known.
	Shared float64
	// Lasting is the part of Shared that is there whenever this coach marks this golfer:
	// that of the lasting misplacement of the marks.
	Lasting float64
	Low95   float64
	High95  float64
	Method  string // such as "joint fit, 2 views"
}

// Status says how a fit ended.
type Status string

// The ends of a fit. NotConverged still carries the best estimate found,
// which is not to be trusted.
const (
	Converged    Status = "converged"
	NotConverged Status = "not converged"
)

// Summary reports how a fit went.
type Summary struct {
	Status       Status
	Iterations   int
	Cost         float64 // half the sum of squared whitened residuals
	Observations int
	Unknowns     int
	Rank         int // of the posterior information matrix; below Unknowns means something is not determined
	// MirrorCost is the cost of the best solution on the other side of the
	// mirror ambiguity (turned toward instead of away), or 0 where there is none.
	MirrorCost float64
	// Warm says that the fit began from the Solver's last solution, to follow
	// the hand. That of a new Solver depends on the swing alone; this one may
	// differ from it, by less than is shown where both views are marked, by
	// more where one picture leaves the depth of an arm or a leg bimodal.
	Warm bool
}

// Suspect is a mark that does not agree with the others.
type Suspect struct {
	Mark       int     // index into Swing.Marks
	Swapped    bool    // it and Other look swapped: lead for trail
	Other      int     // index into Swing.Marks of the other of the two, else -1
	ResidualPx float64 // distance from the mark to where the fit puts the point
}

// Suggestion is a mark that would sharpen a measure.
type Suggestion struct {
	Clip, Position int
	Point          Point
	// View and MarkAt name the clip and the position of the mark.
	View   View
	MarkAt PositionName
	// ByHand says that the point is marked already, but not by hand.
	ByHand bool
	// HalfWidthNow and HalfWidthThen are half the 95 % interval of the
	// measure as it is and as it is expected to be with the mark added.
	HalfWidthNow, HalfWidthThen float64
	// Measure, At and Unit are of the measure that is sharpened.
	Measure string
	At      PositionName
	Unit    Unit
}

// CameraEstimate is a fitted camera.
type CameraEstimate struct {
	Clip   int
	Camera Camera // in the golfer's own frame; for a left-hander, of the mirrored picture
}

// PointEstimate is a fitted 3-D point.
type PointEstimate struct {
	Known      bool // false where nothing was marked that determines it
	At         WorldPt
	Covariance [3][3]float64 // m²
}
