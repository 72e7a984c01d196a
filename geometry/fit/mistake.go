package fit

import (
	"cmp"
	"context"
	"math"
	"slices"

	"turngauge/geometry"
	"turngauge/geometry/fit/bundle"
	"turngauge/geometry/levmar"
)

// When a mistake is looked for, and what it takes to be said. The gains are
// logarithms of odds; what sound swings come to is in mistake_test.go.
//
// A swing with a mistake of the whole is one that another reading of the same marks
// explains better: another view, hand, mirror or instant. Two readings M are compared by
// the probability that each gives the marks y, all unknowns x integrated over. By Laplace's
// approximation (Tierney & Kadane 1986, J Am Stat Assoc 81:82), with H the second
// derivatives of the cost at the most probable x̂,
//
//	log p(y|M) ≈ log p(y, x̂|M) − ½ log |H| + const,
//
// the constant the same for readings with as many unknowns. Every reading is a cold fit
// of its own, so a sound swing is looked at only if something about it is unusual: the
// marks agree badly (mistakeScale), only a golfer or camera unlike any fits them
// (mistakeOfPosition), or those of one picture are off together (mistakeDistance).
const (
	// The marks agree this much less well than the coach's usually do, ...
	mistakeScale = 1.6
	// ... or what is known beforehand costs more than a sound swing's with so
	// many positions and clips, ...
	mistakeOfPosition, mistakeOfClip = 7, 10
	// ... or the marks of one clip at one position are this far off together
	// (Solution.distances; the furthest of a sound swing at 0.7 ± 0.1, of one
	// with a frame from the neighbouring position at 1.2 ± 0.2).
	mistakeDistance = 0.95
	// e²⁰ to one is far beyond what the prior odds of a mistake, one lesson in some
	// hundred, ask for: the model of the marks is only nearly right, and sound swings
	// that nobody can draw must not be told that they are wrong.
	mistakeGain = 20
	// Marked twice as well as usual, the same gain is a quarter as much in the cost at
	// the usual spread.
	usualGain = 4
	// That one position of one clip is of another instant takes away its marks:
	// each must gain as much (sound ones gain 0.3 ± 0.8, those of a neighbouring
	// position 6 ± 2), and the rest agree.
	instantGain    = 2.5
	instantScale   = 2.5
	instantTurn    = 7   // degrees; see framesApart
	apartTimes     = 1.7 // both clips agree better each by itself
	noBodyTimes    = 3.2 // the usual marking error
	mistakeMinimum = 16  // degrees of freedom, below which nothing is said
)

// Where the thresholds come from. An odds ratio E that the evidence gives is multiplied by the
// prior odds of the mistake. Mistakes of the whole are made in perhaps one lesson of a hundred,
// of some eight kinds: odds of 1 : 800, e^−6.7. To be wrong about a sound lesson at most once in
// a thousand then takes log E ≈ 14; the rest of mistakeGain is for the model, which is not the
// world (ours, all of these). How far sound and mistaken lessons lie apart stands beside each
// number; TestAccuracyWithMistakes prints both anew.
// findMistake looks for a mistake of the whole swing where its marks agree much
// less well than usual, or only with a golfer and cameras much unlike the usual. sw
// is the swing as it was given.
func (s *Solver) findMistake(ctx context.Context, sw geometry.Swing, sol *Solution) (*geometry.Mistake, error) {
	settled := sol.Summary.Status == geometry.Converged
	if sol.noise == nil || sol.noise.covariance == nil {
		return nil, nil
	}
	now, times := sol.Marking(), sol.agreement()
	strange := sol.priorCost() > float64(mistakeOfPosition*len(sw.Positions)+mistakeOfClip*len(sw.Clips))
	far := sol.farPlaces()
	stray := sol.strayed()
	if now.Freedom < mistakeMinimum || settled && times < mistakeScale && !strange && !stray && len(far) == 0 {
		return nil, nil
	}
	var best *geometry.Mistake
	take := func(m geometry.Mistake, least float64) {
		if m.Gain >= least && (best == nil || m.Gain > best.Gain) {
			m.AgreePx = now.AgreePx
			best = &m
		}
	}
	if times >= mistakeScale || strange || stray || !settled {
		m, err := tryReadings(ctx, sw, sol)
		if err != nil {
			return nil, err
		}
		take(m, leastGain(m.What))
	}
	if best == nil && len(sw.Clips) > 1 {
		for _, place := range far {
			m, err := s.tryInstant(ctx, sw, sol, place)
			if err != nil {
				return nil, err
			}
			take(m, mistakeGain)
		}
	}
	if best == nil && len(sw.Clips) > 1 && times >= mistakeScale {
		apart, err := s.agreeApart(ctx, sw)
		if err != nil {
			return nil, err
		}
		if apart > 0 && now.AgreePx > apartTimes*apart {
			return &geometry.Mistake{What: geometry.NotOneSwing, Clip: -1, Position: -1, AgreePx: now.AgreePx, MendedPx: apart}, nil
		}
	}
	if best == nil && times > noBodyTimes && settled {
		best = &geometry.Mistake{What: geometry.NoOneBody, Clip: -1, Position: -1, AgreePx: now.AgreePx}
		if len(far) > 0 {
			best.Clip, best.Position = far[0].clip, far[0].pos
		}
	}
	return best, nil
}

