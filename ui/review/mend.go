package review

import (
	"slices"
	"time"

	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"

	"turngauge/annotations"
	annotated "turngauge/annotations/review"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
	"turngauge/ui/review/film"
)

// mending is what is in hand while a review is mended. Times are the film's, seconds.
type mending struct {
	from, to                    float64 // the passage; below 0 where it is not marked
	begins, ends                draw.Button
	cut, silence, anew, back    draw.Button
	pauses, undo, redo          draw.Button
	before, behind              draw.Button
	drawing, drawnFrom, drawnTo draw.Button
	marks                       []mark
	drawings                    []annotated.Appearance
	picked                      string         // ID of a drawing
	dragged                     annotated.Span // where it is held now
	holds                       bool
}

// least is the shortest passage, seconds.
const least = 0.05

// passage returns what is marked, or false.
func (m *mending) passage() (from, to float64, ok bool) {
	from, to = min(m.from, m.to), max(m.from, m.to)
	return from, to, from >= 0 && to-from >= least
}

func (m *mending) forget() { m.from, m.to = -1, -1 }

// mend plays, cuts and writes the review that is chosen.
func (c *Card) mend(gtx layout.Context) {
	p, h := c.player, c.room.host
	toggle := c.keys(gtx)
	if c.player != p { // it was closed
		return
	}
	if toggle != c.play.Clicked(gtx) && p.frames > 0 {
		if p.playing {
			p.stop()
		} else {
			p.play(p.at, func(do func()) { h.Go("Playing the voice", do, nil) }, func(err error) {
				h.Post(func() { h.Tell(bench.Note(bench.Title(err.Error()) + ".")) })
			})
		}
	}
	if p.advance() {
		gtx.Execute(op.InvalidateCmd{At: gtx.Now.Add(time.Second / film.Rate)})
	}
	c.writeTexts(gtx, c.of)
	if p.frames > 0 {
		c.point(gtx)
		c.mendPassage(gtx)
	}
	if c.player != p {
		return
	}
	c.mendDrawings(gtx)
	if c.drop.Clicked(gtx) {
		l := h.Session().Bench.Lesson()
		kit.Edit(h, annotations.SetReviews{Reviews: l.Reviews.Without(c.of.ID), What: "take a review out"})
		h.Tell("The review is taken out of the lesson. " + bench.Note(h.Shortcut("undo")) + " brings it back.")
		if rest := c.list(); len(rest) > 0 {
			c.chosen = rest[len(rest)-1].ID
		}
	}
	if c.write.Clicked(gtx) {
		c.make(c.of)
	}
}

// step is how far an arrow goes, seconds.
const step = 1.0

// keys does what keys ask for while no text is written, and reports whether playing is to
// begin or end.
func (c *Card) keys(gtx layout.Context) (toggle bool) {
	p, h := c.player, c.room.host
	for {
		ev, ok := gtx.Event(key.Filter{Name: key.NameSpace}, key.Filter{Name: key.NameLeftArrow}, key.Filter{Name: key.NameRightArrow},
			key.Filter{Name: key.NamePageUp}, key.Filter{Name: key.NamePageDown}, key.Filter{Name: "["}, key.Filter{Name: "]"},
			key.Filter{Name: key.NameDeleteForward}, key.Filter{Name: "S"}, key.Filter{Name: "N"}, key.Filter{Name: "M"},
			key.Filter{Name: "Z", Required: key.ModShortcut, Optional: key.ModShift})
		if !ok {
			return toggle
		}
		e, ok := ev.(key.Event)
		if !ok || e.State != key.Press || gtx.Focused(&c.title.Editor) || gtx.Focused(&c.caption.Editor) {
			continue
		}
		before, behind := beside(c.marks, p.at)
		switch {
		case e.Name == "Z":
			id := "undo"
			if e.Modifiers.Contain(key.ModShift) {
				id = "redo"
			}
			c.forget()
			h.Run(id)
		case e.Name == "M":
			c.make(c.of)
		case p.frames == 0:
		case e.Name == key.NameSpace:
			toggle = true
		case e.Name == key.NameLeftArrow:
			p.show(p.at - step)
		case e.Name == key.NameRightArrow:
			p.show(p.at + step)
		case e.Name == key.NamePageUp && before != nil:
			p.show(before.at)
		case e.Name == key.NamePageDown && behind != nil:
			p.show(behind.at)
		case e.Name == "[":
			c.from = p.at
		case e.Name == "]":
			c.to = p.at
		case e.Name == key.NameDeleteForward:
			c.cutPassage()
		case e.Name == "S":
			c.silencePassage()
		case e.Name == "N":
			if c.sayAnew(); !c.Shown {
				return false
			}
		}
	}
}

// point goes to times and marks passages.
func (c *Card) point(gtx layout.Context) {
	p, length := c.player, c.player.seconds()
	d := c.line.update(gtx, c.bars(length))
	switch {
	case d.went:
		p.show(d.at * length)
	case d.marked:
		c.from, c.to = d.begun*length, d.at*length
		p.show(c.to)
	}
	c.holds, c.dragged = d.held || c.holds && !d.moved && c.line.held.id != "", d.drawn
	if d.chosen != "" {
		c.picked = d.chosen
	}
	if d.moved {
		c.holds = false
		c.moveDrawing(annotated.Span{From: d.drawn.From * length, To: d.drawn.To * length})
	}
	before, behind := beside(c.marks, p.at)
	if c.before.Clicked(gtx) && before != nil {
		p.show(before.at)
	}
	if c.behind.Clicked(gtx) && behind != nil {
		p.show(behind.at)
	}
	if c.begins.Clicked(gtx) {
		c.from = p.at
	}
	if c.ends.Clicked(gtx) {
		c.to = p.at
	}
}

