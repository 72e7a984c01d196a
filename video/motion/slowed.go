package motion

import (
	"context"
	"image"
	"math"
	"slices"
)

// Slows are the speeds that a clip is tried at where nothing tells of its own: life's,
// and slow motion of 2, 4 and 8 times the time, as of 60, 120 and 240 frames a second
// played at 30.
var Slows = []float64{1, 2, 4, 8}

// A tour player's backswing and downswing, seconds (Grober and Cholewicki 2006, arXiv
// physics/0611291: 24 and 8 frames at 30 a second).
const usualBackS, usualDownS = 0.8, 0.27

// ProposeAt is Propose for a clip whose speed is not known: it looks for a swing in the
// time of life that each of slows makes of the clip's, and returns what is proposed
// where it is likest to a golfer's, with how many times slower than life the clip then
// plays. strike is on the clip's own clock. Where several are tried, changes says that
// the clip changes its speed on the way; what is proposed then is unsure.
func ProposeAt(ctx context.Context, c Clip, size image.Point, strike float64, slows []float64) (found []Proposal, slow float64, changes bool, err error) {
	kept := &keeping{Clip: c, size: size, pictures: make(map[int]*image.Gray)}
	worst := math.Inf(1)
	err = ErrNoSwing
	for _, s := range slows {
		p, e := Propose(ctx, &slowed{kept, s}, size, strike/s)
		if e != nil {
			if ctx.Err() != nil {
				return nil, 0, false, e
			}
			if found == nil {
				err = e
			}
			continue
		}
		if odd := oddness(p, c, s); odd < worst {
			found, slow, worst, err = p, s, odd, nil
		}
	}
	last := c.Frames() - 1
	if len(slows) > 1 && strike >= 0 && strike <= c.Seconds(last) {
		impact := nearest(c, 0, last, strike)
		from := nearest(c, 0, last, strike-longestSwingS*slices.Max(slows))
		var e error
		if changes, e = uneven(ctx, kept, size, from, impact); e != nil {
			return nil, 0, false, e
		}
	}
	if changes {
		for i := range found {
			found[i].Unsure = true
		}
	}
	return found, slow, changes, err
}

// oddness is how far from a tour player's the times of a proposed swing are, as the
// logarithms of the ratios, with an addition for what is missing or unsure.
func oddness(list []Proposal, c Clip, slow float64) float64 {
	const unsure, missing = 0.5, 1.5 // ours
	at := map[string]float64{}
	odd := 0.0
	for _, p := range list {
		at[p.Name] = c.Seconds(p.Frame) / slow
		if p.Unsure {
			odd += unsure
		}
	}
	odd += math.Abs(math.Log((at["impact"] - at["top"]) / usualDownS))
	if start, ok := at["address"]; ok {
		return odd + math.Abs(math.Log((at["top"]-start)/usualBackS))
	}
	return odd + missing
}

// slowed is a clip in the time of life, if it plays so many times slower.
type slowed struct {
	Clip
	by float64
}

func (s *slowed) Seconds(n int) float64 { return s.Clip.Seconds(n) / s.by }

// keeping keeps the small pictures of a clip that is looked through several times.
type keeping struct {
	Clip
	size     image.Point
	pictures map[int]*image.Gray
}

func (k *keeping) Gray(ctx context.Context, n int, dst *image.Gray) error {
	p := k.pictures[n]
	if p == nil {
		p = image.NewGray(image.Rectangle{Max: k.size})
		if err := k.Clip.Gray(ctx, n, p); err != nil {
			return err
		}
		k.pictures[n] = p
	}
	copy(dst.Pix, p.Pix)
	return nil
}
