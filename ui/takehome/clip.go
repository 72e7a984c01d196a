package takehome

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"path/filepath"
	"strconv"

	"golang.org/x/sync/errgroup"

	"turngauge/annotations"
	"turngauge/ui/explain"
	"turngauge/ui/fault"
	"turngauge/video"
)

// The colours of an annotated clip.
var (
	clipGround = color.NRGBA{0x14, 0x15, 0x17, 0xff}
	clipText   = color.NRGBA{0xe9, 0xea, 0xec, 0xff}
	clipDim    = color.NRGBA{0xa4, 0xa9, 0xb1, 0xff}
	clipAccent = color.NRGBA{0x4c, 0xc9, 0xb4, 0xff}
)

// captionHeight is the room for words below the views, pixels.
func captionHeight(s Size) int {
	_, h := s.pixels()
	if s == Phone {
		return h / 5
	}
	return h * 19 / 100
}

// reel draws the frames of an annotated clip.
type reel struct {
	b      *builder
	panels []panel
	motion *Motion // nil where nothing was followed
	slow   float64
	size   Size
	unit   float64 // pixels: a 720th of the shorter side
	words  *lettering
}

// clip writes the annotated clip: H.264 in MP4, without sound. Where the swing
// stands still, at the key positions, lines and numbers show the findings;
// between them the hips and shoulders are drawn where they were followed to.
func (b *builder) clip(ctx context.Context) (err error) {
	r := b.request
	a := newAlbum(filepath.Dir(r.Path))
	a.forward = true
	defer a.close()
	panels, err := b.panels(a, r.Size)
	if err != nil {
		return err
	}
	slow := r.Slow
	if slow == 0 {
		slow = usualSlow
	}
	moments := timeline(b.now.swing(), panels, slow)
	if len(moments) == 0 {
		return fmt.Errorf("%s can't be made: set a key position in every clip first", filepath.Base(r.MP4))
	}
	motion, err := b.motion(ctx)
	if err != nil {
		return err
	}
	w, h := r.Size.pixels()
	out, err := video.Create(r.MP4, video.WriterOptions{Width: w, Height: h, RateNum: clipRate, CRF: 21, Comment: b.sheet.Title()})
	if err != nil {
		return err
	}
	done := false
	defer func() {
		if !done {
			out.Abort()
		}
	}()
	l := &reel{b: b, panels: panels, motion: motion, slow: slow, size: r.Size, unit: float64(min(w, h)) / 720, words: newLettering()}
	total, written := int(holdEnd*clipRate), 0
	for i := range moments {
		total += moments[i].hold
	}
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
		key := viewKey{m.frames[i], m.finding}
		if e.views[i] == key {
			continue
		}
		e.views[i] = key
		g.Go(fault.Guard(func() error { return l.panel(ctx, e.img, &l.panels[i], m, m.frames[i]) }))
	}
	l.caption(e, m) // below the panels
	return g.Wait()
}

// panel draws one view, with the lines that show a finding, or those that were
// followed to this frame.
func (l *reel) panel(ctx context.Context, img *image.RGBA, p *panel, m *moment, n int) error {
	f, err := p.reader.Read(ctx, n)
	if err != nil {
		return err
	}
	defer f.Release()
	// A painter wants its corner at (0, 0).
	view := img.SubImage(p.place).(*image.RGBA)
	view.Rect = image.Rectangle{Max: p.place.Size()}
	if err := f.Render(view, p.part); err != nil {
		return err
	}
	if m.finding == nil {
		if fig := l.followed(p, n); fig != nil {
			l.paint(view, p, fig)
		}
		return nil
	}
	ref, ok := l.b.now.swing().FrameOf(p.clip.ID, m.position)
	if !ok {
		return nil
	}
	fr := l.b.now.frame(p.clip.ID, ref, m.position)
	how := bestSeen(m.finding.Measure)
	fig := how.figure(fr, l.b.now.address(p.clip.ID, m.position))
	if p.clip.View == how.view || len(l.panels) == 1 {
		l.number(fig, m.finding)
	}
	l.paint(view, p, fig)
	return nil
}

// paint draws a figure on a view.
func (l *reel) paint(view *image.RGBA, p *panel, fig *explain.Figure) {
	k := float64(view.Rect.Dx()) / float64(p.part.Dx())
	face := explain.NewTypeface(15*l.unit, false)
	c := explain.Canvas{
		Scale: k, Left: -float64(p.part.Min.X) * k, Top: -float64(p.part.Min.Y) * k,
		Width: float64(view.Rect.Dx()), Height: float64(view.Rect.Dy()), Unit: l.unit, TextPx: 15 * l.unit, Measure: face.Measure,
	}
	explain.Paint(view, c.Lay(fig), face)
}

// number writes a finding's number beside the first of its lines.
func (l *reel) number(g *explain.Figure, f *annotations.Finding) {
	if len(g.Strokes) == 0 {
		return
	}
	imperial := l.b.request.Imperial
	s := &g.Strokes[0]
	g.Labels = append(g.Labels, explain.Label{
		At: s.To, Ink: s.Ink, Text: f.Measure,
		Value: annotations.Told(f.Unit, f.Value, imperial) + " (" + annotations.ToldRange(f.Unit, f.Low95, f.High95, imperial) + ")",
	})
}

// caption writes what is seen below the views, if it has changed.
func (l *reel) caption(e *easel, m *moment) {
	head, text := "", l.turnsNow(m)
	if m.position != "" {
		head = sentence(at(m.position))
	}
	if m.finding != nil {
		text = oneLine(m.finding.Text)
	}
	if key := head + "\n" + text; key == e.words {
		return
	} else {
		e.words = key
	}
	w, h := l.size.pixels()
	top := h - captionHeight(l.size)
	draw.Draw(e.img, image.Rect(0, top, w, h), image.NewUniform(clipGround), image.Point{}, draw.Src)
	pad := 16 * l.unit
	width := float64(w) - 2*pad
	y := float64(top) + 10*l.unit
	if head != "" {
		l.words.draw(e.img, head, Pt{pad, y}, 17*l.unit, true, clipAccent)
	}
	y += 26 * l.unit
	size := 13 * l.unit
	base := float64(h) - 10*l.unit - size
	lines, tall := l.fit(text, width, base-6*l.unit-y)
	for _, line := range lines {
		l.words.draw(e.img, line, Pt{pad, y}, tall, true, clipText)
		y += lineShare * tall
	}
	foot := l.b.sheet.Student
	if l.b.sheet.Date != "" {
		foot = listedWith(" · ", foot, l.b.sheet.Date)
	}
	speed := strconv.FormatFloat(l.slow, 'g', 3, 64) + " times slower than life"
	note := listedWith(" · ", speed, "in brackets the 95 % interval")
	l.words.draw(e.img, foot, Pt{pad, base}, size, false, clipDim)
	l.words.draw(e.img, note, Pt{float64(w) - pad - l.words.measure(note, size, false), base}, size, false, clipDim)
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
func (l *reel) end(img *image.RGBA) {
	_, h := l.size.pixels()
	for k := 1.0; k > 0.35; k *= 0.9 {
		if l.endWords(img, k) <= float64(h) {
			return
		}
	}
}

// endWords draws the words at the end, k times as large as usual, and returns
// where they end.
func (l *reel) endWords(img *image.RGBA, k float64) float64 {
	w, h := l.size.pixels()
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
