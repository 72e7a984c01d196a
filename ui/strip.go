package ui

import (
	"context"
	"fmt"
	"image"

	"gioui.org/f32"
	"gioui.org/io/pointer"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"
	"gioui.org/op/paint"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/session"
)

const stripHeight unit.Sp = 124

// numCards is how many key positions the strip shows: all of them.
const numCards = 7

// stripState is the row of key positions: a card each, with the two small
// pictures and how much is marked.
type stripState struct {
	cards  [numCards]draw.Button
	figure draw.Button  // the small drawing of the body in the guide
	of     *bench.Bench // that the small pictures are of
	thumbs map[thumbKey]*thumb
	counts map[[2]int]string // as they are written
}

// count writes how many points of those useful are done.
func (s *stripState) count(done, useful int) string {
	k := [2]int{done, useful}
	text, ok := s.counts[k]
	if !ok {
		if s.counts == nil {
			s.counts = make(map[[2]int]string)
		}
		text = fmt.Sprintf("%d/%d", done, useful)
		s.counts[k] = text
	}
	return text
}

// thumbKey names a small picture: a frame of a clip.
type thumbKey struct {
	film  *session.Film
	frame int
}

type thumb struct {
	op     paint.ImageOp
	ready  bool
	failed bool
}

// thumbSize is the size in pixels at which small pictures are kept; they are
// drawn at whatever size the card has.
var thumbSize = image.Pt(96, 128)

// thumbOf returns the small picture of a frame, and has it made if there is
// none yet.
func (a *App) thumbOf(stage, frame int) *thumb {
	d := a.desk
	f := d.Film(stage)
	if f == nil {
		return nil
	}
	if a.strip.of != d.Bench {
		a.strip.of, a.strip.thumbs = d.Bench, nil
	}
	k := thumbKey{f, frame}
	if t := a.strip.thumbs[k]; t != nil {
		return t
	}
	if a.strip.thumbs == nil {
		a.strip.thumbs = make(map[thumbKey]*thumb)
	}
	t := new(thumb)
	a.strip.thumbs[k] = t
	part := thumbPart(d.Show().Stages[stage].Picture)
	a.work.Go("Making a small picture", func() {
		img, err := f.Thumbnail(d.Context(), frame, part, thumbSize)
		if err == context.Canceled {
			return
		}
		a.work.Post(func() {
			if t.failed = err != nil; t.failed {
				return
			}
			t.op, t.ready = paint.NewImageOp(img), true
			t.op.Filter = paint.FilterLinear
		})
	}, func() { t.failed = true })
	return t
}

// thumbPart is the middle of the picture in the shape of a small picture.
func thumbPart(p bench.Size) image.Rectangle {
	w, h := int(p.W), int(p.H)
	cw := min(w, h*thumbSize.X/thumbSize.Y)
	ch := min(h, w*thumbSize.Y/thumbSize.X)
	x, y := (w-cw)/2&^1, (h-ch)/2&^1
	return image.Rect(x, y, x+cw, y+ch)
}

func (a *App) updateStrip(gtx layout.Context) {
	for a.strip.figure.Clicked(gtx) {
		a.Run("points")
	}
	for k := range a.strip.cards {
		if a.strip.cards[k].Clicked(gtx) {
			a.Run("go to " + string(geometry.KeyPositions[k]))
		}
	}
}

func (a *App) layoutStrip(gtx layout.Context) layout.Dimensions {
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(stripHeight))
	draw.Fill(gtx.Ops, image.Rectangle{Max: size}, a.theme.Panel)
	const n = numCards
	gap, pad := gtx.Dp(5), gtx.Dp(8)
	w := (size.X - 2*pad - (n-1)*gap) / n
	form := a.cardForm(gtx, w)
	for k, name := range geometry.KeyPositions {
		off := op.Offset(image.Pt(pad+k*(w+gap), pad)).Push(gtx.Ops)
		a.layoutCard(gtx, &form, k, name, image.Pt(w, size.Y-2*pad))
		off.Pop()
	}
	return layout.Dimensions{Size: size}
}

func (a *App) layoutCard(gtx layout.Context, f *cardForm, k int, name geometry.PositionName, size image.Point) {
	th, b := a.theme, a.desk.Show()
	card := &a.strip.cards[k]
	gtx.Constraints = layout.Exact(size)
	_, first := b.TickOf(0, name)
	_, second := b.TickOf(1, name)
	set := first || second || a.desk.Bench.Swing().Position(name) != nil
	current := b.Position == name
	card.Clickable.Layout(gtx, func(gtx layout.Context) layout.Dimensions {
		semantic.Button.Add(gtx.Ops)
		semantic.LabelOp(bench.Title(string(name))).Add(gtx.Ops)
		semantic.SelectedOp(current).Add(gtx.Ops)
		r := image.Rectangle{Max: size}
		ground := th.Raised
		switch {
		case !set:
			ground = th.Panel
		case card.Hovered():
			ground = th.Hover
		}
		rad := gtx.Dp(draw.Radius)
		draw.RoundRect(gtx.Ops, r, rad, ground)
		edge, width := th.Line, float32(gtx.Dp(1))
		if current {
			edge, width = th.Accent, float32(gtx.Dp(2))
		}
		draw.RoundFrame(gtx.Ops, r, float32(rad), width, edge)
		pointer.CursorPointer.Add(gtx.Ops)
		a.layoutCardFace(gtx, f, k, name, size, set)
		return layout.Dimensions{Size: size}
	})
	if gtx.Focused(&card.Clickable) {
		th.FocusRing(gtx, image.Rectangle{Max: size})
	}
}

func (a *App) drawThumb(gtx layout.Context, t *thumb, r image.Rectangle) {
	draw.Fill(gtx.Ops, r, a.theme.Surround)
	if t == nil || !t.ready {
		return
	}
	defer clip.UniformRRect(r, gtx.Dp(3)).Push(gtx.Ops).Pop()
	defer op.Offset(r.Min).Push(gtx.Ops).Pop()
	s := f32.Pt(float32(r.Dx())/float32(thumbSize.X), float32(r.Dy())/float32(thumbSize.Y))
	defer op.Affine(f32.AffineId().Scale(f32.Point{}, s)).Push(gtx.Ops).Pop()
	t.op.Add(gtx.Ops)
	paint.PaintOp{}.Add(gtx.Ops)
}
