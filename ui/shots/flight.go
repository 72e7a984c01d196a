package shots

import (
	"fmt"
	"image"
	"math"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op/clip"
	"gioui.org/unit"

	"turngauge/annotations/shots"
	"turngauge/annotations/words"
	"turngauge/ui/draw"
)

// unit is the unit in which a reading is shown.
func (s *Room) unit(i shots.Info) shots.Unit {
	return s.host.Session().Bench.Lesson().ShotUnit(i, s.host.Settings().Imperial)
}

// flights are where the balls of two blocks came down: carry and offline, as kept.
type flights [2][2][]float64

func (s *Room) flights(earlier, later string) (f flights, any bool) {
	for i, b := range []string{earlier, later} {
		for _, shot := range s.shotsOf(b) {
			x, ok1 := shot.Values[shots.Carry]
			y, ok2 := shot.Values[shots.Offline]
			if ok1 && ok2 {
				f[i][0], f[i][1] = append(f[i][0], x), append(f[i][1], y)
				any = true
			}
		}
	}
	return f, any
}

// span is a stretch of flights, as kept.
type span struct{ from, to float64 }

func (v *span) add(x float64) { v.from, v.to = math.Min(v.from, x), math.Max(v.to, x) }

// reach is what the picture shows of flights: their shots and, unless those would make
// them a heap, the ellipses; with the target line.
func (f *flights) reach() (along, across span) {
	along = span{math.Inf(1), math.Inf(-1)}
	for _, v := range f {
		for i := range v[0] {
			along.add(v[0][i])
			across.add(v[1][i])
		}
	}
	most := 1.5 * math.Max(along.to-along.from, across.to-across.from)
	for _, v := range f {
		if e, ok := shots.Dispersion(v[0], v[1]); ok && e.Major < most {
			for _, q := range ellipse(e, func(x, y float64) f32.Point { return f32.Pt(float32(x), float32(y)) }) {
				along.add(float64(q.X))
				across.add(float64(q.Y))
			}
		}
	}
	room := math.Max(0.06*math.Max(along.to-along.from, across.to-across.from), 2)
	return span{along.from - room, along.to + room}, span{across.from - room, across.to + room}
}

// steps are the distances between the lines of the picture, in the unit shown.
var steps = [...]float64{1, 2, 5, 10, 20, 50, 100}

const flightHeight unit.Sp = 190

// drawFlights draws where the balls came down, seen from above: the target line runs
// across the picture, the far side of it is up. Each block has two ellipses, in which the
// next shot falls half of the times and 95 times of 100.
func (s *Room) drawFlights(gtx layout.Context, size image.Point, f *flights, earlier, later string) layout.Dimensions {
	th := s.host.Theme()
	info, _ := shots.InfoOf(shots.Carry)
	u := s.unit(info)
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	semantic.LabelOp("Carry and offline, " + u.Name).Add(gtx.Ops)
	semantic.DescriptionOp(f.says(earlier, later, u)).Add(gtx.Ops)
	top, foot, left := float32(gtx.Sp(24)), float32(gtx.Sp(18)), float32(gtx.Dp(8))
	th.TextAt(gtx, f32.Pt(left, float32(gtx.Dp(6))), 0, 0, draw.Small, font.Medium, th.Dim, "Carry and offline, "+u.Name)
	along, across := f.reach()
	w, h := float64(size.X)-2*float64(left), float64(float32(size.Y)-top-foot)
	k := math.Min(w/(along.to-along.from), h/(across.to-across.from)) // a metre is as long either way
	cx, cy := (along.from+along.to)/2, (across.from+across.to)/2
	at := func(x, y float64) f32.Point {
		return f32.Pt(left+float32(w/2+k*(x-cx)), top+float32(h/2-k*(y-cy)))
	}
	hair := float32(max(gtx.Dp(1), 1))
	step := steps[len(steps)-1]
	for _, v := range steps {
		if v*u.Per*k >= float64(gtx.Sp(44)) {
			step = v
			break
		}
	}
	half := w / 2 / k
	var pen draw.Pen
	for v := math.Ceil((cx-half)/u.Per/step) * step; v*u.Per < cx+half; v += step {
		x := at(v*u.Per, 0).X
		pen.Begin(gtx.Ops)
		pen.Line(f32.Pt(x, top), f32.Pt(x, float32(size.Y)-foot), hair)
		pen.Fill(th.Line)
		th.TextAt(gtx, f32.Pt(x, float32(size.Y)-float32(gtx.Dp(3))), 0.5, 1, draw.Small, font.Normal, th.Dim, fmt.Sprintf("%g", v))
	}
	pen.Begin(gtx.Ops)
	pen.Line(at(cx-half, 0), at(cx+half, 0), hair*1.5)
	pen.Fill(th.Edge)
	th.TextAt(gtx, at(cx+half, 0).Add(f32.Pt(-float32(gtx.Dp(4)), -float32(gtx.Dp(2)))), 1, 1, draw.Small, font.Normal, th.Dim, "target line")
	for i, v := range f {
		ink := th.Ghost
		if i == 1 {
			ink = th.Accent
		}
		pen.Begin(gtx.Ops)
		dots(gtx, &pen, v, i == 0, at)
		for n, p := range [...]float64{0.5, 0.95} {
			if e, ok := shots.DispersionOf(v[0], v[1], p); ok {
				pen.Polyline(ellipse(e, at), hair*[...]float32{2, 1.2}[n], true)
			}
		}
		pen.Fill(ink)
	}
	return layout.Dimensions{Size: size}
}

// says is the picture in words.
func (f *flights) says(earlier, later string, u shots.Unit) string {
	text := ""
	for i, b := range []string{earlier, later} {
		v := f[i]
		if len(v[0]) == 0 {
			continue
		}
		if text != "" {
			text += "; "
		}
		text += fmt.Sprintf("%s: %s about %s and %s offline", b, words.Count(len(v[0]), "shot", "shots"),
			u.WithName(shots.Summarise(v[0]).Mean), u.WithName(shots.Summarise(v[1]).Mean))
		if e, ok := shots.DispersionOf(v[0], v[1], 0.5); ok {
			text += fmt.Sprintf(", half of them within an ellipse of %s by %s", u.WithName(2*e.Major), u.WithName(2*e.Minor))
		}
	}
	return text
}
