// Package motion proposes key positions from how much a clip's small gray
// pictures change: still before the start, a reversal at the top. It knows
// nothing of files; the coach confirms what it proposes.
//
// Only the part of the picture that moves in the downswing is looked at, so
// that somebody walking behind the golfer does not matter unless he passes
// through that part. What can't be told is left out rather than guessed.
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
	Name   string // "address", the last moment before the club starts back, "top" or "impact"
	Frame  int
	Unsure bool // the pictures tell it badly: to be looked at before it is believed
}

// Errors of Propose.
var (
	ErrNoStrike = errors.New("motion: the strike lies outside the clip")
	ErrNoSwing  = errors.New("motion: no still start and reversal before the strike")
)

const (
	longestSwingS = 3.0     // looked at before the strike, seconds
	topFromS      = 0.45    // the top lies this far before the strike at most,
	topToS        = 0.15    // and at least (common practice, no source)
	lagS          = 1 / 60. // pictures this far before and after are compared
	// clubLagS is how much later than the hands, which fill more of the
	// picture, the club turns back. Measured on the demo swing only.
	clubLagS = 0.0125
)

// Propose finds the end of address and the top in a clip whose strike is at
// strike seconds, and returns them with impact; one that can't be told is
// missing, and ErrNoSwing is returned when neither can. size is that of the
// pictures to look at.
func Propose(ctx context.Context, c Clip, size image.Point, strike float64) ([]Proposal, error) {
	last := c.Frames() - 1
	if math.IsNaN(strike) || strike < 0 || last < 1 || strike > c.Seconds(last) {
		return nil, ErrNoStrike
	}
	f, err := look(ctx, c, size, strike)
	if err != nil {
		return nil, err
	}
	var found []Proposal
	turn, unsureTop, ok := f.top()
	if !ok {
		return nil, ErrNoSwing // without a top nothing says which motion was the backswing
	}
	if start, unsure, ok := f.start(turn); ok {
		found = append(found, Proposal{"address", f.first + start, unsure || unsureTop})
	}
	return append(found,
		Proposal{"top", nearest(c, 0, last, c.Seconds(f.first+turn)+clubLagS), unsureTop},
		Proposal{"impact", f.first + f.impact, false}), nil
}

// film is what was looked at: pictures up to the strike, numbered from 0.
type film struct {
	first    int // frame of picture 0
	impact   int // picture of the strike
	rate     float64
	lag      int
	pictures []*image.Gray
	golfer   []bool    // pixels that move in the downswing
	dead     int       // levels by which pixels differ without motion
	change   []float64 // of the golfer's pixels between lag before and lag after
}

func look(ctx context.Context, c Clip, size image.Point, strike float64) (*film, error) {
	last := c.Frames() - 1
	f := &film{first: nearest(c, 0, last, strike-longestSwingS)}
	f.impact = nearest(c, 0, last, strike) - f.first
	f.rate = float64(f.impact) / math.Max(c.Seconds(f.first+f.impact)-c.Seconds(f.first), 1e-9)
	f.lag = int(math.Round(lagS * f.rate))
	if f.lag < 1 || f.impact < f.frames(topFromS) {
		return nil, ErrNoSwing // too coarse, or it begins in the middle of the swing
	}
	end := min(f.impact+f.lag, last-f.first)
	for i := range end + 1 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p := image.NewGray(image.Rectangle{Max: size})
		if err := c.Gray(ctx, f.first+i, p); err != nil {
			return nil, err
		}
		f.pictures = append(f.pictures, p)
	}
	f.dead = f.noise()
	f.golfer = f.moving(f.impact-f.frames(topToS), end-f.lag)
	f.change = make([]float64, len(f.pictures))
	for i := f.lag; i <= end-f.lag; i++ {
		f.change[i] = f.difference(f.pictures[i-f.lag].Pix, f.pictures[i+f.lag].Pix)
	}
	return f, nil
}

