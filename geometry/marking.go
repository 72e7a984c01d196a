package geometry

// Marking is how well the marks of a swing agree with one body that moves, as its
// residuals show. Marks whose standard deviation was given (Mark.SigmaPx) are left
// out.
type Marking struct {
	// Classes holds the classes of points that are marked, in their order.
	Classes []ClassScale
	// AgreePx is the root mean square, over the marks, of the standard deviation
	// of one coordinate of a mark on the near side, pixels, with its 95 %
	// interval.
	AgreePx, AgreeLow95, AgreeHigh95 float64
	// WrongShare is the share of marks taken to be on the wrong thing.
	WrongShare float64
	// Freedom is how many degrees of freedom of the marks the body leaves: how
	// much there is to learn from. 300 with a full swing in two views, 60
	// face-on alone; below some 20 the scales are those of the prior.
	Freedom float64
	// Misfits are the classes that fit much less well at one position than
	// elsewhere, worst first.
	Misfits []Misfit
	// Evidence is what the next lesson of the same coach may be told:
	// LearnMarking.
	Evidence MarkingEvidence
}

// leastFreedom is how much there must be to learn from for a scale to be the
// marks' own more than the prior's.
const leastFreedom = 20

// Told reports whether the marks say how well they agree.
func (m *Marking) Told() bool { return m.Freedom >= leastFreedom && m.AgreePx > 0 }

// ClassScale is how well one class of points is marked.
type ClassScale struct {
	Class PointClass
	Marks int
	// Scale is the factor on the usual standard deviation of a mark, 1 being
	// the usual marking error (DefaultSigmaPx), with its 95 % interval.
	Scale, Low95, High95 float64
}

// Misfit is one class of points at one position that fits the body less well
// than the rest.
type Misfit struct {
	Class    PointClass
	Position int     // index into Swing.Positions
	Times    float64 // as far off as elsewhere
	Chance   float64 // probability that it is not
}
