// Package repeats is the room that shows how well the marks of a key position
// repeat, once it was marked a second time.
package repeats

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"gioui.org/font"
	"gioui.org/io/key"
	"gioui.org/layout"
	"gioui.org/op"
	"gioui.org/text"

	"turngauge/annotations/repeatability"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/draw"
	"turngauge/ui/kit"
)

// usualClickPx is the click error of the fit while the coach's own is not
// known.
const usualClickPx = 2.5

// Room is the card that shows how well the marks of a key position repeat.
type Room struct {
	host  kit.Host
	card  kit.Modal
	asked int // tells the newest comparison from those before
	state
}

type state struct {
	kit.Openable
	position geometry.PositionName
	report   *repeatability.Report // nil while it is worked out

	use, usual, keep, drop draw.Button
}

// New makes the room, closed.
func New(host kit.Host) *Room { return &Room{host: host} }

// Commands begin the second marking of the key position shown, take what is
// marked, and open the card.
func (r *Room) Commands() []kit.Command {
	return []kit.Command{
		{ID: "accept", Group: "Marks", After: "follow all", Help: "Take what is proposed as it is", Keys: []kit.Chord{{Key: key.NameReturn}, {Key: key.NameEnter}}, Do: r.accept},
		{ID: "mark again", Group: "Marks", After: "stick", Help: "Mark this key position again, blind: shows how well your marks repeat", Keys: kit.On("M"),
			Do: func() { r.host.Tell(r.host.Session().Bench.StartBlind()) }},
		{ID: "repeatability", Group: "Marks", After: "mark again", Help: "How well your marks repeat", Keys: kit.WithMod(key.ModShift, "M"), Do: r.showAny},
	}
}

// LessonClosed closes the card and forgets what it showed.
func (r *Room) LessonClosed() { r.state = state{} }

// accept takes a proposed mark; at the end of a second marking it shows what
// came of it.
func (r *Room) accept() {
	b := r.host.Session().Bench
	if position, done := b.FinishBlind(); done {
		r.Show(position)
		return
	}
	r.host.Tell(b.Accept())
}

// showAny shows how well the marks repeat at the key position shown,
// else at one that was marked twice.
func (r *Room) showAny() {
	b := r.host.Session().Bench
	sw := b.Swing()
	position := b.Position
	if len(sw.RepeatsAt(position)) == 0 {
		if len(sw.Repeats) == 0 {
			r.host.Tell(bench.Note(fmt.Sprintf("No key position of this swing is marked twice yet. Go to one that is fully marked and press %s.", r.host.Shortcut("mark again"))))
			return
		}
		position = sw.Repeats[len(sw.Repeats)-1].Position
	}
	r.host.Tell(b.LeaveBlind())
	r.Show(position)
}

// Show opens the card on a key position and has the comparison worked out.
func (r *Room) Show(position geometry.PositionName) {
	d := r.host.Session()
	r.Present(position, nil)
	r.asked++
	asked, l := r.asked, d.Bench.Lesson()
	swing := l.SwingIndex(d.Bench.Swing().ID)
	r.host.Go("Comparing the two markings", func() {
		report, err := repeatability.Compare(d.Context(), l, swing, position)
		if err != nil {
			return // the lesson was closed
		}
		r.host.Post(func() {
			if r.host.Session() == d && r.asked == asked {
				r.report = report
			}
		})
	}, nil)
}

// Present opens the card on a comparison; nil is one that is worked out still.
func (r *Room) Present(position geometry.PositionName, report *repeatability.Report) {
	r.Shown, r.position, r.report = true, position, report
}

// Update takes up what was done on the card.
func (r *Room) Update(gtx layout.Context) {
	b := r.host.Session().Bench
	done := func() {
		r.Shown = false
		kit.ReleaseKeys(gtx, r.host)
	}
	if r.keep.Clicked(gtx) {
		done()
	}
	if r.drop.Clicked(gtx) {
		r.host.Tell(b.DropRepeats(r.position))
		r.host.Tell(bench.Note(fmt.Sprintf("The second marks of %s are thrown away. Ctrl+Z brings them back.", r.position)))
		done()
	}
	if r.use.Clicked(gtx) && r.report != nil {
		r.useClick(r.report.Click.ClickSigmaPx)
		done()
	}
	if r.usual.Clicked(gtx) {
		r.useClick(0)
		done()
	}
}

