package stage

import (
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/paint"

	"turngauge/geometry"
	"turngauge/ui/bench"
)

// Over lays the second stage's picture over the first one's.
type Over interface {
	// Laid is how, from its upright pixels to those of the first, and how strongly
	// it is seen, from 0 to 1; ok is false while they stand side by side.
	Laid() (over geometry.Similarity, share float64, ok bool)
	// Layout draws what it is moved by on a picture of a size.
	Layout(gtx layout.Context, size image.Point)
	Update(gtx layout.Context)
}

// carried is how the second stage's picture is rendered where it lies over the first
// one's: on a stage of its own of which the first stage shows the middle, turned and
// mirrored about it.
func carried(first bench.Viewport, over geometry.Similarity, stage bench.Size) (port bench.Viewport, size bench.Size) {
	c, s := math.Abs(math.Cos(over.Turn())), math.Abs(math.Sin(over.Turn()))
	centre := over.Inverse().Carry(geometry.ImagePt(first.Centre))
	return bench.Viewport{Centre: bench.PicturePt(centre), Scale: first.Scale * over.Scale()},
		bench.Size{W: stage.W*c + stage.H*s, H: stage.W*s + stage.H*c}
}

// presentOver renders the second stage's picture for where it lies over the first.
func (room *Room) presentOver(over geometry.Similarity) {
	v, f := &room.views[1], room.host.Session().Film(1)
	stages := &room.host.Session().Show().Stages
	stage := room.views[0].stageSize()
	if f == nil || stage.W < 1 || stage.H < 1 {
		return
	}
	f.Want(stages[1].Frame)
	fr := f.Frame(stages[1].Frame)
	if fr != nil {
		defer fr.Release()
	}
	port, size := carried(stages[0].Port, over, stage)
	if err := v.picture.update(f, fr, port.Visible(stages[1].Picture, size)); err != nil {
		f.Err = err.Error()
	}
}

// placed carries a place of the stage that carried returns, of a size, to where it is
// seen on the first one: from the middle of the one to that of the other, the y axis
// turned about where it is mirrored, then turned.
func placed(over geometry.Similarity, size, stage bench.Size) f32.Affine2D {
	sin, cos := math.Sincos(over.Turn())
	flip := 1.0
	if over.Mirrored {
		flip = -1
	}
	turn := f32.NewAffine2D(float32(cos), float32(-flip*sin), 0, float32(sin), float32(flip*cos), 0)
	middle := f32.AffineId().Offset(f32.Pt(float32(-size.W/2), float32(-size.H/2)))
	return turn.Mul(middle).Offset(f32.Pt(float32(stage.W/2), float32(stage.H/2)))
}

// layoutOver draws the second stage's picture over the first one's, which has a size.
func (room *Room) layoutOver(gtx layout.Context, over geometry.Similarity, share float64, size image.Point) {
	stages := &room.host.Session().Show().Stages
	stage := bench.Size{W: float64(size.X), H: float64(size.Y)}
	_, own := carried(stages[0].Port, over, stage)
	defer op.Affine(placed(over, own, stage)).Push(gtx.Ops).Pop()
	defer paint.PushOpacity(gtx.Ops, float32(share)).Pop()
	room.views[1].picture.drawTurned(gtx.Ops)
}
