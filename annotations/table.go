package annotations

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Cautions is shown wherever measures are printed.
const Cautions = "Pain or an injury: stop, and see a licensed professional. A coach's judgement comes first. " +
	"These numbers are estimates from video, not the output of a medical device."

// WriteTable prints the report of l for people to read.
// also is printed between the swings and the cautions.
func (r *Report) WriteTable(w io.Writer, l *Lesson, also string) error {
	var b strings.Builder
	b.WriteString(heading(l) + "\n")
	if len(r.Swings) == 0 {
		b.WriteString("\nThere is no swing in this lesson yet.\n")
	}
	for i := range r.Swings {
		r.Swings[i].table(&b, l.Swing(r.Swings[i].ID))
	}
	b.WriteString(also + "\n" + Cautions + "\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func heading(l *Lesson) string {
	var parts []string
	for _, p := range []string{l.Title, l.Date, l.Student.Name, nameOf(handedWords, l.Student.Handed) + "-handed", l.Place} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ", ")
}

func (r *SwingReport) table(b *strings.Builder, s *Swing) {
	fmt.Fprintf(b, "\nSwing %s", r.ID)
	if r.Label != "" {
		fmt.Fprintf(b, ": %s", r.Label)
	}
	b.WriteString("\n")
	r.mistake(b)
	if len(r.Measures) > 0 {
		r.rows(b)
		for i := range r.Measures {
			if r.Measures[i].Basis == OnFollowed {
				b.WriteString("\n  * followed through the clips; the others are of the marks alone.")
				break
			}
		}
		b.WriteString("\n  A turn toward the target is open, one away from it closed, or on the way up without a word. Of a hundred verdicts that are likely at least 66 are true, 90 of the very likely, 99 of the virtually certain.\n")
	}
	r.advice(b)
	if f := r.Fit; f != nil {
		fmt.Fprintf(b, "\n  Fit: %s after %d steps; %d observations, %d unknowns, rank %d.\n", f.Status, f.Iterations, f.Observations, f.Unknowns, f.Rank)
		f.marking(b)
		if len(f.Suspects) > 0 && !f.spoilt() {
			b.WriteString("  Look at these marks again:\n")
			for _, x := range f.Suspects {
				fmt.Fprintf(b, "    %s at %s, %s: %s\n", x.Point, x.Position, s.viewOf(x.Clip), x.Reason)
			}
		}
	}
	r.missing(b)
}

// mistake says what is the matter with the whole swing.
func (r *SwingReport) mistake(b *strings.Builder) {
	if r.Fit == nil || r.Fit.Mistake == nil {
		return
	}
	m := r.Fit.Mistake
	fmt.Fprintf(b, "\n  %s.\n  %s.\n", words.Sentence(m.Reason), words.Sentence(m.Ask))
	if m.all {
		b.WriteString("  Until then no number of this swing is given.\n")
	}
}

// spoilt reports whether a mistake makes every number wrong. f may be nil.
func (f *FitReport) spoilt() bool { return f != nil && f.Mistake != nil && f.Mistake.all }

// marking says how well the swing is marked.
func (f *FitReport) marking(b *strings.Builder) {
	if f.ToldPx == nil || f.spoilt() {
		return
	}
	fmt.Fprintf(b, "  %s.\n", words.Sentence(words.Agreement(*f.ToldPx, *f.ToldLow95, *f.ToldHigh95)))
	for i := range f.Misfits {
		fmt.Fprintf(b, "  %s.\n", words.Sentence(f.Misfits[i].Reason))
	}
}

