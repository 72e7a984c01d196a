package propose

import (
	"cmp"
	"context"
	"image"
	"math"
	"slices"

	"turngauge/annotations"
	"turngauge/annotations/teach"
	"turngauge/geometry"
	"turngauge/video"
	"turngauge/video/patch"
)

// The buckle, the tailbone, the breastbone and the upper back are points of the student's
// clothes: no network knows them, but where a hand has marked one in a swing, the cloth about
// it looks nearly the same at the same key position of the next. So the patch of the picture
// about the mark is looked for in the other swing's picture, from where the joints that both
// have say that it has moved to.

const (
	// clothM is the side of such a patch on the student, metres: a buckle and the seams
	// beside it.
	clothM = 0.09
	// wayM is how far from there it is looked for, and stepM how far apart searches begin, less
	// than the way of one (patch.Align).
	wayM, stepM = 0.06, 0.02
	// leastAlike is the correlation from which on it is believed, and clearly by how much a second
	// place must be less alike, so that stripes are not counted off wrongly. Ours, on the demo's
	// visits.
	leastAlike, clearly = 0.85, 0.03
	// apartM is from how far apart on two places are two, and clothSlipM how far cloth lies beside
	// where it lay in another swing, one standard deviation (ours, not measured).
	apartM, clothSlipM = 0.015, 0.006
)

// Cloth looks in the pictures of a swing for the points of the clothes that hands have marked
// in other swings and that it lacks, and returns them as proposed marks. The lesson's document
// lies in folder. A clip that can't be read tells nothing. The error is that of ctx.
func Cloth(ctx context.Context, l *annotations.Lesson, swing, folder string) ([]annotations.Mark, error) {
	list := teach.Wants(l, swing)
	if len(list) == 0 {
		return nil, nil
	}
	open := make(map[string]*video.Reader)
	defer func() {
		for _, r := range open {
			r.Close()
		}
	}()
	gray := func(c *annotations.Clip, frame int) (*image.Gray, error) {
		path := c.PathIn(folder)
		r := open[path]
		if r == nil {
			x, err := video.ReadIndex(ctx, path)
			if err != nil {
				return nil, err
			}
			if r, err = Reader(ctx, x); err != nil {
				return nil, err
			}
			open[path] = r
		}
		im := image.NewGray(image.Rectangle{Max: r.Size()})
		return im, r.Gray(ctx, min(max(frame, 0), r.Frames()-1), im)
	}
	// In the order of the file, so that little is decoded twice.
	slices.SortStableFunc(list, func(a, b teach.Want) int { return a.Frame - b.Frame })
	var out []annotations.Mark
	for i := range list {
		w := &list[i]
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		from, err := gray(w.From, w.FromFrame)
		if err != nil {
			continue // the clip is not there
		}
		to, err := gray(w.Clip, w.Frame)
		if err != nil {
			continue
		}
		if m, ok := find(w, from, to, l.ClickSDPx); ok {
			out = append(out, m)
		}
	}
	return out, ctx.Err()
}

// find looks for the patch about the mark in the other picture.
func find(w *teach.Want, from, to *image.Gray, clickPx float64) (m annotations.Mark, ok bool) {
	side := 2*int(clothM*w.PxPerM/2) + 1
	t, ok := patch.New(from, w.Mark.At.X, w.Mark.At.Y, max(side, patch.Size/2|1))
	if !ok {
		return m, false
	}
	type place struct {
		at    geometry.ImagePt
		match patch.Match
	}
	var found []place
	step := math.Max(stepM*w.PxPerM, 1)
	reach := int(wayM / stepM)
	for j := -reach; j <= reach; j++ {
		for i := -reach; i <= reach; i++ {
			x, y := w.About.X+float64(i)*step, w.About.Y+float64(j)*step
			match, ok := t.Align(to, patch.Warp{X: x, Y: y, XX: 1, YY: 1})
			at := geometry.ImagePt{X: x + match.DX, Y: y + match.DY}
			if ok && math.Hypot(at.X-w.About.X, at.Y-w.About.Y) <= wayM*w.PxPerM {
				found = append(found, place{at, match})
			}
		}
	}
	if len(found) == 0 {
		return m, false
	}
	slices.SortFunc(found, func(a, b place) int { return cmp.Compare(b.match.Correlation, a.match.Correlation) })
	best := found[0]
	if best.match.Correlation < leastAlike {
		return m, false
	}
	for _, o := range found[1:] {
		if math.Hypot(o.at.X-best.at.X, o.at.Y-best.at.Y) > apartM*w.PxPerM && o.match.Correlation > best.match.Correlation-clearly {
			return m, false
		}
	}
	det := best.match.XX*best.match.YY - best.match.XY*best.match.XY
	if !(det > 0) {
		return m, false
	}
	if clickPx == 0 {
		clickPx = geometry.ClickSigmaPx
	}
	hand := geometry.SigmaPxAt(w.Mark.Point, geometry.Placed, w.Clip.View, w.PxPerM, clickPx)
	aligned := (best.match.XX + best.match.YY) / det / 2
	// The mark lies off the middle of the pixel that the patch is about.
	return annotations.Mark{
		Clip: w.Clip.ID, Position: w.Position, Point: w.Mark.Point,
		At:    geometry.ImagePt{X: best.at.X + w.Mark.At.X - t.X, Y: best.at.Y + w.Mark.At.Y - t.Y},
		SDPx:  math.Sqrt(hand*hand + aligned + (clothSlipM*w.PxPerM)*(clothSlipM*w.PxPerM)),
		State: geometry.Proposed,
	}, true
}
