package shots

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/io/semantic"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations/shots"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/takehome"
)

// Layout draws the card.
func (s *Room) Layout(gtx layout.Context) layout.Dimensions {
	if s.columns.open {
		return s.layoutColumns(gtx)
	}
	return s.card.Layout(gtx, s.host.Theme(), "Shots", 980, func(gtx layout.Context) layout.Dimensions {
		gap := gtx.Dp(24)
		w := gtx.Constraints.Max.X
		left := w * 9 / 20
		part := func(x, w int, body layout.Widget) int {
			off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
			defer off.Pop()
			g := gtx
			g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
			return body(g).Size.Y
		}
		h := max(part(0, left, s.layoutShotLog), part(left+gap, w-left-gap, s.layoutShotPictures)) + gtx.Dp(12)
		off := op.Offset(image.Pt(0, h)).Push(gtx.Ops)
		h += kit.EndRow(gtx, func(gtx layout.Context) layout.Dimensions {
			return s.host.Theme().Button(gtx, &s.done, draw.ButtonStyle{Label: "Done", Kind: draw.Primary})
		}).Size.Y
		off.Pop()
		return layout.Dimensions{Size: image.Pt(w, h)}
	})
}

// layoutShotLog draws the shots of the block on show and the fields of the next.
func (s *Room) layoutShotLog(gtx layout.Context) layout.Dimensions {
	th := s.host.Theme()
	block := s.shotBlock()
	hit := s.shotsOf(block)
	for len(s.drop) < len(hit) {
		s.drop = append(s.drop, draw.Button{})
	}
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
	blocks := s.shotBlocks()
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Segmented(gtx, &s.blocks, "Block of shots", min(s.block, len(blocks)-1), blocks...)
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(230))
		draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
		defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
		if len(hit) == 0 {
			for i, line := range []string{"No shots in this block yet.", "Log one below, or paste a table or its path: Ctrl+V."} {
				th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(size.Y)/2+float32(i-1)*float32(gtx.Sp(18))), 0.5, 0, draw.Small, font.Normal, th.Dim, line)
			}
			return layout.Dimensions{Size: size}
		}
		gtx.Constraints = layout.Exact(size)
		s.list.Layout(gtx, len(hit), func(gtx layout.Context, i int) layout.Dimensions {
			return s.layoutShotRow(gtx, i, &hit[i], size.X)
		})
		return layout.Dimensions{Size: size}
	})
	col.Add(func(gtx layout.Context) layout.Dimensions { return s.layoutShotEntry(gtx) })
	if s.entryError != "" {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Small, font.Normal, th.Danger, s.entryError)
		})
	}
	button := func(b *draw.Button, st draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, st) }
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return draw.Row(gtx, draw.Gap,
			button(&s.add, draw.ButtonStyle{Label: "Add the shot", Icon: draw.IconPlus, Compact: true}),
			button(&s.file, draw.ButtonStyle{Label: "Read a table …", Icon: draw.IconOpen, Compact: true}),
			button(&s.clear, draw.ButtonStyle{Icon: draw.IconTrash, Name: "Take this block's shots out", Tip: "Take this block's shots out", Kind: draw.Quiet, Compact: true, Disabled: len(hit) == 0}))
	})
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
			"Path: positive in-to-out. Face to path: positive open. Strike: positive toward the toe and up the face.")
	})
	return col.Done()
}

