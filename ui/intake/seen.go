package intake

import (
	"context"
	"image"

	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/op/paint"

	"turngauge/geometry"
	"turngauge/ui/draw"
	"turngauge/ui/golfer"
)

// seen is what is seen in the picture of a clip that is taken in.
type seen struct {
	golfer.Seen
	done bool
	op   paint.ImageOp // of its small picture
}

// pictureSize is that of the small picture, pixels: more than a card shows.
var pictureSize = image.Pt(168, 224)

// look looks at a clip's picture in the background, and takes the view from it where
// the coach has not said which it is.
func (r *Room) look(c *newClip) {
	r.host.Go("Looking for the golfer in "+c.path, func() {
		s, err := golfer.See(context.Background(), c.path, pictureSize)
		r.host.Post(func() {
			c.seen.done = true
			if err != nil {
				return // what can't be read was told of
			}
			c.seen.Seen = s
			if s.Picture != nil {
				c.seen.op = paint.NewImageOp(s.Picture)
				c.seen.op.Filter = paint.FilterLinear
			}
			r.settleViews()
		})
	}, func() { c.seen.done = true })
}

// settleViews gives the clips the views that are seen in their pictures, but for those
// of which the coach has said it. Of two that look alike the less clear one is the
// other view.
func (r *Room) settleViews() {
	for _, c := range r.clips {
		if v, _, ok := c.seen.View(); ok && !c.told {
			c.view = v
		}
	}
	if len(r.clips) != 2 {
		return
	}
	a, b := r.clips[0], r.clips[1]
	if a.view != b.view || a.leave || b.leave {
		return
	}
	_, sureA, okA := a.seen.View()
	_, sureB, okB := b.seen.View()
	switch {
	case !b.told && !(okB && sureB):
		b.view = other(a.view)
	case !a.told && !(okA && sureA):
		a.view = other(b.view)
	}
}

func other(v geometry.View) geometry.View {
	if v == geometry.FaceOn {
		return geometry.DownTheLine
	}
	return geometry.FaceOn
}

// says tells where the view comes from.
func (c *newClip) says() string {
	v, sure, ok := c.seen.View()
	switch {
	case c.told:
		return ""
	case !c.seen.done:
		return "Looking at its picture …"
	case !ok:
		return "No golfer is seen at the beginning: say which view it is."
	case v != c.view:
		return "This looks more like " + v.String() + ", but the other clip is that: say which it is."
	case sure:
		return "Seen in its picture: " + v.String() + "."
	}
	return "Probably " + v.String() + ", by its picture: look at it."
}

// layoutPicture draws the clip's small picture, as tall as the height given.
func (c *newClip) layoutPicture(gtx layout.Context, th *draw.Theme, tall int) layout.Dimensions {
	size := image.Pt(tall*pictureSize.X/pictureSize.Y, tall)
	defer clip.UniformRRect(image.Rectangle{Max: size}, gtx.Dp(4)).Push(gtx.Ops).Pop()
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, th.Surround)
	if c.seen.Picture != nil {
		draw.Image(gtx.Ops, c.seen.op, size)
	}
	return layout.Dimensions{Size: size}
}
