package takehome

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"path/filepath"
	"slices"
	"strconv"

	"golang.org/x/sync/errgroup"

	"turngauge/geometry"
	"turngauge/ui/explain"
	"turngauge/ui/fault"
	"turngauge/ui/takehome/fade"
	"turngauge/ui/takehome/sight"
	"turngauge/ui/takehome/voice"
	"turngauge/video"
)

// The colours of an annotated clip.
var (
	clipGround = color.NRGBA{0x14, 0x15, 0x17, 0xff}
	clipText   = color.NRGBA{0xe9, 0xea, 0xec, 0xff}
	clipDim    = color.NRGBA{0xa4, 0xa9, 0xb1, 0xff}
	clipPlate  = color.NRGBA{0x14, 0x15, 0x17, 0xc8} // under words on a picture
	clipAccent = color.NRGBA{0x4c, 0xc9, 0xb4, 0xff}
)

// captionHeight is the room for words below the views, pixels.
func captionHeight(s Size) int {
	_, h := s.Pixels()
	if s == Phone {
		return h / 5 &^ 1
	}
	return h * 19 / 100 &^ 1
}

// reel draws the frames of an annotated clip.
type reel struct {
	b      *builder
	panels []panel
	sides  int // how many swings the panels show
	slow   float64
	size   Size
	unit   float64 // pixels: a 720th of the shorter side
	words  *lettering
	voice  *voice.Track
	ending int // for how many frames the words at the end stand
}

// clip writes the annotated clip: H.264 in MP4, with the coach's voice if there is one. Where the swing
// stands still, at the key positions, lines and numbers show the findings;
// between them the hips and shoulders are drawn where they were followed to.
func (b *builder) clip(ctx context.Context) (err error) {
	r := b.request
	sides := b.sides()
	for _, x := range sides {
		defer x.album.close()
	}
	panels, err := b.panels(sides, r.Size)
	if err != nil {
		return err
	}
	slow := r.Slow
	if slow == 0 {
		slow = usualSlow
	}
	tales := func(p geometry.PositionName) []*tale { return b.tales(sides, p) }
	moments := timeline(panels, len(sides)-1, tales, b.framed(), slow)
	if len(moments) == 0 {
		what := "set a key position in every clip first"
		if len(sides) > 1 {
			what = "set a key position in the clips of both swings first, the same one"
		}
		return fmt.Errorf("%s can't be made: %s", filepath.Base(r.MP4), what)
	}
	for _, x := range sides {
		for _, n := range x.album.notes { // those of the sheet's pictures are there already
			if !slices.Contains(b.sheet.Notes, n) {
				b.note("%s", n)
			}
		}
	}
	if err := b.motions(ctx, sides); err != nil {
		return err
	}
	track, err := voice.Read(ctx, r.Voice)
	if err != nil {
		return err
	}
	w, h := r.Size.Pixels()
	out, err := video.Create(r.MP4, video.WriterOptions{Width: w, Height: h, RateNum: clipRate, CRF: 21, AudioRate: track.SampleRate(), Comment: b.sheet.Title()})
	if err != nil {
		return err
	}
	done := false
	defer func() {
		if !done {
			out.Abort()
		}
	}()
	l := &reel{b: b, panels: panels, sides: len(sides), slow: slow, size: r.Size, unit: float64(min(w, h)) / 720, words: newLettering(), voice: track}
	for i := range panels {
		panels[i].name = l.nameplate(&panels[i])
	}
	total, written := 0, 0
	for i := range moments {
		total += moments[i].hold
	}
	l.ending = max(int(holdEnd*clipRate), track.Frames(clipRate)-total)
	total += l.ending
	before := r.steps() - 101
	err = l.film(ctx, out, moments, func() {
		if written++; 100*written/total > 100*(written-1)/total {
			r.step(before + 100*written/total)
		}
	})
	if err != nil {
		return err
	}
	done = true
	return out.Close()
}

// moment draws what is shown at a moment.
func (l *reel) moment(ctx context.Context, e *easel, m *moment) error {
	g, ctx := errgroup.WithContext(ctx)
	for i := range l.panels {
		key := viewKey{m.frames[i], -1, m.tale}
		if l.panels[i].over != nil {
			key.over = m.frames[i-1]
		}
		if l.panels[i].under || e.views[i] == key {
			continue
		}
		e.views[i] = key
		g.Go(fault.Guard(func() error { return l.panel(ctx, e.Surface, e.ink[i], &l.panels[i], m, key) }))
	}
	l.caption(e, m) // below the panels
	return g.Wait()
}