func (s *Room) layoutShotRow(gtx layout.Context, i int, shot *shots.Shot, width int) layout.Dimensions {
	th := s.host.Theme()
	size := image.Pt(width, gtx.Sp(28))
	var parts []string
	// Trade words for the two ways a reading goes, in place of a sign; common practice,
	// no source.
	for _, r := range []struct {
		reading      shots.Reading
		below, above string
	}{
		{shots.ClubPath, "out-to-in", "in-to-out"}, {shots.FaceToPath, "closed", "open"},
		{shots.StrikeAcross, "heel", "toe"}, {shots.StrikeUp, "low", "high"}, {shots.Carry, "carry", "carry"}, {shots.Offline, "left", "right"},
	} {
		if v, ok := shot.Values[r.reading]; ok {
			info, _ := shots.InfoOf(r.reading)
			far := r.reading == shots.Offline && s.host.Session().Bench.Lesson().Student.Handed == geometry.LeftHanded
			side := r.above // the far side of the target line is the left of a left-hander
			if v < 0 != far {
				side = r.below
			}
			parts = append(parts, side+" "+s.unit(info).Number(math.Abs(v)))
		}
	}
	text := strings.Join(parts, "   ")
	if len(parts) == 0 {
		text = words.Count(len(shot.Values), "reading", "readings")
	}
	mid := float32(size.Y) / 2
	th.TextAt(gtx, f32.Pt(float32(gtx.Dp(8)), mid), 0, 0.5, draw.Small, font.Normal, th.Dim, strconv.Itoa(i+1))
	g := gtx
	trash := gtx.Sp(draw.Compact)
	g.Constraints = layout.Constraints{Max: image.Pt(size.X-gtx.Sp(34)-trash, size.Y)}
	off := op.Offset(image.Pt(gtx.Sp(32), (size.Y-gtx.Sp(16))/2)).Push(gtx.Ops)
	th.Label(g, draw.Small, font.Medium, th.Text, text)
	off.Pop()
	off = op.Offset(image.Pt(size.X-trash-gtx.Dp(4), (size.Y-trash)/2)).Push(gtx.Ops)
	g.Constraints = layout.Constraints{Max: image.Pt(trash, trash)}
	th.Button(g, &s.drop[i], draw.ButtonStyle{Icon: draw.IconTrash, Name: fmt.Sprintf("Take shot %d out", i+1), Kind: draw.Quiet, Compact: true})
	off.Pop()
	return layout.Dimensions{Size: size}
}

func (s *Room) layoutShotEntry(gtx layout.Context) layout.Dimensions {
	names := [...]string{"Path", "Face to path", "Across", "Up", "Carry"}
	n := len(entryReadings)
	gap := gtx.Dp(6)
	w := (gtx.Constraints.Max.X - (n-1)*gap) / n
	h := 0
	for i, r := range entryReadings {
		info, _ := shots.InfoOf(r)
		off := op.Offset(image.Pt(i*(w+gap), 0)).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(w, gtx.Constraints.Max.Y)}
		h = max(h, s.host.Theme().Field(g, &s.entry[i], draw.FieldStyle{Label: names[i], Suffix: s.unit(info).Name}).Size.Y)
		off.Pop()
	}
	return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, h)}
}

// layoutShotPictures draws the two pictures and the differences between the
// first two blocks that have shots.
func (s *Room) layoutShotPictures(gtx layout.Context) layout.Dimensions {
	th, l := s.host.Theme(), s.host.Session().Bench.Lesson()
	earlier, later, _ := l.Shots.Compared()
	col := kit.Column{Gtx: gtx, Gap: gtx.Dp(10)}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		gap := gtx.Dp(12)
		w := (gtx.Constraints.Max.X - gap) / 2
		h := gtx.Sp(190)
		for i, p := range takehome.ShotPictures {
			off := op.Offset(image.Pt(i*(w+gap), 0)).Push(gtx.Ops)
			s.drawShotPicture(gtx, image.Pt(w, h), p, earlier, later)
			off.Pop()
		}
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, h)}
	})
	inside := "The next shot falls inside the ellipse 95 times of 100."
	if f, any := s.flights(earlier, later); any {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return s.drawFlights(gtx, image.Pt(gtx.Constraints.Max.X, gtx.Sp(flightHeight)), &f, earlier, later)
		})
		inside += " Of where balls came down, half fall inside the inner, bolder one."
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, fmt.Sprintf("Rings: %s. Dots: %s. %s", earlier, later, inside))
	})
	told := false
	for _, info := range shots.Readings {
		x, y := l.Shots.Of(earlier, info.Name), l.Shots.Of(later, info.Name)
		if len(x) == 0 && len(y) == 0 {
			continue
		}
		if !told {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return s.differenceRow(gtx, [4]string{"", earlier, later, "difference, 95 %"}, th.Dim)
			})
		}
		told = true
		col.Add(func(gtx layout.Context) layout.Dimensions { return s.layoutDifference(gtx, info, x, y) })
	}
	if !told {
		col.Add(func(gtx layout.Context) layout.Dimensions {
			return th.Paragraph(gtx, draw.Body, font.Normal, th.Dim,
				"Log some shots before a change and some after it: from five in each block on, the program says whether the difference is real.")
		})
	}
	return col.Done()
}

