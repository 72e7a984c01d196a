package review

import (
	"fmt"

	"gioui.org/font"
	"gioui.org/layout"

	annotated "turngauge/annotations/review"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

type (
	wordsOf  = func(w font.Weight, text string) layout.Widget
	buttonOf = func(b *draw.Button, s draw.ButtonStyle) layout.Widget
)

// tipOf says where a button goes.
func tipOf(way string, m *mark) string {
	if m == nil {
		return way + " what happens"
	}
	return way + " " + m.text
}

// layoutPassage draws what marks a passage and what can be done with it.
func (c *Card) layoutPassage(gtx layout.Context, words wordsOf, button buttonOf) layout.Dimensions {
	ready := c.player.frames > 0
	from, to, ok := c.passage()
	text := "Passage"
	switch {
	case ok:
		text = fmt.Sprintf("Passage %s, %.1f s", clock(from), to-from)
	case c.from >= 0:
		text = "Passage from " + clock(c.from)
	}
	silence := draw.ButtonStyle{Label: "Silence", Name: "Silence the passage", Tip: "Its pictures stay and its voice is not heard: for a cough", Keys: "S", Disabled: !ok}
	if ok && c.silent(c.player.course.Passage(from, to)) {
		silence.Label, silence.Name, silence.Tip = "Let it be heard", "Let the passage be heard", "Its voice is heard again"
	}
	back := draw.ButtonStyle{Label: "Bring all back", Name: "Bring back what was mended", Tip: "The review as it was recorded; captions stay", Disabled: !ready || !mended(&c.of)}
	if ok {
		back.Label, back.Tip = "Bring back", "The passage as it was recorded"
	}
	return kit.Flow(gtx, draw.Gap,
		words(font.Medium, text),
		button(&c.begins, draw.ButtonStyle{Label: "from here", Name: "The passage begins here", Tip: "Or drag over the wave with Shift held", Keys: "[", Disabled: !ready}),
		button(&c.ends, draw.ButtonStyle{Label: "to here", Name: "The passage ends here", Tip: "The passage ends here", Keys: "]", Disabled: !ready}),
		button(&c.cut, draw.ButtonStyle{Label: "Cut", Name: "Cut the passage", Tip: "Leaves voice and pictures out", Keys: "Delete", Disabled: !ok}),
		button(&c.silence, silence),
		button(&c.anew, draw.ButtonStyle{Label: "Say it anew", Name: "Say the passage anew", Tip: "Records what is told in its place; the old one is kept", Keys: "N", Disabled: !ok}),
		button(&c.back, back),
	)
}

// layoutDrawing draws what moves a drawing in time.
func (c *Card) layoutDrawing(gtx layout.Context, words wordsOf, button buttonOf) layout.Dimensions {
	i := c.drawingIndex()
	label, text := "Choose a drawing", ""
	if i >= 0 {
		s := c.onFilm(c.drawings[i].Span)
		label = fmt.Sprintf("Drawing %d of %d", i+1, len(c.drawings))
		text = fmt.Sprintf("%s, %s to %s", drawingName(&c.drawings[i].Drawing), clock(s.From), clock(s.To))
	}
	parts := []layout.Widget{
		button(&c.drawing, draw.ButtonStyle{Label: label, Name: "Choose the next drawing", Tip: "The next one; or drag its bar below the wave"}),
		button(&c.drawnFrom, draw.ButtonStyle{Label: "shown from here", Name: "The drawing is shown from here", Tip: "It is drawn from this moment on, on the frame that it was drawn on", Disabled: i < 0}),
		button(&c.drawnTo, draw.ButtonStyle{Label: "to here", Name: "The drawing is shown to here", Tip: "It is gone from this moment on", Disabled: i < 0}),
	}
	if text != "" {
		parts = append(parts, words(font.Normal, text))
	}
	return kit.Flow(gtx, draw.Gap, parts...)
}

// shows is what the time line shows now.
func (c *Card) shows() *shows {
	p := c.player
	length := max(p.seconds(), 1e-3)
	part := func(s annotated.Span) annotated.Span { return annotated.Span{From: s.From / length, To: s.To / length} }
	out := &shows{at: p.at / length, from: -1, to: -1}
	if c.from >= 0 {
		out.from = c.from / length
	}
	if c.to >= 0 {
		out.to = c.to / length
	}
	if from, to, ok := c.passage(); ok {
		out.from, out.to = from/length, to/length
	}
	if p.frames == 0 {
		return out
	}
	for _, s := range c.of.Silenced {
		for _, on := range p.course.Shown(s) {
			out.silent = append(out.silent, part(on))
		}
	}
	for k := range c.of.Takes {
		for _, on := range p.course.Shown(c.of.ClockOf(k)) {
			out.anew = append(out.anew, part(on))
		}
	}
	at := 0.0
	for i, s := range p.course {
		if i > 0 && p.course[i-1].To < s.From || i == 0 && s.From > least {
			out.joints = append(out.joints, at/length)
		}
		at += s.To - s.From
	}
	for _, m := range c.marks {
		out.marks = append(out.marks, mark{m.at / length, m.text})
	}
	out.drawings = c.bars(length)
	return out
}
