package film

import (
	"cmp"
	"context"
	"image"
	"image/color"
	"image/draw"
	"math"
	"reflect"

	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/ui/compare/laid"
	"turngauge/ui/explain"
	"turngauge/ui/takehome/crop"
	"turngauge/video"
)

var (
	surround = color.NRGBA{0x14, 0x15, 0x17, 0xff}
	bright   = color.NRGBA{0xe9, 0xea, 0xec, 0xff}
	dim      = color.NRGBA{0xa4, 0xa9, 0xb1, 0xff}
	accent   = color.NRGBA{0x4c, 0xc9, 0xb4, 0xff}
	plate    = color.NRGBA{0x14, 0x15, 0x17, 0xc8}
)

// easel draws frames of a film, and nothing again that is there already.
type easel struct {
	f     *Film
	to    ground
	unit  float64       // pixels: a 720th of the shorter side
	below *image.RGBA   // for the words under the pictures
	ink   []*image.RGBA // by view, clear where nothing is being drawn

	under, other *image.RGBA // of pictures that lie over each other

	state *review.State // that is drawn
	burnt string
	drawn bool
	views []drawnView // that are drawn
	lines foot        // that stand under them
	side  *aside      // that stands beside them
}

// drawnView is a view that was drawn, by all that is to be seen of it.
type drawnView struct {
	of     review.State // its only view, and what else is drawn on it
	room   image.Rectangle
	paired bool
	foot
}

// foot is what is written under the pictures.
type foot struct {
	head, said string
	pace       string // how fast the clips play; "" while they stand still
	told       bool   // a number stands on the pictures
}

func (f *Film) easel(to ground) *easel {
	foot := f.size.Y * 15 / 100 &^ 1
	return &easel{f: f, to: to, unit: float64(min(f.size.X, f.size.Y)) / 720, below: image.NewRGBA(image.Rect(0, 0, f.size.X, foot))}
}

// draw draws frame n of the film.
func (e *easel) draw(ctx context.Context, n int) error {
	s, burnt := e.f.shown(n), ""
	if e.f.request.Burn {
		burnt = e.f.captionAt((float64(n) + 0.5) / Rate)
	}
	if e.drawn && s == e.state && burnt == e.burnt {
		return nil
	}
	room := image.Rectangle{Max: e.f.size}
	room.Max.Y -= e.below.Rect.Dy()
	var rooms []image.Rectangle
	side, left, err := e.aside(ctx, s, room)
	if err != nil {
		return err
	}
	over, err := e.f.aligned(ctx, s)
	if err != nil {
		return err
	}
	if s != nil {
		n := len(s.Views)
		if over != nil {
			n = 1
		}
		rooms = e.places(left, n, side != nil)
	}
	if !e.drawn || burnt != e.burnt || burnt != "" || len(rooms) != len(e.views) || (side == nil) != (e.side == nil) { // a caption lies over pictures
		e.to.Fill(room, surround)
		e.views, e.side = make([]drawnView, len(rooms)), nil
	}
	if side != nil && (e.side == nil || !reflect.DeepEqual(*side, *e.side)) {
		e.beside(side)
	}
	var under foot
	for i, place := range rooms {
		if err := e.view(ctx, s, i, place, over); err != nil {
			e.drawn = false
			return err
		}
		v := &e.views[i].foot
		under.head, under.said, under.told = cmp.Or(under.head, v.head), cmp.Or(under.said, v.said), under.told || v.told
	}
	if s != nil {
		under.pace = pace(s.Slow)
	}
	under.told = under.told || side != nil && side.panel != findings
	if !e.drawn || under != e.lines {
		e.words(room.Max.Y, under)
	}
	if burnt != "" {
		e.burn(burnt, room)
	}
	e.drawn, e.state, e.burnt, e.lines, e.side = true, s, burnt, under, side
	return nil
}

// places are where so many views lie: beside each other, or on an upright film below each
// other, unless something else is below them.
func (e *easel) places(room image.Rectangle, views int, aside bool) []image.Rectangle {
	if views == 0 {
		return nil
	}
	weights := make([]float64, views)
	for i := range weights {
		weights[i] = 1
	}
	if e.f.upright() && !aside {
		return crop.Rows(room, weights, 1)
	}
	return crop.Row(room, weights, 1)
}

