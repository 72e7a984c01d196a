// Package table prints measured lessons as text: a heading for each part of the sheet and
// key position, one line a measure, its cells under each other.
package table

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Write prints the report of a lesson for people to read. also is printed between the
// swings and the cautions. The error is w's.
func Write(w io.Writer, r *annotations.Report, l *annotations.Lesson, also string) error {
	var b strings.Builder
	b.WriteString(heading(l) + "\n")
	if len(r.Swings) == 0 {
		b.WriteString("\nThere is no swing in this lesson yet.\n")
	}
	for i := range r.Swings {
		name := "Swing " + r.Swings[i].ID
		if len(r.Swings) > 1 {
			name = fmt.Sprintf("Swing %d of %d, %s", i+1, len(r.Swings), r.Swings[i].ID)
		}
		swing(&b, name, &r.Swings[i], l.Swing(r.Swings[i].ID))
	}
	b.WriteString(also + "\n" + annotations.Cautions + "\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func heading(l *annotations.Lesson) string {
	handed := "right-handed"
	if l.Student.Handed == geometry.LeftHanded {
		handed = "left-handed"
	}
	var parts []string
	for _, p := range []string{l.Title, l.Date, l.Student.Name, handed, l.Place} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ", ")
}

func swing(b *strings.Builder, name string, r *annotations.SwingReport, s *annotations.Swing) {
	fmt.Fprintf(b, "\n%s", name)
	if r.Label != "" {
		fmt.Fprintf(b, ": %s", r.Label)
	}
	b.WriteString("\n")
	mistake(b, r)
	if len(r.Measures) > 0 {
		rows(b, r)
		for i := range r.Measures {
			if r.Measures[i].Basis == annotations.OnFollowed {
				b.WriteString("\n  * followed through the clips; the others are of the marks alone.")
				break
			}
		}
		b.WriteString("\n  A turn toward the target is open, one away from it closed, or on the way up without a word. Of a hundred verdicts that are likely at least 66 are true, 90 of the very likely, 99 of the virtually certain.\n")
	}
	advice(b, r)
	if f := r.Fit; f != nil {
		fmt.Fprintf(b, "\n  Fit: %s after %d steps; %d observations, %d unknowns, rank %d.\n", f.Status, f.Iterations, f.Observations, f.Unknowns, f.Rank)
		marking(b, f)
		if len(f.Suspects) > 0 && !f.Spoilt() {
			b.WriteString("  Look at these marks again:\n")
			for _, x := range f.Suspects {
				fmt.Fprintf(b, "    %s at %s, %s: %s\n", x.Point, x.Position, viewOf(s, x.Clip), x.Reason)
			}
		}
	}
	missing(b, r)
}

// mistake says what is the matter with the whole swing.
func mistake(b *strings.Builder, r *annotations.SwingReport) {
	if r.Fit == nil || r.Fit.Mistake == nil {
		return
	}
	m := r.Fit.Mistake
	fmt.Fprintf(b, "\n  %s.\n  %s.\n", words.Sentence(m.Reason), words.Sentence(m.Ask))
	if r.Fit.Spoilt() {
		b.WriteString("  Until then no number of this swing is given.\n")
	}
}

// marking says how well the swing is marked.
func marking(b *strings.Builder, f *annotations.FitReport) {
	if f.ToldPx == nil || f.Spoilt() {
		return
	}
	fmt.Fprintf(b, "  %s.\n", words.Sentence(words.Agreement(*f.ToldPx, *f.ToldLow95, *f.ToldHigh95)))
	for i := range f.Misfits {
		fmt.Fprintf(b, "  %s.\n", words.Sentence(f.Misfits[i].Reason))
	}
}

// rows prints the measures in aligned columns, under a heading for each part
// of the sheet and key position.
func rows(b *strings.Builder, r *annotations.SwingReport) {
	Aligned(b, func(t io.Writer) {
		_, _ = fmt.Fprintf(t, "\n  measure\tvalue ± 95 %%\tunit\ttarget\tverdict\n")
		last := ""
		for _, m := range InOrder(r.Measures, func(m *annotations.MeasureReport) geometry.Group { return m.Group }) {
			if h := fmt.Sprintf("  %s, %s", m.Group, m.Position); h != last {
				_, _ = fmt.Fprintf(t, "%s\t\t\t\t\n", h)
				last = h
			}
			n := words.Exact(m.Unit, false).Of(m.Name, m.Position)
			r := m.Target.Bounds()
			number, unit := n.Column(m.Unit, m.Value, (m.High95-m.Low95)/2)
			verdict := n.Verdict(&geometry.Judgement{Verdict: m.Verdict, Probability: m.Probability}, r)
			_, _ = fmt.Fprintf(t, "    %s\t%s\t%s\t%s\t%s\n", m.Name, number+basisSign(&m), unit, n.Limits(m.Target.String(), r), verdict)
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
func basisSign(m *annotations.MeasureReport) string {
	if m.Basis == annotations.OnFollowed {
		return " *"
	}
	return ""
}

// groupOrder is that of the sheet.
var groupOrder = []geometry.Group{geometry.SetUp, geometry.Backswing, geometry.Downswing, geometry.Strike}

func viewOf(s *annotations.Swing, clip string) string {
	if s != nil {
		if c := s.Clip(clip); c != nil {
			return c.View.String()
		}
	}
	return clip
}

// advice lists what would settle the verdicts that are open.
func advice(b *strings.Builder, r *annotations.SwingReport) {
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
func missing(b *strings.Builder, r *annotations.SwingReport) {
	if len(r.Missing) == 0 || r.Fit.Spoilt() {
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