// mistakesOf lists the mistakes that another reading of the same marks mends.
func mistakesOf(sw *geometry.Swing) []geometry.Mistake {
	out := []geometry.Mistake{{What: geometry.ViewsSwapped, Clip: -1, Position: -1}, {What: geometry.OtherHand, Clip: -1, Position: -1}}
	for c := range sw.Clips {
		if len(sw.Clips) > 1 {
			out = append(out, geometry.Mistake{What: geometry.ClipMirrored, Clip: c, Position: -1})
		}
		if !sw.Clips[c].OffLine {
			out = append(out, geometry.Mistake{What: geometry.CameraOffLine, Clip: c, Position: -1})
		}
	}
	return out
}

// tryReadings looks which of the mistakes of mistakesOf explains the marks best; Gain is −1
// where none does better. Learning the spread of the marks takes most of the time, and the
// right reading is the best one without it, by far: of a swing marked as usual it costs
// 200, any other from 600 to 2000. So only those are fitted wholly that cost least at the
// usual spread.
func tryReadings(ctx context.Context, sw geometry.Swing, sol *Solution) (geometry.Mistake, error) {
	type reading struct {
		m    geometry.Mistake
		s    *Solver
		from *beginning
	}
	best := geometry.Mistake{Gain: -1}
	var readings []reading
	for _, m := range mistakesOf(&sw) {
		mended, _ := m.Mend(sw)
		if mended.Check() != nil {
			continue
		}
		mended = mended.Mirrored()
		s := NewSolver()
		b, err := s.placed(ctx, mended, bundle.NewProblem(&mended))
		if err != nil {
			return best, err
		}
		if b.cost < sol.usualCost-leastGain(m.What)/usualGain {
			readings = append(readings, reading{m, s, b})
		}
	}
	slices.SortStableFunc(readings, func(a, b reading) int { return cmp.Compare(a.from.cost, b.from.cost) })
	for _, r := range readings {
		if r.from.cost > readings[0].from.cost+mistakeGain {
			break
		}
		other, err := r.s.goOn(ctx, r.from)
		if err != nil {
			return best, err
		}
		if other.Summary.Status != geometry.Converged {
			continue
		}
		other.finish()
		if other.agreement() > noBodyTimes {
			continue
		}
		m := r.m
		m.Gain, m.MendedPx = other.logEvidence()-sol.logEvidence(), other.Marking().AgreePx
		// A camera that may stand anywhere has a wider prior, for which the evidence
		// pays once for each of its two unknowns: the logarithm of how much wider it
		// is. It is in the prior's normalisation, which the cost leaves out.
		if m.What == geometry.CameraOffLine {
			m.Gain -= bundle.OffLineWiderPrior
		}
		if m.Gain >= leastGain(m.What) && m.Gain > best.Gain {
			best = m
		}
	}
	return best, nil
}

// without solves a swing from nothing without looking for mistakes; nil where it
// can't be.
func (s *Solver) without(ctx context.Context, sw geometry.Swing) (*Solution, error) {
	if sw.Check() != nil {
		return nil, nil
	}
	sw = sw.Mirrored()
	other := NewSolver()
	sol, err := other.cold(ctx, sw, bundle.NewProblem(&sw))
	if err != nil {
		return nil, err
	}
	if sol.Summary.Status != geometry.Converged {
		return nil, nil
	}
	sol.finish()
	return sol, nil
}

// agreement is how many times the coach's usual the standard deviations of the
// marks are: the mean over the marks of their classes' scales.
//
// It is a geometric mean, exp of half the mean logarithm of the variances, weighted by the
// degrees of freedom that the fit leaves of each mark: a mark that nothing else checks agrees
// with itself whatever it is on.
func (s *Solution) agreement() float64 {
	mean, _ := bundle.NoisePrior(s.sw.Marking)
	var sum, n float64
	s.eachResidual(func(m *bundle.Mark, r *markResidual) {
		c, _ := geometry.ClassOf(m.Point)
		sum += r.kept * (s.p.LogScales[c] - mean[c] + math.Log(s.p.CellFactor(m.Pos, m.Point)))
		n += r.kept
	})
	if n == 0 {
		return 1
	}
	return math.Exp(sum / n / 2)
}

