// Package motion proposes key positions from how much a clip's small gray
// pictures change: still before the start, a turning back at the top. It knows
// nothing of files; the coach confirms what it proposes.
package motion

import (
	"context"
	"errors"
	"image"
	"math"
	"slices"
)

// Clip is what the proposals are made from. Gray draws frame n, small and
// whole, into dst; about 192 pixels across are enough.
type Clip interface {
	Frames() int
	Seconds(n int) float64
	Gray(ctx context.Context, n int, dst *image.Gray) error
}

// Proposal is one key position the pictures suggest.
type Proposal struct {
	Name  string // "address", "top" or "impact"
	Frame int
}

// Errors of Propose.
var (
	ErrNoStrike = errors.New("motion: the strike lies outside the clip")
	ErrNoSwing  = errors.New("motion: no still start and turning back before the strike")
)

const (
	longestSwingS = 3.0     // looked at before the strike, seconds
	topFromS      = 0.45    // the top lies this far before the strike at most,
	topToS        = 0.15    // and at least (common practice, no source)
	lagS          = 1 / 60. // pictures this far before and after are compared
	// clubLagS is how much later than the hands, which fill more of the
	// picture, the club turns back. Measured on the demo swing only.
	clubLagS = 0.0125
	noise    = 2 // levels by which samples differ without motion
)

// Propose finds the end of address, the top and impact in a clip whose strike
// is heard at strike seconds. size is that of the pictures to look at.
func Propose(ctx context.Context, c Clip, size image.Point, strike float64) ([]Proposal, error) {
	last := c.Frames() - 1
	if math.IsNaN(strike) || strike < 0 || last < 1 || strike > c.Seconds(last) {
		return nil, ErrNoStrike
	}
	impact := nearest(c, 0, last, strike)
	first := nearest(c, 0, last, strike-longestSwingS)
	pictures := make([]*image.Gray, impact-first+1)
	for i := range pictures {
		pictures[i] = image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, first+i, pictures[i]); err != nil {
			return nil, err
		}
	}
	lag := nearest(c, 0, last, c.Seconds(first)+lagS) - first
	if lag < 1 || len(pictures) < 4*lag {
		return nil, ErrNoSwing
	}
	change := make([]float64, len(pictures)) // between lag before and lag after
	for i := lag; i < len(pictures)-lag; i++ {
		change[i] = difference(pictures[i-lag], pictures[i+lag])
	}
	from := max(nearest(c, 0, last, strike-topFromS)-first, lag)
	to := nearest(c, 0, last, strike-topToS) - first
	if to-from < lag {
		return nil, ErrNoSwing
	}
	turn := from
	for i := from; i <= to; i++ {
		if change[i] < change[turn] {
			turn = i
		}
	}
	most := slices.Max(change[lag:turn])
	if turn == from || turn == to || change[turn] > most/2 {
		return nil, ErrNoSwing
	}
	start, ok := stillUntil(change[lag:turn], most)
	if !ok {
		return nil, ErrNoSwing
	}
	top := nearest(c, 0, last, c.Seconds(first+turn)+clubLagS)
	return []Proposal{{"address", first + start + 2*lag}, {"top", top}, {"impact", impact}}, nil
}

// stillUntil returns where the change began to rise from the still level
// before its first strong motion. Motion that starts smoothly grows with the
// square of time, so the root of the change is followed back to zero.
func stillUntil(change []float64, most float64) (int, bool) {
	const low, high = 0.01, 0.08 // of the strongest change
	b := slices.IndexFunc(change, func(v float64) bool { return v > high*most })
	a := b
	for ; a > 0 && change[a] > low*most; a-- {
	}
	if a <= 0 || b-a < 2 {
		return 0, false
	}
	ra, rb := math.Sqrt(change[a]), math.Sqrt(change[b])
	zero := float64(a) - ra*float64(b-a)/math.Max(rb-ra, 1e-9)
	return max(int(math.Round(zero)), 0), true
}

func difference(a, b *image.Gray) float64 {
	sum := 0
	for i, v := range a.Pix {
		d := int(v) - int(b.Pix[i])
		if d < 0 {
			d = -d
		}
		if d > noise {
			sum += d - noise
		}
	}
	return float64(sum) / float64(len(a.Pix))
}

// nearest returns the frame of [low, high] shown nearest to t seconds.
func nearest(c Clip, low, high int, t float64) int {
	n := low
	for a, b := low, high; a <= b; {
		if m := (a + b) / 2; c.Seconds(m) <= t {
			n, a = m, m+1
		} else {
			b = m - 1
		}
	}
	if n < high && c.Seconds(n+1)-t < t-c.Seconds(n) {
		n++
	}
	return n
}