// view draws a view, unless it is there as it is to be.
func (e *easel) view(ctx context.Context, s *review.State, i int, room image.Rectangle, over *laid.Aligned) error {
	v := &s.Views[i]
	now := drawnView{of: ofView(s, i), room: room, paired: len(s.Views) > 1}
	if over != nil {
		now.of.Views, now.of.Over = s.Views, s.Over
	}
	was := &e.views[i]
	if now.room == was.room && now.paired == was.paired && reflect.DeepEqual(now.of, was.of) {
		return nil
	}
	*was = drawnView{}
	e.to.Fill(room, surround)
	side, err := e.f.side(ctx, swingOf(s, v))
	if err != nil || side == nil {
		return err
	}
	c := side.Swing().Clip(v.Clip)
	if c == nil {
		e.f.note("A clip that was shown is no longer in the lesson, so it is left out.")
		return nil
	}
	r := e.f.reader(side, c)
	if r == nil {
		return nil
	}
	frame, err := r.Read(ctx, frameOf(r, v))
	if err != nil {
		if ctx.Err() == nil {
			e.f.note("Some frames of the %s clip can't be decoded, so they are left out.", c.View)
		}
		return ctx.Err()
	}
	defer frame.Release()
	part, place := framed(v.Part, frame.Bounds(), room)
	if over != nil {
		err = e.layOver(ctx, s, frame, part, place, over)
	} else {
		err = e.to.Put(frame, part, place)
	}
	if err != nil {
		return err
	}
	for len(e.ink) <= i {
		e.ink = append(e.ink, nil)
	}
	if e.ink[i] == nil || e.ink[i].Rect.Size() != place.Size() {
		e.ink[i] = image.NewRGBA(image.Rectangle{Max: place.Size()})
	}
	ink := e.ink[i]
	fig, said := e.f.figure(s, v, side, now.paired)
	if fig != nil && said != "" && !s.Explained && float64(place.Dx()) < 420*e.unit {
		fig.Labels = nil // it would cover the golfer, and stands below
	}
	on := e.paint(ink, fig, part)
	if p := s.Pointer; p != nil && p.View == i {
		k := float64(place.Dx()) / float64(part.Dx())
		on = on.Union(e.pointer(ink, (p.X-float64(part.Min.X))*k, (p.Y-float64(part.Min.Y))*k))
	}
	if on = image.Rect(on.Min.X&^1, on.Min.Y&^1, on.Max.X, on.Max.Y).Intersect(ink.Rect); !on.Empty() {
		drawn := ink.SubImage(on).(*image.RGBA)
		e.to.Over(drawn, place.Min.Add(on.Min))
		draw.Draw(drawn, on, image.Transparent, image.Point{}, draw.Src)
	}
	number := said != ""
	if text := e.f.whose(s, v, over); text != "" {
		inset := int(10 * e.unit)
		e.plate(text, place.Min.Add(image.Pt(inset, inset)))
	}
	if over != nil && said == "" {
		said = over.Words(e.f.request.Imperial)
	}
	now.foot = foot{head: called(geometry.PositionName(positionOf(side, v))), said: said, told: number || fig.HasNumbers()}
	*was = now
	return nil
}

// ofView is what is to be seen of one view of a state.
func ofView(s *review.State, i int) review.State {
	out := review.State{Swing: s.Swing, Other: s.Other, Views: s.Views[i : i+1], Explained: s.Explained, Lines: s.Lines, Drawings: s.Drawings, Row: s.Row}
	if s.Pointer != nil && s.Pointer.View == i {
		out.Pointer = s.Pointer
	}
	return out
}

// frameOf is the frame that a view shows, of those that there are.
func frameOf(r *video.Reader, v *review.View) int { return min(max(v.Frame, 0), r.Frames()-1) }

// mostCut is how much of the sides of a picture may be missing for the sake of its room.
const mostCut = 0.25

// framed is the part of a picture that is seen, grown to the shape of its room as far as
// there is picture, at the sides cut by mostCut where there is none, and where it comes to lie, both at even numbers.
func framed(seen [4]float64, whole, room image.Rectangle) (part, place image.Rectangle) {
	x, y, w, h := seen[0], seen[1], seen[2], seen[3]
	if !(w >= 8 && h >= 8) || math.IsInf(w+h+x+y, 0) || math.IsNaN(w+h+x+y) {
		x, y, w, h = 0, 0, float64(whole.Dx()), float64(whole.Dy())
	}
	shape := crop.Shape(room)
	if w/h < shape {
		x, w = x-(h*shape-w)/2, h*shape
	} else {
		y, h = y-(w/shape-h)/2, w/shape
	}
	fit := func(at, n, most float64) (float64, float64) {
		n = math.Min(n, most)
		return math.Min(math.Max(at, 0), most-n), n
	}
	x, w = fit(x, w, float64(whole.Dx()))
	y, h = fit(y, h, float64(whole.Dy()))
	if narrow := math.Max(h*shape, (1-mostCut)*w); narrow < w { // there is no more picture above and below
		x, w = x+(w-narrow)/2, narrow
	}
	part = crop.Even(image.Rect(int(x), int(y), int(x+w), int(y+h)))
	k := crop.Enlargement(part, room)
	pw, ph := min(int(float64(part.Dx())*k+0.5)&^1, room.Dx()&^1), min(int(float64(part.Dy())*k+0.5)&^1, room.Dy()&^1)
	at := room.Min.Add(image.Pt((room.Dx()-pw)/4*2, (room.Dy()-ph)/4*2))
	return part, image.Rectangle{Min: at, Max: at.Add(image.Pt(pw, ph))}
}

// paint draws a figure on a view and returns where it did.
func (e *easel) paint(ink *image.RGBA, fig *explain.Figure, part image.Rectangle) image.Rectangle {
	if fig == nil {
		return image.Rectangle{}
	}
	k := float64(ink.Rect.Dx()) / float64(part.Dx())
	face := explain.NewTypeface(15*e.unit, false)
	c := explain.Canvas{
		Scale: k, Left: -float64(part.Min.X) * k, Top: -float64(part.Min.Y) * k,
		Width: float64(ink.Rect.Dx()), Height: float64(ink.Rect.Dy()), Unit: e.unit, TextPx: 15 * e.unit, Measure: face.Measure,
	}
	return explain.Paint(ink, c.Lay(fig), face)
}

// pointer draws a ring about a place, dark about light, and returns where.
func (e *easel) pointer(ink *image.RGBA, x, y float64) image.Rectangle {
	radius := 15 * e.unit
	r := image.Rect(int(x-radius-4), int(y-radius-4), int(x+radius+5), int(y+radius+5)).Intersect(ink.Rect)
	for py := r.Min.Y; py < r.Max.Y; py++ {
		for px := r.Min.X; px < r.Max.X; px++ {
			off := math.Abs(math.Hypot(float64(px)+0.5-x, float64(py)+0.5-y) - radius)
			switch {
			case off < 1.5*e.unit:
				ink.Set(px, py, accent)
			case off < 3*e.unit:
				ink.Set(px, py, color.NRGBA{0, 0, 0, 0xd0})
			}
		}
	}
	return r
}
