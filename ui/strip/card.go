package strip

import (
	"image"
	"strconv"

	"gioui.org/f32"
	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/unit"

	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
)

// cardForm is how a key position's card is arranged in the width there is; it
// is the same for all cards.
type cardForm struct {
	// narrow cards show one small picture, and their key and one count under
	// it, so that the title has the whole width.
	narrow bool
	text   unit.Sp
	line   int // height of a line of text
	lines  int // of a title
	pad    int
}

// cardSizes are the sizes of text that are tried until every title fits. With
// large text in a small window the cards keep small text: cut off, it would
// tell nothing.
var cardSizes = [...]unit.Sp{draw.Small, 10.5, 9, 7.5, 6}

// cardTitles are the names of the key positions as headings.
var cardTitles = func() (t [numCards]string) {
	for k, name := range geometry.KeyPositions {
		t[k] = bench.Title(string(name))
	}
	return t
}()

// cardForm chooses the form of cards of a width.
func (room *Room) cardForm(gtx layout.Context, width int) cardForm {
	f := cardForm{pad: gtx.Dp(6), text: draw.Small}
	if room.fitCards(gtx, &f, width) {
		return f
	}
	f.narrow, f.pad = true, gtx.Dp(4)
	for _, f.text = range cardSizes {
		if room.fitCards(gtx, &f, width) {
			break
		}
	}
	return f
}

// fitCards reports whether every title and count fits, and measures the text.
func (room *Room) fitCards(gtx layout.Context, f *cardForm, width int) bool {
	count, _ := room.host.Theme().TextSize(gtx, f.text, font.Normal, "22/22")
	f.line, f.lines = count.Y, 1
	counts := 2*count.X + 3*f.pad
	if f.narrow {
		key, _ := room.host.Theme().TextSize(gtx, f.text, font.Normal, "7")
		counts = key.X + count.X + 3*f.pad
	}
	fits := counts <= width
	for k := range cardTitles {
		_, second, ok := room.wrapTitle(gtx, f, k, width)
		fits = fits && ok
		if second != "" {
			f.lines = 2
		}
	}
	return fits
}

// wrapTitle breaks a title that is wider than there is room for where the
// first line is longest; second is empty where one line will do.
func (room *Room) wrapTitle(gtx layout.Context, f *cardForm, k, width int) (first, second string, ok bool) {
	title := cardTitles[k]
	full := width - 2*f.pad
	beside := full
	if !f.narrow {
		key, _ := room.host.Theme().TextSize(gtx, f.text, font.Normal, "7")
		beside -= key.X + f.pad
	}
	fits := func(s string, width int) bool {
		sz, _ := room.host.Theme().TextSize(gtx, f.text, font.SemiBold, s)
		return sz.X <= width
	}
	if fits(title, beside) {
		return title, "", true
	}
	for i := len(title) - 1; i > 0; i-- {
		if title[i] == ' ' && fits(title[:i], beside) {
			return title[:i], title[i+1:], fits(title[i+1:], full)
		}
	}
	return title, "", false
}

// cardKeys are the digits that the cards are called by.
var cardKeys = func() (t [numCards]string) {
	for k := range t {
		t[k] = strconv.Itoa(k + 1)
	}
	return t
}()

func (room *Room) layoutCardFace(gtx layout.Context, f *cardForm, k int, name geometry.PositionName, size image.Point, set bool) {
	th := room.host.Theme()
	ink := th.Text
	if !set {
		ink = th.Dim
	}
	label := func(at image.Point, width int, s string) {
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(max(width, 0), f.line)}
		off := op.Offset(at).Push(gtx.Ops)
		th.Label(g, f.text, font.SemiBold, ink, s)
		off.Pop()
	}
	first, second, _ := room.wrapTitle(gtx, f, k, size.X)
	full := size.X - 2*f.pad
	top := f.pad/2 + gtx.Dp(2)
	if f.narrow {
		th.TextAt(gtx, f32.Pt(float32(f.pad), float32(size.Y-f.pad/2)), 0, 1, f.text, font.Normal, th.Dim, cardKeys[k])
		label(image.Pt(f.pad, top), full, first)
	} else {
		key := th.TextAt(gtx, f32.Pt(float32(size.X-f.pad), float32(top)), 1, 0, f.text, font.Normal, th.Dim, cardKeys[k])
		label(image.Pt(f.pad, top), key.Min.X-2*f.pad, first)
	}
	label(image.Pt(f.pad, top+f.line), full, second)
	top += f.lines*f.line + gtx.Dp(3)
	area := image.Rect(f.pad, top, size.X-f.pad, size.Y-f.line-f.pad/2-gtx.Dp(2))
	switch {
	case !set:
		th.TextAt(gtx, f32.Pt(float32(size.X)/2, float32(area.Min.Y+area.Max.Y)/2), 0.5, 0.5, f.text, font.Normal, th.Dim, "not set")
	case area.Dy() > 0:
		room.layoutCardPictures(gtx, f, name, size, area)
	}
}