// useClick makes a click error the coach's own: in this lesson, and in every
// new one. 0 goes back to the usual one.
func (r *Room) useClick(sd float64) {
	if note := r.host.Session().Bench.UseClick(r.position, sd); note != "" {
		r.host.Alert(string(note))
		return
	}
	r.host.Settings().ClickSDPx = sd
	r.host.KeepSettings()
	if sd == 0 {
		r.host.Tell(bench.Note(fmt.Sprintf("The usual click error of %.1f px counts again, in this lesson and in new ones.", usualClickPx)))
		return
	}
	r.host.Tell(bench.Note(fmt.Sprintf("Your own click error of %.1f px counts from now on, in this lesson and in new ones.", sd)))
}

// Layout draws the card.
func (r *Room) Layout(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	return r.card.Layout(gtx, th, fmt.Sprintf("How well your marks repeat: %s", r.position), 680, func(gtx layout.Context) layout.Dimensions {
		col := kit.Column{Gtx: gtx, Gap: gtx.Dp(12)}
		para := func(text string, ink color.NRGBA) {
			col.Add(func(gtx layout.Context) layout.Dimensions {
				return th.Paragraph(gtx, draw.Body, font.Normal, ink, text)
			})
		}
		switch report := r.report; {
		case report == nil:
			para("Comparing the two markings …", th.Dim)
		case !report.Enough:
			para(fmt.Sprintf("Points marked twice in this lesson: %d. From 6 on it can be told how well they repeat. Mark this position again to go on.", report.Click.Pairs), th.Text)
		default:
			r.summary(&col, report)
			if report.Problem != "" {
				para("The measures can't be compared: "+report.Problem, th.Outside)
			}
			col.Add(r.buttons)
			if len(report.Measures) > 0 {
				col.Add(func(gtx layout.Context) layout.Dimensions { return r.table(gtx, report.Measures) })
				col.Add(func(gtx layout.Context) layout.Dimensions {
					return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim,
						"The last two columns are what your clicks alone do when the whole swing is marked anew: one standard deviation, and what an unchanged swing stays below 95 times of 100. What the camera adds is in the intervals on the sheet; what another day adds is in neither.")
				})
			}
		}
		if r.report == nil || !r.report.Enough {
			col.Add(r.buttons)
		}
		return col.Done()
	})
}

// summary says the click error, and what else differs between the two
// markings.
func (r *Room) summary(col *kit.Column, report *repeatability.Report) {
	th := r.host.Theme()
	col.Add(func(gtx layout.Context) layout.Dimensions {
		big := fmt.Sprintf("%.1f px", report.Click.ClickSigmaPx)
		d := th.Label(gtx, draw.Banner, font.SemiBold, th.Accent, big)
		x := d.Size.X + gtx.Dp(16)
		g := gtx
		g.Constraints.Max.X = max(gtx.Constraints.Max.X-x, 1)
		off := op.Offset(image.Pt(x, 0)).Push(gtx.Ops)
		e := th.Paragraph(g, draw.Small, font.Normal, th.Text, r.clickWords(report))
		off.Pop()
		return layout.Dimensions{Size: image.Pt(gtx.Constraints.Max.X, max(d.Size.Y, e.Size.Y))}
	})
	if report.Here < 2 {
		return
	}
	text := fmt.Sprintf("The second time your points at %s lie %s and %s on average. ", report.Position,
		shift(-report.ShiftX.Bias, "to the right", "to the left"), shift(-report.ShiftY.Bias, "lower", "higher"))
	view := "?"
	if c := r.host.Session().Bench.Swing().Clip(report.Largest.Clip); c != nil {
		view = c.View.String()
	}
	text += fmt.Sprintf("Farthest apart: the %s %s, %.1f px", report.Largest.Point, view, report.LargestPx)
	// Two markings differ by √2 of the error in each coordinate: this far apart
	// by chance about once in 3000 points.
	if report.LargestPx > 4*math.Sqrt2*report.Click.ClickSigmaPx {
		text += "; if that was a slip, throw these away and mark again"
	}
	col.Add(func(gtx layout.Context) layout.Dimensions {
		return th.Paragraph(gtx, draw.Small, font.Normal, th.Dim, text+".")
	})
}

