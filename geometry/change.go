package geometry

import "math"

// Change is the difference between two visits' means of one measure.
type Change struct {
	Value, Sigma  float64 // later − earlier
	DF            float64 // degrees of freedom of Sigma; +Inf where the spread is assumed
	Low95, High95 float64
	// Probability is the posterior one that the true change has the sign of Value.
	Probability float64
	Real        bool // the interval excludes zero

	Earlier, Later Mean
	Spread         Spread // of the golfer's swings, counted in

	another float64 // variance of one more swing of the later visit
}

// lastingCorrelation is how far what lasts of a coach's marking of one golfer is the
// same in two visits: the build is, the clothes and the cameras need not be (ours, not
// measured; 0 would make every interval a little too wide).
const lastingCorrelation = 0.5

// Told reports whether the direction of the change is settled: its probability is
// decided at least, 0 taking Decided.
func (c *Change) Told(decided float64) bool {
	if decided == 0 {
		decided = Decided
	}
	return c.Value != 0 && c.Probability >= decided
}

// Compare judges whether a golfer has changed from one visit to a later one, by the
// difference of the means of a measure. How far his swings differ is estimated from
// both and from others, visits of his besides these; where all of them are too few it
// is the usual spread (UsualSpread), which counts once for each swing. A change is real
// only if its 95 % interval excludes zero. Each of the two has a swing at least.
//
// What the swings of a visit share (Measure.Shared) counts once for each visit, and what
// is always there (Measure.Lasting) cancels by lastingCorrelation.
func Compare(earlier, later Visit, others []Visit, usual float64) Change {
	return CompareWith(earlier, later, SpreadOf(append([]Visit{earlier, later}, others...), usual))
}

// CompareWith is Compare where the spread is known.
func CompareWith(earlier, later Visit, s Spread) Change {
	a, b := earlier.Mean(s), later.Mean(s)
	c := Change{Value: b.Value - a.Value, Earlier: a, Later: b, Spread: s}
	known := c.known()
	c.Sigma = math.Sqrt(a.own + b.own + known)
	c.DF = s.freedom(a.own+b.own, 1+known/(a.own+b.own), mostFreeOfChange)
	half := studentT95(c.DF) * c.Sigma
	c.Low95, c.High95 = c.Value-half, c.Value+half
	c.Probability = 1
	if c.Sigma > 0 {
		c.Probability = studentCDF(math.Abs(c.Value)/c.Sigma, c.DF)
	}
	c.Real = c.Low95 > 0 || c.High95 < 0
	for i := range later {
		c.another += (sq(later[i].own()) + sq(s.SD)) / float64(len(later))
	}
	return c
}

// known is the variance of the change that does not come of how the swings differ.
func (c *Change) known() float64 {
	return c.Earlier.shared + c.Later.shared - 2*lastingCorrelation*c.Earlier.lasting*c.Later.lasting
}

// Changed is Compare of one swing each, of which nothing is known but their standard
// deviations.
func Changed(earlier, earlierSigma, later, laterSigma, spread float64) Change {
	return Compare(Visit{{Value: earlier, Sigma: earlierSigma}}, Visit{{Value: later, Sigma: laterSigma}}, nil, spread)
}

// MostAsked is how many swings a coach is asked to film at most.
const MostAsked = 10

// Settled returns how many swings the later visit would have to hold for the change to
// be real, if it stays as large as it is, the earlier visit being what it is. It is 0
// where MostAsked would not do, and where the change is real already.
func (c *Change) Settled() int {
	if c.Real || c.Value == 0 {
		return 0
	}
	known := c.known()
	for n := c.Later.N + 1; n <= MostAsked; n++ {
		own := c.Earlier.own + c.another/float64(n)
		s := c.Spread
		if s.Estimated {
			s.DF += float64(n - c.Later.N)
		} else if free := float64(n + c.Earlier.N - 2); free >= fewestFree {
			s.DF = free
		}
		if studentT95(s.freedom(own, 1+known/own, mostFreeOfChange))*math.Sqrt(own+known) < math.Abs(c.Value) {
			return n
		}
	}
	return 0
}
