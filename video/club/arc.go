package club

import (
	"cmp"
	"image"
	"math"
	"slices"
)

// Candidate is a stripe from the hands that may be the shaft.
type Candidate struct {
	Shaft
	// Angle is the direction from the hands to the clubhead in the picture, radians
	// clockwise from the right.
	Angle float64
	// Score is how much of a whole club's length shows a stripe more than not, 0 to 1.
	Score float64
}

const (
	// mostTried is how many stripes of a picture are looked at.
	mostTried = 6
	// leastScore and leastWholeCandidate are those of a stripe that is kept; a shaft that
	// is blurred by its motion shows less of itself than leastWhole.
	leastScore, leastWholeCandidate = 0.07, 0.6
)

// Candidates returns the stripes that may be the shaft, the likeliest first. It is Find
// without its doubts: Arc tells which of them, picture after picture, is a club that is
// swung.
func Candidates(im, standing *image.RGBA, h Hands) []Candidate {
	s, ok := newSearch(im, standing, h)
	if !ok {
		return nil
	}
	best := s.votes()
	var out []Candidate
	for range mostTried {
		top := mostVotes(best)
		v := best[top]
		whole := float64(s.last-s.first) / 2
		if v.score < leastScore*whole {
			break
		}
		for a := range best { // what lies near it is the same stripe
			if math.Abs(math.Remainder(float64(a-top)*coarseStep, 2*math.Pi)) <= apartAngle {
				best[a] = vote{}
			}
		}
		v = s.refine(v, s.narrow)
		c := Candidate{Shaft: s.shaft(v, 0), Angle: v.angle, Score: v.score / whole}
		again := slices.ContainsFunc(out, func(o Candidate) bool { return math.Abs(math.Remainder(o.Angle-c.Angle, 2*math.Pi)) <= apartAngle })
		if !again && c.Whole >= leastWholeCandidate && c.Length >= (beginM+leastM)*h.PixelsPerMetre {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Candidate) int { return cmp.Compare(b.Score, a.Score) })
	return out
}

// Look is what was seen in one picture, at a time in seconds, and how the shaft may turn
// from there to the next one.
type Look struct {
	Seconds float64
	Found   []Candidate
	Turning Turning // until the next look
}

// Turning bounds how fast a shaft turns in the picture, radians a second, clockwise
// positive.
type Turning struct{ Least, Most float64 }

const (
	// slack is how far beyond its bounds a shaft may seem to turn from one look to the
	// next, radians, for what candidates are off by.
	slack = 3 * math.Pi / 180
	// longestGapS is how long a shaft may be unseen within an arc.
	longestGapS = 0.12
	// perTurn is what each radian of turning takes from its score: of two ways that a shaft
	// can have gone it is the straighter one.
	perTurn = 0.1
	// perGap is what each look without the shaft within an arc takes from its score.
	perGap = 0.03
)

// Arc returns for each look, in order of time, which of its candidates is the shaft, −1
// for none: the row of candidates with the greatest sum of scores of which each can have
// turned to the next, by dynamic programming (Bellman 1957). A rail or a beam that stands
// still in the picture is no arc of a shaft that must turn.
func Arc(looks []Look) []int {
	type step struct {
		score      float64
		look, from int // the step before; look −1 for none
	}
	steps := make([][]step, len(looks))
	bestLook, best := -1, -1
	for i, l := range looks {
		steps[i] = make([]step, len(l.Found))
		for k, c := range l.Found {
			s := step{c.Score, -1, -1}
			var least, most float64 // radians since look j
			for j := i - 1; j >= 0 && l.Seconds-looks[j].Seconds <= longestGapS; j-- {
				h := looks[j+1].Seconds - looks[j].Seconds
				least, most = least+looks[j].Turning.Least*h, most+looks[j].Turning.Most*h
				for m := range looks[j].Found {
					by := math.Remainder(c.Angle-looks[j].Found[m].Angle, 2*math.Pi)
					if by < least-slack || by > most+slack {
						continue
					}
					if v := steps[j][m].score + c.Score - perGap*float64(i-j-1) - perTurn*math.Abs(by); v > s.score {
						s = step{v, j, m}
					}
				}
			}
			steps[i][k] = s
			if best < 0 || s.score > steps[bestLook][best].score {
				bestLook, best = i, k
			}
		}
	}
	out := make([]int, len(looks))
	for i := range out {
		out[i] = -1
	}
	for i, k := bestLook, best; i >= 0; {
		out[i] = k
		i, k = steps[i][k].look, steps[i][k].from
	}
	return out
}