// panel draws one view, with the lines that show a finding, or those that were
// followed to this frame. ink is as large as the panel and clear, before and
// after.
func (l *reel) panel(ctx context.Context, to *video.Surface, ink *image.RGBA, p *panel, m *moment, key viewKey) error {
	n := key.frame
	f, err := p.reader.Read(ctx, n)
	if err != nil {
		return err
	}
	defer f.Release()
	if err := to.Put(f, p.part, p.place); err != nil {
		return err
	}
	if p.over != nil {
		if err := p.over.Draw(ctx, ink, key.over); err != nil {
			return err
		}
		lay(to, ink, ink.Rect, p.place.Min)
	}
	for _, x := range l.figures(p, m, n) {
		inked := l.paint(ink, p, x.figure)
		if x.strength < 1 {
			fade.Weaken(ink, inked, x.strength)
		}
		lay(to, ink, inked, p.place.Min)
	}
	if p.name != nil {
		to.Over(p.name, p.place.Min)
	}
	return nil
}

// lay lays the part of a drawing that was drawn on over the clip's picture, its
// corner at a place, and clears it.
func lay(to *video.Surface, ink *image.RGBA, inked image.Rectangle, corner image.Point) {
	inked.Min = image.Pt(inked.Min.X&^1, inked.Min.Y&^1)
	if inked = inked.Intersect(ink.Rect); inked.Empty() {
		return
	}
	part := ink.SubImage(inked).(*image.RGBA)
	to.Over(part, corner.Add(inked.Min))
	draw.Draw(part, part.Rect, image.Transparent, image.Point{}, draw.Src)
}

// figure returns what is drawn on a view, or nil.
func (l *reel) figure(p *panel, m *moment, n int) *explain.Figure {
	if m.tale != nil && m.tale.finding != nil {
		if m.tale.finding.Frame.Clip != p.clip.ID {
			return p.followed(n, m.position)
		}
		fig := p.side.drawn(m.tale.finding)
		if m.tale.measure != "" {
			tell(fig, m.tale.measure, m.tale.numbers[0])
		}
		return fig
	}
	if m.tale == nil || m.tale.measure == "" {
		return p.followed(n, m.position)
	}
	ref, ok := p.side.Swing().FrameOf(p.clip.ID, m.position)
	if !ok {
		return nil
	}
	fr := p.side.frame(p.clip.ID, ref, m.position)
	how := sight.Best(m.tale.measure)
	fig := how.Figure(fr, p.side.address(p.clip.ID, m.position))
	if p.clip.View == how.View || len(l.panels) == l.sides {
		tell(fig, m.tale.measure, m.tale.numbers[p.side.nth])
	}
	return fig
}

// paint draws a figure on a view and returns where it did.
func (l *reel) paint(view *image.RGBA, p *panel, fig *explain.Figure) image.Rectangle {
	k := float64(view.Rect.Dx()) / float64(p.part.Dx())
	face := explain.NewTypeface(15*l.unit, false)
	c := explain.Canvas{
		Scale: k, Left: -float64(p.part.Min.X) * k, Top: -float64(p.part.Min.Y) * k,
		Width: float64(view.Rect.Dx()), Height: float64(view.Rect.Dy()), Unit: l.unit, TextPx: 15 * l.unit, Measure: face.Measure,
	}
	return explain.Paint(view, c.Lay(fig), face)
}

// tell writes a measure's number beside the first of its lines.
func tell(g *explain.Figure, measure, value string) {
	if len(g.Strokes) > 0 {
		s := &g.Strokes[0]
		g.Labels = append(g.Labels, explain.Label{At: s.To, Ink: s.Ink, Text: measure, Value: value})
	}
}

// nameplate is what stands in the corner of a panel that shows one of two
// swings: whose it is. nil for a swing alone.
func (l *reel) nameplate(p *panel) *image.RGBA {
	if p.side.title == "" || p.under {
		return nil
	}
	size, pad := 17*l.unit, 8*l.unit
	lines := l.words.wrap(p.side.title, size, true, float64(p.place.Dx())-4*pad)
	lines = lines[:min(len(lines), 2)]
	if p.over != nil {
		lines = append(lines, l.panels[0].side.title+", half seen over it")
	}
	wide := 0.0
	for _, line := range lines {
		wide = max(wide, l.words.measure(line, size, true))
	}
	img := image.NewRGBA(image.Rect(0, 0, int(wide+2*pad), int(float64(len(lines))*size*lineShare+pad)))
	draw.Draw(img, img.Rect, image.NewUniform(clipPlate), image.Point{}, draw.Src)
	for i, line := range lines {
		l.words.draw(img, line, Pt{pad, 0.6*pad + float64(i)*size*lineShare}, size, true, clipText)
	}
	return img
}

