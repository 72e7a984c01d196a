package film

import (
	"context"
	"image"
	"image/color"
	"image/draw"
	"slices"
	"strings"

	"turngauge/annotations/review"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/plan"
	"turngauge/ui/takehome"
	"turngauge/ui/takehome/raster"
)

// What a review's panels are called in its list.
const (
	// Curves is the panel of the curves.
	Curves    = "curves"
	fromAbove = "from above"
	findings  = "findings"
)

// aside is what stands beside the pictures: the golfer from above, or what was found.
type aside struct {
	swing    review.Other
	panel    string                // by its name in the list
	position geometry.PositionName // the golfer from above at it
	curves   *review.Curves        // that are shown
	instant  float64               // of the curves, where the pictures are
	room     image.Rectangle
}

// shares of the pictures' room that an aside takes: of its width, on an upright film of its
// height.
const (
	asideWide    = 0.25
	asideUpright = 0.38
	// narrowest is the shape of two pictures beside each other over an aside, at least.
	narrowest = 0.7
)

// aside is what stands beside a state's pictures, nil for nothing; and what is left of the
// room for them.
func (e *easel) aside(ctx context.Context, s *review.State, room image.Rectangle) (*aside, image.Rectangle, error) {
	if s == nil || len(s.Views) == 0 {
		return nil, room, nil
	}
	a := aside{swing: review.Other{Swing: s.Swing}, room: room}
	side, err := e.f.side(ctx, a.swing)
	if err != nil || side == nil {
		return nil, room, err
	}
	open := slices.Contains(s.Panels, Curves)
	if open && side.motion == nil && !e.f.ahead {
		e.f.note("The curves that were open are not shown here: making the film follows the swing for them.")
	}
	switch {
	case open && side.motion != nil:
		a.panel, a.curves, a.instant = Curves, s.Curves, -1e9 // none
		for i := range s.Views {
			if at, ok := side.instant(&s.Views[i]); ok {
				a.instant = at
				break
			}
		}
	case slices.Contains(s.Panels, findings) && len(side.found()) > 0:
		a.panel = findings
	case slices.Contains(s.Panels, fromAbove) && side.above(geometry.PositionName(s.Position), e.f.request.Imperial) != nil:
		a.panel, a.position = fromAbove, geometry.PositionName(s.Position)
	default:
		return nil, room, nil
	}
	if e.f.upright() || a.panel == Curves {
		room.Max.Y -= int(asideUpright*float64(room.Dy())) &^ 1
		if n := len(s.Views); n > 1 && e.f.upright() {
			room.Max.Y = min(room.Max.Y, room.Min.Y+int(float64(room.Dx()/n)/narrowest)&^1)
		}
		a.room.Min.Y = room.Max.Y
	} else {
		room.Max.X -= int(asideWide*float64(room.Dx())) &^ 1
		a.room.Min.X = room.Max.X
	}
	return &a, room, nil
}

func (f *Film) upright() bool { return f.request.Size == takehome.Phone }