// rows prints the measures in aligned columns, under a heading for each part
// of the sheet and key position.
func (r *SwingReport) rows(b *strings.Builder) {
	Aligned(b, func(t io.Writer) {
		_, _ = fmt.Fprintf(t, "\n  measure\tvalue ± 95 %%\tunit\ttarget\tverdict\n")
		last := ""
		for _, m := range InOrder(r.Measures, func(m *MeasureReport) geometry.Group { return m.Group }) {
			if h := fmt.Sprintf("  %s, %s", m.Group, m.Position); h != last {
				_, _ = fmt.Fprintf(t, "%s\t\t\t\t\n", h)
				last = h
			}
			n := words.Exact(m.Unit, false).Of(m.Name, m.Position)
			r := m.Target.bounds()
			number, unit := n.Column(m.Unit, m.Value, (m.High95-m.Low95)/2)
			verdict := n.Verdict(&geometry.Judgement{Verdict: m.Verdict, Probability: m.Probability}, r)
			_, _ = fmt.Fprintf(t, "    %s\t%s\t%s\t%s\t%s\n", m.Name, number+m.basisSign(), unit, n.Limits(m.Target.String(), r), verdict)
		}
	})
}

// Aligned prints lines whose cells, set apart by tabs, lie under each other.
func Aligned(b *strings.Builder, lines func(io.Writer)) {
	var text strings.Builder
	t := tabwriter.NewWriter(&text, 0, 0, 2, ' ', 0)
	lines(t)
	_ = t.Flush() // a strings.Builder takes everything
	for _, line := range strings.SplitAfter(text.String(), "\n") {
		b.WriteString(strings.TrimRight(strings.TrimSuffix(line, "\n"), " "))
		if strings.HasSuffix(line, "\n") {
			b.WriteString("\n")
		}
	}
}

// InOrder returns measures by the parts of the sheet, in its order.
func InOrder[M any](measures []M, group func(*M) geometry.Group) []M {
	out := slices.Clone(measures)
	slices.SortStableFunc(out, func(a, b M) int {
		return slices.Index(groupOrder, group(&a)) - slices.Index(groupOrder, group(&b))
	})
	return out
}

// basisSign stands behind a number that was followed.
func (m *MeasureReport) basisSign() string {
	if m.Basis == OnFollowed {
		return " *"
	}
	return ""
}

// groupOrder is that of the sheet.
var groupOrder = []geometry.Group{geometry.SetUp, geometry.Backswing, geometry.Downswing, geometry.Strike}

func (s *Swing) viewOf(clip string) string {
	if s != nil {
		if c := s.Clip(clip); c != nil {
			return c.View.String()
		}
	}
	return clip
}

// advice lists what would settle the verdicts that are open.
func (r *SwingReport) advice(b *strings.Builder) {
	title := "\n  What would decide it:\n"
	for _, m := range r.Measures {
		for i, x := range m.Remedies {
			if i == 0 {
				fmt.Fprintf(b, "%s    %s at %s:\n", title, m.Name, m.Position)
				title = ""
			}
			fmt.Fprintf(b, "      %s\n", x.Text)
		}
	}
}

// missing lists what was not measured, measures with one reason together.
func (r *SwingReport) missing(b *strings.Builder) {
	if len(r.Missing) == 0 || r.Fit.spoilt() {
		return
	}
	b.WriteString("\n  Not measured:\n")
	names := map[string][]string{}
	var reasons []string
	for _, m := range r.Missing {
		if _, seen := names[m.Reason]; !seen {
			reasons = append(reasons, m.Reason)
		}
		name := m.Name
		if name != "" && m.Position != "" {
			name += " at " + string(m.Position)
		}
		names[m.Reason] = append(names[m.Reason], name)
	}
	for _, reason := range reasons {
		who := strings.Join(names[reason], ", ")
		if who == "" {
			fmt.Fprintf(b, "    %s\n", reason)
			continue
		}
		fmt.Fprintf(b, "    %s: %s\n", who, reason)
	}
}

// bounds returns the range, whose ends may be infinite; all numbers where t is nil.
func (t *TargetReport) bounds() geometry.Range {
	r := geometry.Range{Low: math.Inf(-1), High: math.Inf(1)}
	if t != nil && t.Low != nil {
		r.Low = *t.Low
	}
	if t != nil && t.High != nil {
		r.High = *t.High
	}
	return r
}

// String prints the range: "40 to 60", "from 40" or "up to 60".
func (t *TargetReport) String() string {
	if t == nil {
		return ""
	}
	return words.Limits(t.Low, t.High)
}