// mendPassage cuts, silences and brings back.
func (c *Card) mendPassage(gtx layout.Context) {
	r := c.of
	if c.cut.Clicked(gtx) {
		c.cutPassage()
	}
	if c.silence.Clicked(gtx) {
		c.silencePassage()
	}
	if c.anew.Clicked(gtx) {
		if c.sayAnew(); !c.Shown {
			return
		}
	}
	if c.back.Clicked(gtx) {
		if from, to, ok := c.passage(); ok {
			r = r.Restored(c.around(from, to))
		} else {
			r.Cuts, r.Silenced, r.Takes, r.Moved = nil, nil, nil, nil
		}
		c.forget()
		c.room.edit(r, "bring back what was mended of the review")
	}
	if c.pauses.Clicked(gtx) {
		if r.LongestPause > 0 {
			r.LongestPause = 0
		} else {
			r.LongestPause = longestPause
		}
		c.forget()
		c.room.edit(r, "shorten the pauses of the review")
	}
	for _, u := range []struct {
		b  *draw.Button
		id string
	}{{&c.undo, "undo"}, {&c.redo, "redo"}} {
		if u.b.Clicked(gtx) {
			c.forget()
			c.room.host.Run(u.id)
		}
	}
}

// told is what is told in the passage; where none is marked the coach is told how.
func (c *Card) told() []annotated.Span {
	from, to, ok := c.passage()
	if !ok {
		c.room.host.Tell("Mark where the passage begins and where it ends.")
		return nil
	}
	return c.player.course.Passage(from, to)
}

// silencePassage silences the passage, or lets one that is silent be heard.
func (c *Card) silencePassage() {
	told, r := c.told(), c.of
	switch {
	case told == nil:
	case c.silent(told):
		r.Silenced = annotated.Without(r.Silenced, told)
		c.room.edit(r, "let a passage of the review be heard")
	default:
		r.Silenced = annotated.Merged(append(slices.Clone(r.Silenced), told...))
		c.room.edit(r, "silence a passage of the review")
	}
}

func (c *Card) cutPassage() {
	told, r := c.told(), c.of
	if told == nil {
		return
	}
	r.Cuts = annotated.Merged(append(slices.Clone(r.Cuts), told...))
	c.forget()
	c.room.edit(r, "cut a passage of the review")
}

// around is what is told in a passage, and in what was cut out beside it: that leaves only its
// place to be marked.
func (c *Card) around(from, to float64) []annotated.Span {
	p := c.player
	told := p.course.Passage(max(from-least, 0), to+least)
	if from <= least {
		told = append([]annotated.Span{{}}, told...)
	}
	if end := p.recorded.Seconds; to >= p.seconds()-least {
		told = append(told, annotated.Span{From: end, To: end})
	}
	return told
}

// silent reports whether nothing is heard of what is told.
func (c *Card) silent(told []annotated.Span) bool {
	return len(annotated.Without(told, c.of.Silenced)) == 0
}

// mended reports whether there is anything to bring back.
func mended(r *annotated.Review) bool {
	return len(r.Cuts)+len(r.Silenced)+len(r.Takes)+len(r.Moved) > 0
}

// mendDrawings moves drawings.
func (c *Card) mendDrawings(gtx layout.Context) {
	if c.drawing.Clicked(gtx) && len(c.drawings) > 0 && c.player.frames > 0 {
		next := c.drawings[(c.drawingIndex()+1)%len(c.drawings)]
		c.picked = next.Drawing.ID
		c.player.show(c.player.course.Film(next.From))
	}
	from, to := c.drawnFrom.Clicked(gtx), c.drawnTo.Clicked(gtx)
	if i := c.drawingIndex(); i >= 0 && c.player.frames > 0 && (from || to) {
		at := c.onFilm(c.drawings[i].Span)
		if from {
			at.From = c.player.at
		} else {
			at.To = c.player.at
		}
		c.moveDrawing(at)
	}
}

// drawingIndex is the chosen drawing, or -1.
func (c *Card) drawingIndex() int {
	return slices.IndexFunc(c.drawings, func(a annotated.Appearance) bool { return a.Drawing.ID == c.picked })
}

// onFilm is from where to where a stretch of the review's clock is shown.
func (c *Card) onFilm(s annotated.Span) annotated.Span {
	return annotated.Span{From: c.player.course.Film(s.From), To: c.player.course.Film(s.To)}
}

// moveDrawing shows the chosen drawing from a time of the film to another.
func (c *Card) moveDrawing(at annotated.Span) {
	at.From, at.To = max(at.From, 0), min(at.To, c.player.seconds())
	course := c.player.course
	m := annotated.Moved{ID: c.picked, From: course.List(at.From), To: course.List(at.To)}
	if at.To-at.From < least || m.To <= m.From {
		c.room.host.Tell("A drawing must end after it begins, in the same recording.")
		return
	}
	r := c.of
	r.Moved = slices.DeleteFunc(slices.Clone(r.Moved), func(o annotated.Moved) bool { return o.ID == m.ID })
	r.Moved = append(r.Moved, m)
	c.room.edit(r, "move a drawing of the review")
}

// bars are the drawings on the time line of the film, in parts of its length.
func (c *Card) bars(length float64) (out []bar) {
	for _, a := range c.drawings {
		s := c.onFilm(a.Span)
		if s.To-s.From < least {
			continue
		}
		b := bar{annotated.Span{From: s.From / length, To: s.To / length}, a.Drawing.ID, drawingName(&a.Drawing), a.Drawing.ID == c.picked}
		if b.chosen && c.holds {
			b.Span = c.dragged
		}
		out = append(out, b)
	}
	return out
}