// beside draws an aside.
func (e *easel) beside(a *aside) {
	side := e.f.sides[a.swing]
	switch a.panel {
	case Curves:
		e.put(e.plot(side, a), a.room)
		return
	case findings:
		e.put(e.list(side.found(), a.room.Size()), a.room)
		return
	}
	// The letters of the drawing are 8 points high.
	scale := 15 * e.unit / 8
	e.to.Fill(a.room, surround)
	body := a.room
	body.Min.Y += int(84*e.unit) &^ 1 // what is written stands above
	width, height := float64(body.Dx())/scale, float64(body.Dy())/scale
	figure := side.above(a.position, e.f.request.Imperial)
	shoulders, hips := figure.Shoulders.Label, figure.Hips.Label // beside the golfer they would cover him
	figure.Shoulders.Label, figure.Hips.Label = "", ""
	d := takehome.Above(figure, "", width, min(height, width))
	e.put(diagram(&d, scale), body)
	inset := int(10 * e.unit)
	e.plate("From above, at "+called(a.position), a.room.Min.Add(image.Pt(inset, inset)))
	said := image.NewRGBA(image.Rect(0, 0, a.room.Dx()-2*inset, int(44*e.unit)))
	draw.Draw(said, said.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	face, y := explain.NewTypeface(15*e.unit, true), 0.0
	for _, l := range []struct {
		text string
		ink  color.NRGBA
	}{{shoulders, bright}, {hips, accent}} {
		if l.text != "" {
			face.Draw(said, explain.Pt{X: 6 * e.unit, Y: y}, l.ink, words.Sentence(l.text))
			y += 21 * e.unit
		}
	}
	at := a.room.Min.Add(image.Pt(inset, inset+int(30*e.unit)))
	e.to.Over(said, image.Pt(at.X&^1, at.Y&^1))
}

// put lays a picture into the middle of a room.
func (e *easel) put(img *image.RGBA, room image.Rectangle) {
	e.to.Fill(room, surround)
	size := img.Rect.Size()
	at := room.Min.Add(image.Pt(max(room.Dx()-size.X, 0)/2&^1, max(room.Dy()-size.Y, 0)/2&^1))
	e.to.Over(img.SubImage(image.Rectangle{Max: image.Pt(min(size.X, room.Dx()), min(size.Y, room.Dy()))}).(*image.RGBA), at)
}

// wide is how wide a text is at a size, units.
func (e *easel) wide(text string, size float64) float64 {
	w, _ := explain.NewTypeface(size*e.unit, false).Measure(text)
	return w / e.unit
}

// list writes sentences under each other, as far as there is room.
func (e *easel) list(sentences []string, room image.Point) *image.RGBA {
	img := image.NewRGBA(image.Rectangle{Max: room})
	draw.Draw(img, img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	size := 17 * e.unit
	face := explain.NewTypeface(size, false)
	pad := 18 * e.unit
	y := pad
	for _, text := range sentences {
		lines := raster.Wrapped(text, float64(room.X)-2.4*pad, func(s string) float64 { w, _ := face.Measure(s); return w })
		if y+float64(len(lines))*1.33*size > float64(room.Y) {
			break
		}
		mark := image.Rect(int(pad), int(y+0.45*size), int(pad+6*e.unit), int(y+0.45*size+6*e.unit))
		draw.Draw(img, mark, image.NewUniform(accent), image.Point{}, draw.Src)
		for _, line := range lines {
			face.Draw(img, explain.Pt{X: 1.4*pad + 6*e.unit, Y: y}, bright, line)
			y += 1.33 * size
		}
		y += 0.6 * size
	}
	return img
}

// found is what was found in a swing, and what is prescribed, as the student is told it.
func (s *side) found() (out []string) {
	add := func(text string) {
		if text = strings.Join(strings.Fields(text), " "); text != "" {
			out = append(out, text)
		}
	}
	for i := range s.Swing().Findings {
		add(s.Swing().Findings[i].Text)
	}
	p := &s.Lesson.Prescription
	for _, text := range p.SetUp {
		add(text)
	}
	add(p.Feel)
	add(p.Drill)
	return out
}

// above is the golfer from above at a position, nil where neither hips nor shoulders are
// known there.
func (s *side) above(at geometry.PositionName, imperial bool) *plan.Figure {
	p := s.Points(at)
	if p == nil || s.Mistake().WithholdsAll() {
		return nil
	}
	values := slices.DeleteFunc(slices.Clone(s.Values()), func(m geometry.Measure) bool { return s.Withheld(m.Name, m.Position) })
	f := plan.Build(at, p, s.Points(geometry.Address), values)
	f.Mirror = s.Lesson.Student.Handed == geometry.LeftHanded
	if !f.Hips.Known && !f.Shoulders.Known {
		return nil
	}
	for _, l := range []struct {
		line          *plan.Line
		word, measure string
	}{{&f.Hips, "hips", "pelvis turn"}, {&f.Shoulders, "shoulders", "torso turn"}} {
		if l.line.Label = ""; l.line.Known {
			if number := s.told(l.measure, at, imperial); number != "" {
				l.line.Label = l.word + " " + number
			}
		}
	}
	return &f
}