// caption writes what is seen below the views, if it has changed.
func (l *reel) caption(e *easel, m *moment) {
	head, text := "", ""
	if m.position != "" {
		head = sentence(at(m.position))
	}
	if m.tale != nil {
		text = m.tale.text
	}
	dials := l.dials(m)
	if key := head + "\n" + text + dialKey(dials); key == e.words {
		return
	} else {
		e.words = key
	}
	w, h := e.below.Rect.Dx(), e.below.Rect.Dy()
	room := image.Rect(0, e.Bounds().Max.Y-h, w, e.Bounds().Max.Y)
	e.Fill(room, clipGround)
	defer lay(e.Surface, e.below, e.below.Rect, room.Min)
	pad := 16 * l.unit
	width := float64(w) - 2*pad
	y := 10 * l.unit
	if dials != nil {
		width -= l.drawDials(e.below, dials, float64(w)-pad, float64(h))
	}
	if head != "" {
		l.words.draw(e.below, head, Pt{pad, y}, 17*l.unit, true, clipAccent)
	}
	y += 26 * l.unit
	size := 13 * l.unit
	base := float64(h) - 10*l.unit - size
	foot, note := l.foot()
	left, last := float64(w)-pad-l.words.measure(note, size, false), base
	if left < 2*pad+l.words.measure(foot, size, false) { // above it, then
		notes := l.words.wrap(note, size, false, float64(w)-2*pad)
		for i, line := range notes {
			l.words.draw(e.below, line, Pt{pad, base - float64(len(notes)-i)*lineShare*size}, size, false, clipDim)
		}
		note, last = "", base-float64(len(notes))*lineShare*size
	}
	lines, tall := l.fit(text, width, last-6*l.unit-y)
	for _, line := range lines {
		l.words.draw(e.below, line, Pt{pad, y}, tall, true, clipText)
		y += lineShare * tall
	}
	l.words.draw(e.below, foot, Pt{pad, base}, size, false, clipDim)
	l.words.draw(e.below, note, Pt{left, base}, size, false, clipDim)
}

// foot is what stands below all the time: whose swing it is, and how to read it.
func (l *reel) foot() (who, how string) {
	s := l.b.sheet
	who = s.Student
	how = strconv.FormatFloat(l.slow, 'g', 3, 64) + " times slower than life"
	if l.sides > 1 {
		return who, how + ", together at the key positions · in brackets the 95 % interval" + l.legend()
	}
	return listedWith(" · ", who, s.Date), how + " · in brackets the 95 % interval" + l.legend()
}

// lineShare is from one line of words to the next, in sizes.
const lineShare = 1.33

// fit breaks a text into lines for a room, set smaller where there are many;
// what does not fit even then is cut.
func (l *reel) fit(text string, width, height float64) (lines []string, size float64) {
	for size = 21 * l.unit; ; size -= l.unit {
		lines = l.words.wrap(text, size, true, width)
		if float64(len(lines))*lineShare*size <= height {
			return lines, size
		}
		if size <= 13*l.unit {
			n := max(int(height/(lineShare*size)), 1)
			lines = lines[:n]
			lines[n-1] += " …"
			return lines, size
		}
	}
}

// end draws the words at the end, smaller where there are many.
func (l *reel) end(e *easel) {
	img := image.NewRGBA(e.Bounds())
	for k := 1.0; k > 0.35; k *= 0.9 {
		if l.endWords(img, k) <= float64(img.Rect.Dy()) {
			break
		}
	}
	e.Over(img, image.Point{})
}

// endWords draws the words at the end, k times as large as usual, and returns
// where they end.
func (l *reel) endWords(img *image.RGBA, k float64) float64 {
	w, h := l.size.Pixels()
	draw.Draw(img, img.Rect, image.NewUniform(clipGround), image.Point{}, draw.Src)
	pad := float64(w) * 0.1
	width := float64(w) - 2*pad
	y := float64(h) * (0.2*k - 0.02)
	say := func(text string, size float64, bold bool, ink color.NRGBA, after float64) {
		size *= k
		for _, line := range l.words.wrap(text, size, bold, width) {
			l.words.draw(img, line, Pt{pad, y}, size, bold, ink)
			y += 1.35 * size
		}
		if text != "" {
			y += after * k * l.unit
		}
	}
	s := l.b.sheet
	say(s.Student, 34*l.unit, true, clipText, 4)
	facts := ""
	for _, f := range s.facts() {
		facts = listedWith("  ·  ", facts, f)
	}
	say(facts, 18*l.unit, false, clipDim, 24)
	if l.sides > 1 {
		head, lines := l.b.compared()
		say(head, 20*l.unit, true, clipAccent, 8)
		for _, line := range lines {
			say(line, 20*l.unit, false, clipText, 6)
		}
		y += 12 * k * l.unit
	}
	for _, x := range s.items() {
		say(listedWith(": ", x.Label, x.Text), 20*l.unit, false, clipText, 6)
	}
	y = max(y+10*l.unit, float64(h)*0.7)
	say(s.Cautions, 16*l.unit, false, clipDim, 0)
	return y + 10*l.unit
}

// listedWith joins two texts where there are both.
func listedWith(between, a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + between + b
}