func (r *Room) clickWords(report *repeatability.Report) string {
	text := fmt.Sprintf("is your own click error: one standard deviation of one coordinate, from %d points marked twice in this lesson. ", report.Click.Pairs)
	switch now := r.host.Session().Bench.Lesson().ClickSDPx; {
	case now == 0:
		return text + fmt.Sprintf("Until you say otherwise the usual %.1f px counts.", usualClickPx)
	case math.Abs(now-report.Click.ClickSigmaPx) < 0.05:
		return text + "The lesson is measured with it."
	default:
		return text + fmt.Sprintf("The lesson is measured with %.1f px now.", now)
	}
}

// shift writes a mean difference with its direction.
func shift(px float64, positive, negative string) string {
	if px < 0 {
		return fmt.Sprintf("%.1f px %s", -px, negative)
	}
	return fmt.Sprintf("%.1f px %s", px, positive)
}

// table lists the measures of the position.
func (r *Room) table(gtx layout.Context, rows []repeatability.Measure) layout.Dimensions {
	th := r.host.Theme()
	heads := [...]string{"Measure", "first", "second", "by your clicks", "smallest real change"}
	width := gtx.Constraints.Max.X
	var ends [len(heads)]int // right edges
	rest := width
	for i := len(heads) - 1; i > 0; i-- {
		ends[i] = rest
		w, _ := th.TextSize(gtx, draw.Small, font.Medium, heads[i])
		rest -= max(w.X, gtx.Sp(64)) + gtx.Sp(18)
	}
	ends[0] = rest
	line := gtx.Sp(23)
	y := 0
	put := func(i int, weight font.Weight, ink color.NRGBA, s string) {
		from := 0
		if i > 0 {
			from = ends[i-1]
		}
		g := gtx
		g.Constraints = layout.Constraints{Min: image.Pt(ends[i]-from, line), Max: image.Pt(max(ends[i]-from, 0), line)}
		align := text.End
		if i == 0 {
			align = text.Start
		}
		off := op.Offset(image.Pt(from, y)).Push(gtx.Ops)
		th.LabelAlign(g, align, draw.Small, weight, ink, s)
		off.Pop()
	}
	for i, h := range heads {
		put(i, font.Medium, th.Dim, h)
	}
	y += line
	for _, m := range rows {
		draw.Fill(gtx.Ops, image.Rect(0, y, width, y+max(gtx.Dp(1), 1)), th.Line)
		put(0, font.Normal, th.Text, bench.Title(m.Name))
		n := words.Exact(m.Unit, r.host.Settings().Imperial).Of(m.Name, r.position)
		for i, s := range [...]string{
			n.Value(m.First), n.Value(m.Second), n.PlusMinus(m.SEM), n.Value(m.MDC95),
		} {
			put(i+1, font.Normal, th.Text, s)
		}
		y += line
	}
	return layout.Dimensions{Size: image.Pt(width, y)}
}

func (r *Room) buttons(gtx layout.Context) layout.Dimensions {
	th := r.host.Theme()
	button := func(b *draw.Button, s draw.ButtonStyle) layout.Widget {
		return func(gtx layout.Context) layout.Dimensions { return th.Button(gtx, b, s) }
	}
	keep := button(&r.keep, draw.ButtonStyle{Label: "Close", Tip: "Keep the second marks; measure as before"})
	drop := button(&r.drop, draw.ButtonStyle{Label: "Throw the second marks away", Kind: draw.Quiet})
	if r.report == nil || !r.report.Enough {
		return kit.EndRow(gtx, drop, keep)
	}
	now := r.host.Session().Bench.Lesson().ClickSDPx
	if now > 0 && math.Abs(now-r.report.Click.ClickSigmaPx) < 0.05 {
		return kit.EndRow(gtx, drop, button(&r.usual, draw.ButtonStyle{Label: fmt.Sprintf("Back to %.1f px", usualClickPx), Kind: draw.Quiet}), keep)
	}
	return kit.EndRow(gtx, drop, keep, button(&r.use, draw.ButtonStyle{
		Label: fmt.Sprintf("Use %.1f px from now on", r.report.Click.ClickSigmaPx), Kind: draw.Primary,
	}))
}
