package take

import (
	"math"
	"slices"
	"sort"
)

// What a swing looks like, seconds about the strike: all this project's own but the
// times of the top, for which see package motion.
const (
	// strikeFromS and strikeToS are about when the picture is liveliest.
	strikeFromS, strikeToS = -0.10, 0.07
	// The golfer turns back between topFromS and topToS; the picture then changes by
	// turnPart of the strike's at most.
	topFromS, topToS = -0.50, -0.14
	turnPart         = 0.5
	// He stands still at some time between stillFromS and stillToS, for stillS, and then
	// the picture changes by stillPart of the strike's at most.
	stillFromS, stillToS = -2.6, -0.65
	stillS, stillPart    = 0.12, 0.15
	// Before the strike the picture is livelier at no time than by mostBefore.
	mostBefore = 1.6
	// leastPicture is the change at a strike below which there is nobody, levels of gray
	// summed over the picture.
	leastPicture = 1500
	// apartS is how far apart two swings of one golfer are at least.
	apartS = 1.5
	// livelier is how many times as much as usual the picture changes in a swing.
	livelier = 4
)

// between returns the indices of the changes from a time until before another one.
func (s *series) between(from, to float64) (i, j int) {
	return sort.SearchFloat64s(s.seconds, from), sort.SearchFloat64s(s.seconds, to)
}

// golfer returns the squares that move in the downswing.
func (s *series) golfer(strike float64) []bool {
	i, j := s.between(strike-0.25, strike+strikeToS)
	sums := make([]int, across*down)
	for _, c := range s.changes[i:j] {
		for k, v := range c {
			sums[k] += int(v)
		}
	}
	const part = 0.08 // of the liveliest square
	most := slices.Max(sums)
	out := make([]bool, len(sums))
	for k, v := range sums {
		out[k] = v > 0 && float64(v) >= part*float64(most)
	}
	return out
}

// change returns by how much the squares change, smoothed over three pictures.
func (s *series) change(squares []bool) []float64 {
	raw := make([]float64, len(s.changes))
	for i, c := range s.changes {
		for k, v := range c {
			if squares == nil || squares[k] {
				raw[i] += float64(v)
			}
		}
	}
	out := make([]float64, len(raw))
	for i := range raw {
		part := raw[max(i-1, 0):min(i+2, len(raw))]
		for _, v := range part {
			out[i] += v / float64(len(part))
		}
	}
	return out
}

// turn reports whether the golfer turns back and comes down to a strike, and how lively
// the picture is then.
func (s *series) turn(strike float64) (speed float64, ok bool) {
	if len(s.changes) == 0 {
		return 0, false
	}
	speed, low := s.downswing(s.change(s.golfer(strike)), strike)
	return speed, speed >= leastPicture && low <= turnPart*speed
}

// downswing returns the most change about a strike and the least at the top before it.
func (s *series) downswing(change []float64, strike float64) (speed, low float64) {
	i, j := s.between(strike+strikeFromS, strike+strikeToS)
	a, b := s.between(strike+topFromS, strike+topToS)
	if i == j || a == b {
		return 0, math.Inf(1)
	}
	return slices.Max(change[i:j]), slices.Min(change[a:b])
}

// swing reports whether a golfer swings with a strike at a time, and how lively the
// picture is then.
func (s *series) swing(strike float64) (speed float64, ok bool) {
	if speed, ok = s.turn(strike); !ok {
		return 0, false
	}
	change := s.change(s.golfer(strike))
	i, j := s.between(strike+stillFromS, strike+strikeFromS)
	if i == j || slices.Max(change[i:j]) > mostBefore*speed {
		return 0, false
	}
	i, j = s.between(strike+stillFromS, strike+stillToS)
	n := max(int(math.Round(stillS/stepS)), 1)
	for ; i+n <= j; i++ {
		sum := 0.0
		for _, v := range change[i : i+n] {
			sum += v / float64(n)
		}
		if sum <= stillPart*speed {
			return speed, true
		}
	}
	return 0, false
}

// peaks returns when the picture is livelier than usual, and than at any time within
// what two swings are apart.
func (s *series) peaks() []float64 {
	change := s.change(nil)
	if len(change) == 0 {
		return nil
	}
	usual := slices.Sorted(slices.Values(change))
	least := math.Max(livelier*usual[len(usual)/2], leastPicture)
	var out []float64
	for i, v := range change {
		if v < least {
			continue
		}
		a, b := s.between(s.seconds[i]-apartS, s.seconds[i]+apartS)
		if slices.Max(change[a:b]) <= v {
			out = append(out, s.seconds[i])
		}
	}
	return out
}
