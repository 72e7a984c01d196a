package takehome

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turngauge/annotations"
	"turngauge/annotations/series"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/ui/sheet"
	"turngauge/ui/takehome/raster"
	"turngauge/ui/takehome/spoken"
)

// builder gathers a sheet.
type builder struct {
	request *Request
	now     *measured
	before  *measured              // nil where there is no earlier lesson
	other   *measured              // that the clip shows beside it, or nil
	held    []annotations.Measured // the numbers held against those of other
	rows    *sheet.Model
	album   *album
	earlier *album // of the lesson before; nil where it is not known where that lies
	sheet   *Sheet
}

// Build gathers the sheet of a request: it fits the swing, and the one it is
// compared with, and reads the frames. It takes some seconds. The error is that
// of ctx, or says that the request names no swing there is.
func Build(ctx context.Context, r *Request) (*Sheet, error) {
	b, err := gather(ctx, r)
	if err != nil {
		return nil, err
	}
	return b.sheet, nil
}

func gather(ctx context.Context, r *Request) (*builder, error) {
	index, err := r.swingIndex()
	if err != nil {
		return nil, err
	}
	b := &builder{request: r, sheet: new(Sheet), album: newAlbum(filepath.Dir(r.Path))}
	defer b.album.close()
	if r.EarlierPath != "" {
		b.earlier = newAlbum(filepath.Dir(r.EarlierPath))
		b.earlier.widths = b.album.widths
		defer b.earlier.close()
	}
	if b.now, err = r.measure(ctx, r.Lesson, index); err != nil {
		return nil, err
	}
	if m := b.now.Mistake(); m.WithholdsAll() {
		b.note("There are no numbers on the sheet: %s.", words.Mistake(&b.now.Problem, m))
	}
	b.rows = b.now.rows()
	if r.Earlier != nil {
		switch id, ok := series.ToCompare(r.Earlier, b.now.Swing().Club); {
		case !ok:
			b.note("The earlier lesson has no swing with marks: the sheet compares with nothing.")
		default:
			if b.before, err = r.measure(ctx, r.Earlier, r.Earlier.SwingIndex(id)); err != nil {
				return nil, err
			}
			switch m := b.before.Mistake(); {
			case m.WithholdsAll():
				b.note("The sheet compares with nothing. Of the earlier lesson, %s.", words.Mistake(&b.before.Problem, m))
				b.before = nil
			case b.before.Solution == nil:
				b.note("Nothing can be measured in the earlier lesson: the sheet compares with nothing.")
				b.before = nil
			}
		}
	}
	if b.before != nil {
		r.hold(b.now, b.before.visit, false)
	}
	if err := b.besides(ctx, index); err != nil {
		return nil, err
	}
	r.step(1)
	b.head()
	if err := b.findings(ctx); err != nil {
		return nil, err
	}
	if err := b.strip(ctx); err != nil {
		return nil, err
	}
	b.numbers()
	b.changes()
	b.courses()
	b.shots()
	b.plans()
	if f := spoken.Of(ctx, r.Lesson.Reviews, b.album.folder, b.album.widths); f != nil {
		b.sheet.Film = &Picture{JPEG: f.JPEG, Width: f.Width, Height: f.Height, Caption: f.Caption(), Says: "A picture of the film"}
	}
	b.next()
	b.words()
	b.sheet.Notes = append(b.sheet.Notes, b.album.notes...)
	return b, nil
}

func (b *builder) note(format string, args ...any) {
	b.sheet.Notes = append(b.sheet.Notes, fmt.Sprintf(format, args...))
}

