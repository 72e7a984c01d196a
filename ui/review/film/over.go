package film

import (
	"context"
	"fmt"
	"image"
	"image/draw"

	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/ui/compare/laid"
	"turngauge/ui/explain"
	"turngauge/video"
)

// pair is two clips that lie over each other.
type pair struct {
	swing, other review.Other
	clips        [2]string
}

// aligned returns how the second picture of a state lies over the first, nil where it doesn't.
// The only error is that of ctx.
func (f *Film) aligned(ctx context.Context, s *review.State) (*laid.Aligned, error) {
	if s == nil || !(s.Over > 0) || len(s.Views) != 2 || s.Views[0].Other || !s.Views[1].Other || s.Other == nil {
		return nil, nil
	}
	p := pair{review.Other{Swing: s.Swing}, *s.Other, [2]string{s.Views[0].Clip, s.Views[1].Clip}}
	if known, ok := f.pairs[p]; ok {
		return known, nil
	}
	var sides [2]laid.Side
	for i := range s.Views {
		side, err := f.side(ctx, swingOf(s, &s.Views[i]))
		if err != nil {
			return nil, err
		}
		if side == nil || side.Swing().Clip(p.clips[i]) == nil {
			return nil, nil
		}
		sides[i] = laid.Side{Lesson: side.Lesson, Swing: side.Swing().ID, Clip: p.clips[i], Seen: side.seenAt(p.clips[i], geometry.Address)}
	}
	a, why := laid.Align(&sides[0], &sides[1])
	f.pairs[p] = &a
	if why != "" {
		f.note("Two swings that lay over each other stand beside each other. %s", why)
		f.pairs[p] = nil
	}
	return f.pairs[p], nil
}

// layOver draws a frame with the other swing's over it.
func (e *easel) layOver(ctx context.Context, s *review.State, frame *video.Frame, part, place image.Rectangle, over *laid.Aligned) error {
	if e.under == nil || e.under.Rect.Size() != place.Size() {
		e.under = image.NewRGBA(image.Rectangle{Max: place.Size()})
	}
	if err := frame.Render(e.under, part); err != nil {
		return err
	}
	v := &s.Views[1]
	side := e.f.sides[swingOf(s, v)]
	r := e.f.reader(side, side.Swing().Clip(v.Clip))
	if r != nil {
		other, err := r.Read(ctx, frameOf(r, v))
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil: // this swing's frame is shown alone
			e.f.note("Some frames of the %s clip can't be decoded, so they are left out.", side.Swing().Clip(v.Clip).View)
		default:
			defer other.Release()
			if e.other == nil || e.other.Rect != other.Bounds() {
				e.other = image.NewRGBA(other.Bounds())
			}
			if err := other.Render(e.other, other.Bounds()); err != nil {
				return err
			}
			laid.Blend(e.under, part, e.other, e.other.Rect, over.Similarity, min(s.Over, 1))
		}
	}
	e.to.Over(e.under, place.Min)
	return nil
}

// whose says whose swing a view shows where two are compared, "" elsewhere.
func (f *Film) whose(s *review.State, v *review.View, over *laid.Aligned) string {
	if s.Other == nil {
		return ""
	}
	name := func(of review.Other) string {
		side := f.sides[of]
		switch {
		case side == nil:
			return ""
		case s.Other.Lesson != "":
			return day(side.Lesson)
		case side.Swing().Label != "":
			return side.Swing().Label
		}
		return fmt.Sprintf("swing %d", side.Index+1)
	}
	own := name(swingOf(s, v))
	if over == nil {
		return own
	}
	return fmt.Sprintf("%s, over it at %.0f %%: %s", own, 100*min(s.Over, 1), name(*s.Other))
}

// plate writes a text on a dark ground.
func (e *easel) plate(text string, at image.Point) {
	face := explain.NewTypeface(14*e.unit, true)
	w, h := face.Measure(text)
	pad := 6 * e.unit
	img := image.NewRGBA(image.Rect(0, 0, int(w+2*pad), int(h+pad)))
	draw.Draw(img, img.Rect, image.NewUniform(plate), image.Point{}, draw.Src)
	face.Draw(img, explain.Pt{X: pad, Y: pad / 2}, bright, text)
	e.to.Over(img, image.Pt(at.X&^1, at.Y&^1))
}
