package take

import (
	"cmp"
	"context"
	"errors"
	"image"
	"math"
	"slices"

	"turngauge/video/motion"
)

// Size is that of the pictures which are looked at.
var Size = image.Pt(192, 108)

// Clip is a take that is looked through, on life's clock.
type Clip = motion.Clip

// A Swing is one that was found.
type Swing struct {
	// Strike is when the club meets the ball, or would, seconds on the clip's clock.
	Strike float64
	// Heard reports whether a strike is heard; else it is a practice swing, or the take
	// has no sound.
	Heard bool
	// Speed is how much the picture changes at the strike, in levels of gray summed over
	// the part that moves.
	Speed float64
	// Positions are what the motion tells of address, top and impact; none where it
	// tells nothing.
	Positions []motion.Proposal
	// First and Last are the frames about it that are of use: from half a second before
	// address until after the finish.
	First, Last int
	// Standing is what the camera saw about it where nothing moved (background.Standing),
	// by which one tells whether it has moved since; nil where that is not known.
	Standing *image.Gray
}

// Options say what is looked for.
type Options struct {
	// Unheard has swings without a strike looked for too, through the whole take.
	Unheard bool
	// Progress, which may be nil, is told how much of the work is done, 0 to 1.
	Progress func(part float64)
}

const (
	// A swing that is less lively than the golfer's own usually are is somebody else's
	// behind him, or no swing.
	leastSpeed = 0.35
	// A swing lasts so long before address and after the strike, seconds.
	beforeAddressS, afterStrikeS = 0.5, 1.1
	usualBackwardS               = 1.1 // from address to strike (Grober and Cholewicki, arXiv physics/0611291)
)

// Find returns the golfer's swings in a take, in order of time, of those strikes that
// are heard in it, seconds on its clock in order. The error is c's or ctx's.
func Find(ctx context.Context, c Clip, strikes []float64, o Options) ([]Swing, error) {
	l := newLook(c)
	var found []Swing
	if o.Unheard {
		series, err := l.whole(ctx, o.progress(0, 0.8))
		if err != nil {
			return nil, err
		}
		for _, s := range strikes {
			if v, ok := series.swing(s); ok {
				found = append(found, Swing{Strike: s, Heard: true, Speed: v})
			}
		}
		found = lively(found)
		for _, s := range series.peaks() {
			if slices.ContainsFunc(found, func(x Swing) bool { return math.Abs(x.Strike-s) < apartS }) {
				continue
			}
			if v, ok := series.swing(s); ok {
				found = append(found, Swing{Strike: s, Speed: v})
			}
		}
		slices.SortFunc(found, func(a, b Swing) int { return cmp.Compare(a.Strike, b.Strike) })
	}
	told := o.progress(0, 1)
	if o.Unheard {
		var out []Swing
		found, told = lively(found), o.progress(0.8, 1)
		for i, x := range found {
			told(float64(i) / float64(len(found)))
			l.forget(x.Strike)
			if err := l.positions(ctx, &x); err != nil {
				return nil, err
			}
			// Without a strike nothing but the whole swing tells it from walking about.
			if x.Heard || len(x.Positions) == 3 {
				out = append(out, x)
			}
		}
		return out, nil
	}
	for i, s := range strikes {
		told(float64(i) / float64(len(strikes)))
		v, ok, err := l.heard(ctx, s)
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		x := Swing{Strike: s, Heard: true, Speed: v}
		if err := l.positions(ctx, &x); err != nil {
			return nil, err
		}
		found = append(found, x)
	}
	return lively(found), nil
}

// progress tells of a part of the work.
func (o *Options) progress(from, to float64) func(float64) {
	return func(part float64) {
		if o.Progress != nil {
			o.Progress(from + (to-from)*part)
		}
	}
}

// lively leaves out the swings that are far less lively than the others: what is seen of
// somebody behind the golfer changes less of the picture. Two strikes so near to each
// other that they can't be of one golfer are one swing, the livelier.
func lively(list []Swing) []Swing {
	if len(list) == 0 {
		return nil
	}
	speeds := make([]float64, len(list))
	for i := range list {
		speeds[i] = list[i].Speed
	}
	slices.Sort(speeds)
	least := leastSpeed * speeds[len(speeds)*3/4]
	var out []Swing
	for _, s := range list {
		switch n := len(out); {
		case s.Speed < least:
		case n > 0 && s.Strike-out[n-1].Strike < apartS:
			if s.Speed > out[n-1].Speed {
				out[n-1] = s
			}
		default:
			out = append(out, s)
		}
	}
	return out
}

// positions tells of address, top and impact, and which frames are of use.
func (l *look) positions(ctx context.Context, s *Swing) error {
	found, err := motion.Propose(ctx, l, Size, s.Strike)
	switch {
	case err == nil:
		s.Positions = found
	case errors.Is(err, motion.ErrNoSwing), errors.Is(err, motion.ErrNoStrike):
	default:
		return err
	}
	start := s.Strike - usualBackwardS
	for _, p := range s.Positions {
		if p.Name == "address" {
			start = l.Seconds(p.Frame)
		}
	}
	s.First, s.Last = l.at(start-beforeAddressS), l.at(s.Strike+afterStrikeS)
	s.Standing = l.standing(s.Strike)
	return nil
}