func (f *film) frames(seconds float64) int { return int(math.Round(seconds * f.rate)) }

// noise returns how far pixels of neighbouring pictures differ where nothing
// moves, with a margin: most of a picture stands still.
func (f *film) noise() int {
	var counts [256]int
	for i := 1; i < len(f.pictures); i += max(len(f.pictures)/16, 1) {
		for k, v := range f.pictures[i].Pix {
			counts[absDiff(v, f.pictures[i-1].Pix[k])]++
		}
	}
	total := 0
	for _, n := range counts {
		total += n
	}
	const still, margin = 0.9, 2
	sum := 0
	for d, n := range counts {
		if sum += n; float64(sum) >= still*float64(total) {
			return min(margin*d, 32) + 1
		}
	}
	return 1
}

// block is the side of the squares in which a picture is searched for motion.
const block = 6

// moving marks the squares that change most between pictures from and to.
func (f *film) moving(from, to int) []bool {
	w, h := f.pictures[0].Rect.Dx(), f.pictures[0].Rect.Dy()
	across := (w + block - 1) / block
	sums := make([]float64, across*((h+block-1)/block))
	for i := max(from, f.lag); i <= to; i += max(f.lag/2, 1) {
		a, b := f.pictures[i-f.lag].Pix, f.pictures[i+f.lag].Pix
		for k := range a {
			if d := absDiff(a[k], b[k]); d > f.dead {
				sums[k/w/block*across+k%w/block] += float64(d - f.dead)
			}
		}
	}
	const part = 0.04 // of the liveliest square
	least := part * slices.Max(sums)
	out := make([]bool, w*h)
	for k := range out {
		s := sums[k/w/block*across+k%w/block]
		out[k] = s > 0 && s >= least
	}
	return out
}

// difference is the mean of what the golfer's pixels differ by beyond noise.
func (f *film) difference(a, b []uint8) float64 {
	sum, n := 0, 1
	for k, in := range f.golfer {
		if !in {
			continue
		}
		n++
		if d := absDiff(a[k], b[k]); d > f.dead {
			sum += d - f.dead
		}
	}
	return float64(sum) / float64(n)
}

// top finds the picture at which the hands turn back: the change falls before
// it and grows after it, and the lines through both meet there.
func (f *film) top() (turn int, unsure, ok bool) {
	from, to := max(f.impact-f.frames(topFromS), f.lag), f.impact-f.frames(topToS)
	if to-from < 2*f.lag {
		return 0, false, false
	}
	least := from
	for i := from; i <= to; i++ {
		if f.change[i] < f.change[least] {
			least = i
		}
	}
	before := slices.Max(f.change[f.lag : least+1])
	after := slices.Max(f.change[least : f.impact+1])
	low := f.change[least]
	if least == from || least == to || low > 0.5*before || low > 0.5*after {
		return 0, false, false
	}
	const near, far = 0.02, 0.05 // seconds from the turning back: where the lines are drawn
	a, b, ok1 := line(f.change, least-f.frames(far), least-f.frames(near))
	p, q, ok2 := line(f.change, least+f.frames(near), least+f.frames(far))
	turn = least
	if ok1 && ok2 && b < 0 && q > 0 {
		if meet := (a - p) / (q - b); math.Abs(meet-float64(least)) <= far*f.rate/2 {
			turn = int(math.Round(meet))
		}
	} else {
		unsure = true
	}
	return turn, unsure || f.dead > 3*noisy || low > 0.33*math.Min(before, after), true
}

// line fits values[from:to+1] by a + b i.
func line(values []float64, from, to int) (a, b float64, ok bool) {
	if from < 0 || to >= len(values) || to-from < 2 {
		return 0, 0, false
	}
	n := float64(to - from + 1)
	mid := float64(from+to) / 2
	var mean, sxy, sxx float64
	for i := from; i <= to; i++ {
		x := float64(i) - mid
		mean += values[i] / n
		sxy += x * values[i]
		sxx += x * x
	}
	b = sxy / sxx
	return mean - b*mid, b, true
}