// layoutDifference writes one reading of both blocks and the difference.
func (s *Room) layoutDifference(gtx layout.Context, info shots.Info, earlier, later []float64) layout.Dimensions {
	th := s.host.Theme()
	u := s.unit(info)
	mean := func(v []float64) string {
		s := shots.Summarise(v)
		switch {
		case s.N == 0:
			return "none"
		case s.N == 1:
			return u.WithName(s.Mean)
		}
		return words.With(u.Number(s.Mean), u.Number((s.High95-s.Low95)/2))
	}
	d := shots.Compare(earlier, later)
	word, ink := "too few to tell", th.Dim
	switch {
	case d.Enough && d.Real:
		word, ink = "real", th.Text
	case d.Enough:
		word = words.CantTell
	}
	change := ""
	if len(earlier) > 1 && len(later) > 1 {
		change = words.With(u.Signed(d.Value), u.Number((d.High95-d.Low95)/2)) + ", "
	}
	text := [4]string{bench.Title(info.Name) + ", " + u.Name, mean(earlier), mean(later), change + word}
	row := clip.Rect(image.Rect(0, 0, gtx.Constraints.Max.X, gtx.Sp(20))).Push(gtx.Ops)
	semantic.LabelOp(fmt.Sprintf("%s: %s, then %s: %s", info.Name, text[1], text[2], text[3])).Add(gtx.Ops)
	row.Pop()
	return s.differenceRow(gtx, text, ink)
}

// differenceRow writes a row of the comparison of two blocks.
func (s *Room) differenceRow(gtx layout.Context, text [4]string, last color.NRGBA) layout.Dimensions {
	th := s.host.Theme()
	size := image.Pt(gtx.Constraints.Max.X, gtx.Sp(20))
	x := [5]int{0, size.X * 34 / 100, size.X * 52 / 100, size.X * 70 / 100, size.X}
	for i, t := range text {
		ink := th.Text
		switch {
		case i == 3:
			ink = last
		case i == 0 || text[0] == "":
			ink = th.Dim
		}
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(x[i+1]-x[i]-gtx.Dp(6), size.Y)}
		off := op.Offset(image.Pt(x[i], 0)).Push(gtx.Ops)
		th.Label(g, draw.Small, font.Normal, ink, t)
		off.Pop()
	}
	return layout.Dimensions{Size: size}
}

// faceHalf is half the breadth of the face that is drawn, mm; from memory.
const faceHalf = 38

