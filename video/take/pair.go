package take

import (
	"cmp"
	"math"
	"slices"
)

// togetherS is how far apart one strike may be heard in two takes, seconds: the way of
// the sound (10 m are 0.03 s), and two clocks that differ by 50 in a million over ten
// minutes.
const togetherS = 0.08

// Moment is a strike in a take.
type Moment struct {
	Seconds float64 // on the take's clock
	// Own says that it is the golfer's; else it may be another's, or no strike.
	Own bool
}

// ownWeight is what two swings that fall together count for, and otherWeight two sounds:
// those of the neighbours are heard in both takes as well.
const ownWeight, otherWeight = 1.0, 0.3

// Match says how two takes of the same swings belong together.
type Match struct {
	// Offset is what is to be added to a time of the first take to have that of the
	// second, seconds.
	Offset float64
	// Pairs are the swings that belong together, indices of own moments among all
	// moments of the two takes, in order of time.
	Pairs [][2]int
	// Score is what speaks for the offset, and Rival what speaks for the best one that
	// is another.
	Score, Rival float64
}

// Sure reports whether no other offset could be meant.
func (m *Match) Sure() bool { return len(m.Pairs) > 0 && m.Score >= m.Rival+0.75*ownWeight }

// Pair finds how two takes belong together by the sequence of their strikes, in order of
// time: every two strikes vote for the offset that would make them one. Strikes that only
// one of the phones has heard, and neighbours' strikes, do not matter.
func Pair(a, b []Moment) Match {
	type vote struct{ offset, weight float64 }
	var votes []vote
	for _, x := range a {
		for _, y := range b {
			if x.Own && y.Own {
				votes = append(votes, vote{y.Seconds - x.Seconds, ownWeight})
			}
		}
	}
	var best, second Match
	for _, v := range votes {
		m := match(a, b, v.offset)
		m = match(a, b, m.Offset) // about its middle
		switch {
		case m.Score > best.Score:
			if best.Score > 0 && math.Abs(m.Offset-best.Offset) > 2*togetherS {
				second = best
			}
			best = m
		case m.Score > second.Score && math.Abs(m.Offset-best.Offset) > 2*togetherS:
			second = m
		}
	}
	best.Rival = second.Score
	return best
}

// match pairs the strikes of two takes by an offset, and improves it.
func match(a, b []Moment, offset float64) Match {
	m := Match{Offset: offset}
	taken := make([]bool, len(b))
	var offsets []float64
	// Two swings go before a neighbour's strike that falls into the same moment.
	done := make([]bool, len(a))
	for _, own := range [...]bool{true, false} {
		for i, x := range a {
			if own && !x.Own || done[i] {
				continue
			}
			near, j := togetherS, -1
			for k, y := range b {
				if d := math.Abs(y.Seconds - x.Seconds - offset); d <= near && !taken[k] && (!own || y.Own) {
					near, j = d, k
				}
			}
			if j < 0 {
				continue
			}
			done[i], taken[j] = true, true
			offsets = append(offsets, b[j].Seconds-x.Seconds)
			if own {
				m.Score += ownWeight
				m.Pairs = append(m.Pairs, [2]int{i, j})
			} else {
				m.Score += otherWeight
			}
		}
	}
	if len(offsets) > 0 {
		slices.Sort(offsets)
		m.Offset = offsets[len(offsets)/2]
	}
	slices.SortFunc(m.Pairs, func(p, q [2]int) int { return cmp.Compare(a[p[0]].Seconds, a[q[0]].Seconds) })
	return m
}