const (
	shortestStillS = 0.1  // a start after less rest than this is unsure: the club may still waggle
	referenceS     = 0.25 // pictures of the rest that are averaged
	quickestBackS  = 0.4  // a backswing out of these bounds is unsure
	slowestBackS   = 1.3  // (common practice, no source)
	slowStartS     = 0.1  // a start that takes longer to grow eightfold is unsure
	noisy          = 8    // levels of noise from which the beginning of the motion is hidden
)

// start finds the last picture before the club starts back. From the liveliest
// part of the backswing the change is followed back to rest; how far pictures
// then differ from those at rest tells when the motion began.
func (f *film) start(turn int) (n int, unsure, ok bool) {
	peak := f.lag
	for i := f.lag; i < turn; i++ {
		if f.change[i] >= f.change[peak] {
			peak = i
		}
	}
	// The backswing is the last strong motion before the top: a waggle, or
	// someone passing, may have been livelier.
	const high, low = 0.25, 0.02 // of the strongest change
	most := f.change[peak]
	for i := turn; i > f.lag; i-- {
		if f.change[i] > high*most {
			peak = i
			break
		}
	}
	rest := peak
	for ; rest > f.lag && f.change[rest] > low*most; rest-- {
	}
	began := rest
	for ; began > f.lag && f.change[began] <= low*most; began-- {
	}
	if rest-began < f.lag {
		return 0, false, false
	}
	still := max(began, rest-f.frames(referenceS))
	apart := f.apart(still, rest)
	floor := slices.Max(apart[:max((rest-still)*2/3, 1)])
	first := math.Max(1.5*floor, 0.003*slices.Max(apart[:peak-still]))
	// A motion of least jerk, as hands make (Flash and Hogan 1985), leaves its
	// start with the third power of time: eightfold is twice the time.
	var at [3]float64
	for k, growth := range [...]float64{1, 1.5 * 1.5 * 1.5, 2 * 2 * 2} {
		if at[k], ok = crossing(apart, growth*first); !ok {
			return 0, false, false
		}
	}
	unit := at[2] - at[0] // the time from the beginning to the first crossing
	zero := int(math.Round((at[0]+at[1]+at[2])/3 - 1.5*unit))
	bent := math.Abs(at[0]-2*at[1]+at[2]) > 0.3*unit+1 // not the third power
	back := float64(turn-still-zero) / f.rate
	unsure = bent || back < quickestBackS || back > slowestBackS || zero < 0 || f.dead > noisy || rest-began < f.frames(shortestStillS) || unit > slowStartS*f.rate
	return max(still+zero, began), unsure, true
}

// apart tells how far the pictures from still on differ from the mean of those
// from still to rest.
func (f *film) apart(still, rest int) []float64 {
	ref := make([]uint8, len(f.golfer))
	sums := make([]int, len(f.golfer))
	n := 0
	for i := still; i < max(rest-f.lag, still+1); i++ {
		for k, v := range f.pictures[i].Pix {
			sums[k] += int(v)
		}
		n++
	}
	for k, s := range sums {
		ref[k] = uint8((s + n/2) / n)
	}
	out := make([]float64, f.impact-still)
	for i := range out {
		out[i] = f.difference(f.pictures[still+i].Pix, ref)
	}
	return out
}

// crossing returns where the values rise past level to stay there for a few
// pictures, between two pictures; growing with the third power of time from near 0, their
// cube roots lie on a line, which matters where pictures are few.
func crossing(values []float64, level float64) (float64, bool) {
	const stay = 4
	for i := 1; i+stay < len(values); i++ {
		if values[i-1] < level && slices.Min(values[i:i+stay]) >= level {
			a, b, at := math.Cbrt(values[i-1]), math.Cbrt(values[i]), math.Cbrt(level)
			return float64(i) - (b-at)/(b-a), true
		}
	}
	return 0, false
}

func absDiff(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }

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