func (s *Room) drawShotPicture(gtx layout.Context, size image.Point, p takehome.ShotPicture, earlier, later string) {
	th := s.host.Theme()
	draw.RoundRect(gtx.Ops, image.Rectangle{Max: size}, gtx.Dp(draw.Radius), th.Well)
	defer clip.Rect(image.Rectangle{Max: size}).Push(gtx.Ops).Pop()
	th.TextAt(gtx, f32.Pt(float32(gtx.Dp(8)), float32(gtx.Dp(6))), 0, 0, draw.Small, font.Medium, th.Dim, p.Heading(s.unit(p.Info())))
	half := p.Least
	both := [2][2][]float64{}
	for i, b := range []string{earlier, later} {
		for _, s := range s.shotsOf(b) {
			x, ok1 := s.Values[p.X]
			y, ok2 := s.Values[p.Y]
			if ok1 && ok2 {
				both[i][0], both[i][1] = append(both[i][0], x), append(both[i][1], y)
				half = max(half, math.Abs(x)*1.15, math.Abs(y)*1.15)
			}
		}
	}
	// The ellipses are seen whole, unless they would make the shots a heap.
	most := 3 * half
	for _, v := range both {
		if e, ok := shots.Dispersion(v[0], v[1]); ok {
			for _, q := range ellipse(e, func(x, y float64) f32.Point { return f32.Pt(float32(x), float32(y)) }) {
				half = max(half, min(1.05*math.Max(math.Abs(float64(q.X)), math.Abs(float64(q.Y))), most))
			}
		}
	}
	centre := f32.Pt(float32(size.X)/2, float32(size.Y)/2+float32(gtx.Sp(8)))
	k := (float32(min(size.X, size.Y-gtx.Sp(34))) / 2) / float32(half)
	if p.Face { // seen whole
		k = min(k, float32(size.X-gtx.Dp(12))/(2*faceHalf))
	}
	at := func(x, y float64) f32.Point { return centre.Add(f32.Pt(float32(x)*k, -float32(y)*k)) }
	var pen draw.Pen
	pen.Begin(gtx.Ops)
	hair := float32(max(gtx.Dp(1), 1))
	pen.Line(at(-half, 0), at(half, 0), hair)
	pen.Line(at(0, -half), at(0, half), hair)
	pen.Fill(th.Line)
	edge := float32(size.X)
	if p.Face { // a plain face outline: heel at the left, toe at the right
		pen.Begin(gtx.Ops)
		a0, b0 := at(-faceHalf, 18), at(faceHalf, -18)
		pen.RoundFrame(a0.X, a0.Y, b0.X, b0.Y, 12*k, hair*1.5)
		pen.Fill(th.Edge)
		edge = min(edge, b0.X)
	}
	th.TextAt(gtx, f32.Pt(edge-float32(gtx.Dp(6)), centre.Y-float32(gtx.Dp(2))), 1, 1, draw.Small, font.Normal, th.Dim, p.Right)
	th.TextAt(gtx, at(0, half).Add(f32.Pt(float32(gtx.Dp(5)), 0)), 0, 0, draw.Small, font.Normal, th.Dim, p.Up)
	for i, v := range both {
		ink := th.Ghost
		if i == 1 {
			ink = th.Accent
		}
		pen.Begin(gtx.Ops)
		dots(gtx, &pen, v, i == 0, at)
		if e, ok := shots.Dispersion(v[0], v[1]); ok {
			pen.Polyline(ellipse(e, at), hair*1.3, true)
		}
		pen.Fill(ink)
	}
	if len(both[0][0])+len(both[1][0]) == 0 {
		const text = "no shots with both readings"
		sz, _ := th.TextSize(gtx, draw.Small, font.Normal, text)
		box := image.Rectangle{Max: sz}.Add(image.Pt((size.X-sz.X)/2, size.Y-gtx.Dp(8)-sz.Y))
		draw.Fill(gtx.Ops, box.Inset(-gtx.Dp(2)), th.Well) // no axis runs through it
		th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(box.Max.Y)), 0.5, 1, draw.Small, font.Normal, th.Dim, text)
	}
}

// dots draws a block's readings, the pairs of two lists: rings or discs.
func dots(gtx layout.Context, pen *draw.Pen, v [2][]float64, rings bool, at func(x, y float64) f32.Point) {
	radius := float32(gtx.Dp(4))
	for j := range v[0] {
		if rings {
			pen.Ring(at(v[0][j], v[1][j]), radius, float32(gtx.Dp(1))*1.5)
		} else {
			pen.Circle(at(v[0][j], v[1][j]), radius)
		}
	}
}

// ellipse returns the outline of an ellipse on the picture.
func ellipse(e shots.Ellipse, at func(x, y float64) f32.Point) []f32.Point {
	const n = 64
	pts := make([]f32.Point, n)
	sin, cos := math.Sincos(e.AngleDeg * math.Pi / 180)
	for i := range pts {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		u, v := e.Major*c, e.Minor*s
		pts[i] = at(e.X+u*cos-v*sin, e.Y+u*sin+v*cos)
	}
	return pts
}