// layoutCardPictures draws the small pictures of a position with how much is
// marked of each; of a narrow card the one of the stage worked on.
func (room *Room) layoutCardPictures(gtx layout.Context, f *cardForm, name geometry.PositionName, size image.Point, area image.Rectangle) {
	th, b := room.host.Theme(), room.host.Session().Show()
	n := bench.NumStages
	if f.narrow {
		n = 1
	}
	h := area.Dy()
	w := h * thumbSize.X / thumbSize.Y
	if widest := (area.Dx() - (n-1)*f.pad) / n; w > widest {
		w = widest
		h = w * thumbSize.Y / thumbSize.X
	}
	x := (size.X - n*w - (n-1)*f.pad) / 2
	foot := float32(size.Y - f.pad/2)
	proposed, allDone, allUseful := 0, 0, 0
	var newAt float32 // the middle of the one that is proposed
	for i := range b.Stages {
		tick, ok := b.TickOf(i, name)
		at := image.Pt(x+i*(w+f.pad), area.Min.Y)
		if f.narrow {
			at.X = x
		}
		r := image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
		shown := !f.narrow || i == b.Active
		switch {
		case !shown:
		case !ok:
			draw.RoundFrame(gtx.Ops, r, float32(gtx.Dp(3)), float32(gtx.Dp(1)), th.Line)
		default:
			room.drawThumb(gtx, room.thumbOf(i, tick.Frame), r)
			if tick.Proposed {
				draw.Fill(gtx.Ops, r, th.Scrim)
			}
		}
		if tick.Proposed {
			proposed++
			newAt = float32(at.X) + float32(w)/2
		}
		if !ok || tick.Proposed || room.host.Session().Comparing != nil {
			continue
		}
		done, useful := room.host.Session().Bench.Progress(i, name)
		allDone, allUseful = allDone+done, allUseful+useful
		if !f.narrow {
			room.layoutCount(gtx, f, f32.Pt(float32(at.X)+float32(w)/2, foot), 0.5, done, useful)
		}
	}
	switch {
	case proposed > 0 && f.narrow:
		word := "proposed"
		if w, _ := th.TextSize(gtx, f.text, font.Normal, word); w.X > size.X-2*f.pad-gtx.Sp(14) {
			word = "new"
		}
		th.TextAt(gtx, f32.Pt(float32(size.X-f.pad), foot), 1, 1, f.text, font.Normal, th.Dim, word)
	case proposed > 0 && allUseful > 0: // the other has its count
		th.TextAt(gtx, f32.Pt(newAt, foot), 0.5, 1, f.text, font.Normal, th.Dim, "new")
	case proposed > 0:
		th.TextAt(gtx, f32.Pt(float32(size.X)/2, foot), 0.5, 1, f.text, font.Normal, th.Dim, "proposed")
	case f.narrow && allUseful > 0:
		room.layoutCount(gtx, f, f32.Pt(float32(size.X-f.pad), foot), 1, allDone, allUseful)
	}
}

// layoutCount writes how many of the useful points are marked.
func (room *Room) layoutCount(gtx layout.Context, f *cardForm, at f32.Point, anchor float32, done, useful int) {
	c := room.host.Theme().Dim
	if done == useful {
		c = room.host.Theme().Within
	}
	room.host.Theme().TextAt(gtx, at, anchor, 1, f.text, font.Normal, c, room.count(done, useful))
}
