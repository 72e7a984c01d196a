package review

import (
	"cmp"
	"fmt"
	"image"
	"slices"

	"gioui.org/font"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/op/clip"

	"turngauge/annotations"
	annotated "turngauge/annotations/review"
	"turngauge/ui/draw"
	"turngauge/ui/review/film"
)

const labelWeight = font.Normal

// mark is something that happens in a review, at a time of its film, seconds, or on the time
// line at a part of its length.
type mark struct {
	at   float64
	text string
}

// A key position or row counts once it has been shown so long, seconds: what is passed over
// on the way elsewhere is nothing that happens.
const leastShown = 0.5

// marks are what happens in a review: key positions and measures that are shown, drawings,
// another swing beside it, panels that are opened, and what of the plan was said.
func marks(l *annotations.Lesson, rec *annotated.Recorded, c film.Course) []mark {
	var on []mark // on the review's clock
	add := func(at float64, text string) { on = append(on, mark{at, text}) }
	var before annotated.State
	shown := "" // that was marked last
	for i := range rec.Steps {
		now, at := &rec.Steps[i].State, rec.Steps[i].At
		if at > 0 || i > 0 {
			if now.Swing != before.Swing && len(l.Swings) > 1 {
				if k := l.SwingIndex(now.Swing); k >= 0 {
					add(at, fmt.Sprintf("swing %d", k+1))
				}
			}
			if now.Other != nil && before.Other == nil {
				add(at, "two swings")
			}
			for _, p := range now.Panels {
				if !slices.Contains(before.Panels, p) {
					add(at, p)
				}
			}
		}
		if s := subject(l, now); s != subject(l, &before) && s != "" && s != shown && lasts(l, rec, i, s) {
			shown = s
			add(at, s)
		}
		before = *now
	}
	for _, a := range rec.Appearances() {
		add(a.From, drawingName(&a.Drawing))
	}
	for _, s := range rec.Ticked {
		add(s.At, "said: "+s.Text)
	}
	for _, s := range rec.Quiet {
		add(s.At, "no sound")
	}
	var out []mark
	for _, m := range on {
		if shown := c.Shown(annotated.Span{From: m.at, To: m.at + 0.05}); len(shown) > 0 { // else it was cut out
			out = append(out, mark{shown[0].From, m.text})
		}
	}
	slices.SortStableFunc(out, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
	return out
}

// subject is what a state is about: the finding or measure that is pointed at, else the key
// position that is shown.
func subject(l *annotations.Lesson, s *annotated.State) string {
	i := l.SwingIndex(s.Swing)
	if i < 0 || s.Slow > 0 {
		return ""
	}
	sw := &l.Swings[i]
	if s.Row != nil {
		for k := range sw.Findings {
			if f := &sw.Findings[k]; f.Measure == s.Row.Measure && string(f.Position) == s.Row.Position {
				return "finding: " + s.Row.Measure
			}
		}
		return s.Row.Measure
	}
	for _, v := range s.Views {
		if v.Other {
			continue
		}
		for k := range sw.Positions {
			if ref, ok := sw.Positions[k].Frame(v.Clip); ok && ref.Index == v.Frame {
				return string(sw.Positions[k].Name)
			}
		}
	}
	return ""
}

// lasts reports whether a subject that begins with a step stays long enough to count.
func lasts(l *annotations.Lesson, rec *annotated.Recorded, i int, what string) bool {
	until := rec.Seconds
	for k := i + 1; k < len(rec.Steps) && rec.Steps[k].At < rec.Steps[i].At+leastShown; k++ {
		if subject(l, &rec.Steps[k].State) != what {
			until = rec.Steps[k].At
			break
		}
	}
	return until-rec.Steps[i].At >= leastShown
}

// drawingName is what a drawing is called on the time line.
func drawingName(d *annotated.Drawing) string {
	if d.Text != "" {
		return d.Kind + " " + d.Text
	}
	return d.Kind
}

// beside are the marks before and behind a time; nil for none. One that is as near as a
// picture is neither.
func beside(all []mark, at float64) (before, behind *mark) {
	const near = 0.05
	for i := range all {
		switch m := &all[i]; {
		case m.at < at-near:
			before = m
		case m.at > at+near && behind == nil:
			behind = m
		}
	}
	return before, behind
}

// layoutMarks draws the marks under the wave, each with its words as far as there is room.
func layoutMarks(gtx layout.Context, th *draw.Theme, all []mark, width, top int) {
	h := gtx.Sp(markHeight)
	for i, m := range all {
		x := int(m.at * float64(width))
		draw.Fill(gtx.Ops, image.Rect(x, top, x+max(gtx.Dp(1), 1), top+h), th.Dim)
		room := width - x
		if i+1 < len(all) {
			room = int(all[i+1].at*float64(width)) - x
		}
		if room -= gtx.Dp(6); room < gtx.Dp(28) {
			continue
		}
		area := clip.Rect(image.Rect(x, top, x+gtx.Dp(4)+room, top+h)).Push(gtx.Ops)
		off := op.Offset(image.Pt(x+gtx.Dp(4), top+gtx.Dp(1))).Push(gtx.Ops)
		g := gtx
		g.Constraints = layout.Constraints{Max: image.Pt(room, h)}
		th.Label(g, draw.Small, labelWeight, th.Dim, m.text)
		off.Pop()
		area.Pop()
	}
}

// layoutDrawings draws the drawings as bars, one beside the other, the chosen one stronger.
func (t *timeline) layoutDrawings(gtx layout.Context, th *draw.Theme, all []bar) {
	if t.lane == 0 {
		return
	}
	h := gtx.Sp(barHeight)
	for pass := range 2 { // the chosen one on top
		for _, b := range all {
			if b.chosen != (pass == 1) {
				continue
			}
			fill := th.Track
			if b.chosen {
				fill = th.AccentLow
			}
			r := image.Rect(int(b.From*float64(t.size.X)), t.lane, max(int(b.To*float64(t.size.X)), int(b.From*float64(t.size.X))+gtx.Dp(4)), t.lane+h)
			draw.RoundRect(gtx.Ops, r, gtx.Dp(3), fill)
			if r.Dx() < gtx.Dp(24) {
				continue
			}
			area := clip.Rect(r).Push(gtx.Ops)
			off := op.Offset(image.Pt(r.Min.X+gtx.Dp(5), r.Min.Y)).Push(gtx.Ops)
			g := gtx
			g.Constraints = layout.Constraints{Max: image.Pt(r.Dx()-gtx.Dp(8), h)}
			th.Label(g, draw.Small, labelWeight, th.Text, b.text)
			off.Pop()
			area.Pop()
		}
	}
}