func (b *builder) head() {
	l, s := b.now.Lesson, b.sheet
	s.Student, s.Coach, s.Place = oneLine(l.Student.Name), oneLine(l.Coach), oneLine(l.Place)
	s.Date = dateOf(l)
	s.Day, _ = time.Parse(time.DateOnly, l.Date)
	s.Club = oneLine(b.now.Swing().Club.Name)
	s.Work = l.Prescription
	s.Cautions = annotations.Cautions
	s.Academy = b.request.Academy
	s.Academy.Name, s.Academy.Address = oneLine(s.Academy.Name), oneLine(s.Academy.Address)
	if logo := s.Academy.Logo; logo != nil {
		if data, size, err := raster.Logo(logo); err == nil {
			s.logo = &Picture{JPEG: data, Width: size.X, Height: size.Y, Says: "The academy's logo"}
		} else {
			b.note("The academy's logo can't be read, so the sheet has none: it must be a PNG or a JPEG (%v).", err)
		}
	}
	if b.before != nil {
		if s.Earlier = dateOf(b.before.Lesson); s.Earlier == "" {
			s.Earlier = "an earlier lesson"
		}
	}
}

// dateOf writes the date of a lesson in words, so that no reader takes the day
// for the month.
func dateOf(l *annotations.Lesson) string {
	t, err := time.Parse(time.DateOnly, l.Date)
	if err != nil {
		return oneLine(l.Date)
	}
	return t.Format("2 January 2006")
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func (b *builder) findings(ctx context.Context) error {
	list := b.now.findings()
	if n := len(b.now.Swing().Findings) - len(list); n > 0 {
		b.note("%s left out: the numbers are withheld.", words.Count(n, "finding is", "findings are"))
	}
	for i := range list {
		f := &list[i]
		out := Finding{Text: oneLine(f.Text), Weight: math.Inf(1)}
		if f.Measure != "" {
			imperial := b.request.Imperial
			n := words.Told(f.Unit, imperial).Of(f.Measure, f.Position)
			out.Number, out.Interval = n.Value(f.Value), n.Interval(f.Low95, f.High95)
			r := b.reading(f)
			if r.Target != nil { // else there is nothing to be below
				out.Verdict = f.Verdict
			}
			row := smallScale(r, rowScale)
			out.Weight = r.weight()
			out.Plain = b.plain(f)
			found := Number{Name: sentence(nameAt(f.Measure, f.Position)), Number: out.Number, Interval: out.Interval, Verdict: out.Verdict, Scale: row}
			if r.Target != nil {
				found.Target, found.Said = n.Range(*r.Target), n.Side(out.Verdict, *r.Target)
			}
			b.sheet.Found = append(b.sheet.Found, found)
			b.compareFinding(f)
		}
		if err := b.pictures(ctx, f, &out); err != nil {
			return err
		}
		b.sheet.Findings = append(b.sheet.Findings, out)
		b.request.step(2 + i)
	}
	return nil
}

// reading is the number of a finding as it stood when the coach took it.
func (b *builder) reading(f *annotations.Finding) *reading {
	r := &reading{
		Unit: f.Unit, Imperial: b.request.Imperial, Value: f.Value, Low: f.Low95, High: f.High95, Verdict: f.Verdict,
	}
	t, ok := b.request.targets().Find(f.Measure, f.Position, b.now.Swing().Club.Group(), b.now.Lesson.Student.Sex)
	if ok {
		r.Target = &t.Range
	} else {
		r.Verdict = ""
	}
	b.finish(r, f.Measure, f.Position)
	return r
}

// weight is how many times the half of its interval a number lies outside the
// range.
func (r *reading) weight() float64 {
	half := (r.High - r.Low) / 2
	if r.Target == nil || half <= 0 {
		return 0
	}
	return outside(r.Value, r.Target) / half
}

// finish adds the value before and the stretch shown.
func (b *builder) finish(r *reading, name string, position geometry.PositionName) {
	r.Name, r.Position = name, position
	if m := b.before.number(name, position); m != nil {
		r.Before = &m.Value
	}
	r.From, r.To = r.extent()
	if row, ok := b.rows.Find(sheet.Key(name, position)); ok {
		from, to := row.Extent()
		if from < to {
			r.From, r.To = math.Min(from, r.Value), math.Max(to, r.Value)
		}
	}
}

// compareFinding notes a finding whose number the marks no longer give.
func (b *builder) compareFinding(f *annotations.Finding) {
	m := b.now.number(f.Measure, f.Position)
	imperial := b.request.Imperial
	n := words.Told(f.Unit, imperial).Of(f.Measure, f.Position)
	was := n.Value(f.Value)
	switch {
	case m == nil:
		b.note("The finding about the %s says %s, but the marks no longer give that number.", nameAt(f.Measure, f.Position), was)
	case n.Value(m.Value) != was:
		b.note("The finding about the %s says %s, as when it was taken; the marks now give %s. Take it again to bring it up to date.",
			nameAt(f.Measure, f.Position), was, n.Value(m.Value))
	}
}

func (b *builder) numbers() {
	imperial := b.request.Imperial
	for i := range b.now.numbers {
		m := &b.now.numbers[i]
		if m.Target == nil {
			continue
		}
		r := &reading{
			Unit: m.Unit, Imperial: imperial, Value: m.Value, Low: m.Low95, High: m.High95, Verdict: m.Verdict,
			Target: rangeOf(m),
		}
		b.finish(r, m.Name, m.Position)
		n := words.Told(m.Unit, imperial).Of(m.Name, m.Position)
		_, told := b.now.Swing().FindingOf(m.Name, m.Position)
		b.sheet.Numbers = append(b.sheet.Numbers, Number{
			Told: told, Said: n.Side(m.Verdict, *r.Target),
			Name: sentence(nameAt(m.Name, m.Position)), Verdict: m.Verdict,
			Number:   n.Value(m.Value),
			Interval: n.Interval(m.Low95, m.High95),
			Target:   n.Range(*r.Target),
			Scale:    smallScale(r, numberScale),
		})
	}
}

// numberScale is the width of a table's dot-and-interval, points.
const numberScale = 76.0

// mostAdvice is how many things to mark the sheet names.
const mostAdvice = 3

// next says what to film next, and what to mark.
func (b *builder) next() {
	s := b.sheet
	if text := oneLine(b.request.Lesson.Prescription.FilmNext); text != "" {
		s.Next = append(s.Next, text)
	}
	sw := b.now.Swing()
	if f, d := sw.ClipOf(geometry.FaceOn) != nil, sw.ClipOf(geometry.DownTheLine) != nil; !f || !d {
		missing := geometry.FaceOn
		if f {
			missing = geometry.DownTheLine
		}
		s.Next = append(s.Next, "Film the swing "+viewWords(missing)+" as well, with the phone on a stand: two views make every turn much surer.")
	}
	var advice []string
	add := func(text string) {
		if text = sentence(strings.TrimSuffix(text, ".")) + "."; text != "." && !slices.Contains(advice, text) && len(advice) < mostAdvice {
			advice = append(advice, text)
		}
	}
	for i := range b.now.Measures {
		if m := &b.now.Measures[i]; m.Target != nil && !m.Verdict.TwoSided() {
			if mark, ok := b.now.Suggest(m); ok {
				add(strings.TrimSuffix(nameAt(m.Name, m.Position), ".") + ": " + words.Advice(&mark, b.request.Imperial))
			}
		}
	}
	if len(b.now.numbers) == 0 {
		for _, reason := range b.now.Reasons(b.request.Imperial) {
			add(reason)
		}
	}
	s.Mark = advice
	open := slices.ContainsFunc(s.Numbers, func(n Number) bool { return !n.Verdict.TwoSided() })
	if len(s.Next) == 0 && (open || len(s.Numbers) == 0) {
		s.Next = []string{"Film the swing once more, the golfer filling the height of the picture, in good light, with the phone still on a stand: sharper marks make the intervals narrower."}
	}
}

// nameAt names a measure with its position; a time is one of the whole swing.
func nameAt(name string, position geometry.PositionName) string {
	if position == "" || name == "tempo" || strings.HasSuffix(name, " time") {
		return name
	}
	return name + " at " + at(position)
}

func viewWords(v geometry.View) string {
	if v == geometry.DownTheLine {
		return "down the line"
	}
	return "face-on"
}

func sentence(s string) string { return words.Sentence(s) }