// priorCost is the part of the cost that is not the marks': how unlike the usual
// the golfer, his posture and the cameras are.
//
// Of n independent normal residuals the cost would be n/2 on average. Most priors here are far
// wider than golfers differ, and so sound swings cost far less than half their number:
// mistakeOfPosition and mistakeOfClip are set by what made-up golfers come to.
func (s *Solution) priorCost() float64 {
	sum := s.Summary.Cost
	s.eachResidual(func(_ *bundle.Mark, r *markResidual) {
		c, _ := levmar.Robust(r.squared)
		sum -= c
	})
	return sum
}

// logEvidence is the logarithm of the probability of the marks and the variance
// components, but for a constant that the number of marks and unknowns decides: the
// unknowns are integrated over by Laplace's approximation.
//
// Of p(y) = ∫ exp(−F(x)) dx about the minimum, exp(−F(x̂)) (2π)^(n/2) |H|^(−½): the determinant is
// what keeps a reading with looser unknowns from winning by having more room, and comes from the
// factors for nothing (levmar.Arrow.LogDeterminant).
func (s *Solution) logEvidence() float64 { return s.logPosterior() - s.post.LogDeterminant()/2 }

// logPosterior is the same at the most probable values of the unknowns.
func (s *Solution) logPosterior() float64 {
	sum := -s.Summary.Cost
	for pos := range s.p.Marks {
		for k := range s.p.Marks[pos] {
			sum -= 2 * math.Log(s.p.Marks[pos][k].Sigma)
		}
		// The normalisations of what the components scale: two coordinates a mark,
		// one length a segment.
		for _, l := range geometry.BodySegments {
			sum -= math.Log(s.p.GiveSigma(l.Segment))
		}
	}
	mean, prior := bundle.NoisePrior(s.sw.Marking)
	for i := range mean {
		for j := range mean {
			sum -= prior.At(i, j) * (s.p.LogScales[i] - mean[i]) * (s.p.LogScales[j] - mean[j]) / 2
		}
	}
	return sum
}

// tryInstant looks whether the marks of one clip at one position, taken away, make
// all others agree; Gain is −1 where they don't.
func (s *Solver) tryInstant(ctx context.Context, sw geometry.Swing, sol *Solution, at place) (geometry.Mistake, error) {
	m := geometry.Mistake{What: geometry.OtherInstant, Clip: at.clip, Position: at.pos, Gain: -1}
	mended, _ := m.Mend(sw)
	other, err := s.without(ctx, mended)
	if err != nil || other == nil || other.agreement() > instantScale {
		return m, err
	}
	// A sound mark that is taken away lowers the cost by half its two degrees of
	// freedom, and the probability of where it stands goes with its spread.
	// Readings of different marks: what the fewer marks no longer have to explain
	// has to be taken off. The density of a mark is exp(−d²/2σ²)/2πσ², whose
	// logarithm is expected at −1 − log σ² − log 2π.
	gain, n := other.logPosterior()-sol.logPosterior(), 0.0
	sol.eachResidual(func(k *bundle.Mark, r *markResidual) {
		if k.Clip == at.clip && k.Pos == at.pos {
			c, _ := geometry.ClassOf(k.Point)
			gain -= 1 + math.Log(r.variance) + other.p.LogScales[c] - sol.p.LogScales[c]
			n++
		}
	})
	if gain > instantGain*n {
		m.Gain, m.MendedPx = gain, other.Marking().AgreePx
	}
	return m, nil
}

// agreeApart is how well the marks agree where each clip is taken for a swing of
// its own, pixels; 0 where one can't be fitted by itself.
//
// If each clip by itself fits a golfer well and the two together don't, the clips are not of one
// swing, or not of one golfer; no one position or reading is to blame. A clip alone has half of
// the marks and less than half of the checks, and always agrees somewhat better: hence apartTimes.
func (s *Solver) agreeApart(ctx context.Context, sw geometry.Swing) (float64, error) {
	var sum, n float64
	for clip := range sw.Clips {
		alone := sw
		alone.Clips = sw.Clips[clip : clip+1]
		alone.Marks = nil
		for _, m := range sw.Marks {
			if m.Clip == clip {
				m.Clip = 0
				alone.Marks = append(alone.Marks, m)
			}
		}
		alone.Positions = slices.Clone(sw.Positions)
		for i := range alone.Positions {
			p := &alone.Positions[i]
			for _, of := range []*[]float64{&p.Seconds, &p.FrameSeconds, &p.OffSeconds} {
				*of = (*of)[min(clip, len(*of)):min(clip+1, len(*of))]
			}
		}
		sol, err := s.without(ctx, alone)
		if err != nil || sol == nil {
			return 0, err
		}
		k := sol.Marking()
		if k.Freedom < mistakeMinimum {
			return 0, nil
		}
		sum += sq(k.AgreePx) * float64(len(alone.Marks))
		n += float64(len(alone.Marks))
	}
	return math.Sqrt(sum / n), nil
}
