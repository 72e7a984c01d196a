package series

import (
	"fmt"
	"io"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/table"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Report is what swings that were swung alike tell of the student.
type Report struct {
	Tried  string                `json:"tried,omitempty"` // absent for the usual swing
	Clubs  annotations.ClubGroup `json:"clubs,omitempty"`
	Swings []string              `json:"swings"` // their IDs
	// Typical is the ID of the swing nearest to the means; absent with fewer than
	// three.
	Typical string `json:"typical,omitempty"`
	// Odd are the swings that are not like the others, and by what.
	Odd      []OddReport  `json:"odd,omitempty"`
	Measures []MeanReport `json:"measures"`
	// Still and Moved are the views whose cameras stood still over these swings, or did
	// not; Cameras numbers by view and swing the camera that it shares, 0 for one of its
	// own; Narrower is by what part the intervals of a swing have become narrower by what
	// the others know of the body and of the cameras.
	Still    []string         `json:"cameras_still,omitempty"`
	Moved    []string         `json:"cameras_moved,omitempty"`
	Cameras  map[string][]int `json:"cameras,omitempty"`
	Narrower float64          `json:"narrower,omitempty"`

	sharing *Sharing
	numbers map[string]int // by their IDs the swings' places in the lesson, counted from 1
}

// OddReport is a swing that is not like the others, by the measure that lies farthest off.
type OddReport struct {
	Swing    string                `json:"swing"` // its ID
	Name     string                `json:"name"`
	Position geometry.PositionName `json:"position"`
	Unit     geometry.Unit         `json:"unit"`
	Value    float64               `json:"value"`
	Others   float64               `json:"others"` // their mean
}

// MeanReport is the mean of one measure, with its 95 % interval, and the student's
// standard deviation from swing to swing. Numbers are in Unit.
type MeanReport struct {
	Name     string                `json:"name"`
	Position geometry.PositionName `json:"position"`
	Group    geometry.Group        `json:"-"`
	Unit     geometry.Unit         `json:"unit"`
	N        int                   `json:"n"` // swings that it is the mean of
	annotations.NumberReport
	Spread float64 `json:"spread"`
	// SpreadLow95 and SpreadHigh95 are absent where the spread is assumed.
	SpreadLow95  *float64                  `json:"spread_low95,omitempty"`
	SpreadHigh95 *float64                  `json:"spread_high95,omitempty"`
	Target       *annotations.TargetReport `json:"target,omitempty"`
	Verdict      geometry.Verdict          `json:"verdict,omitempty"`
	Probability  float64                   `json:"probability,omitempty"`
}

// Report returns the series as it is printed, numbers rounded to a ten-thousandth.
func (s *Series) Report() Report {
	out := Report{Tried: s.Tried, Clubs: s.Clubs, Measures: make([]MeanReport, len(s.Measures)), numbers: map[string]int{}}
	for _, r := range s.Swings {
		out.Swings = append(out.Swings, r.Swing().ID)
		out.numbers[r.Swing().ID] = r.Index + 1
	}
	if t := SharingOf(s.Swings); t != nil {
		out.sharing = t
		for _, v := range t.Still {
			out.Still = append(out.Still, v.String())
		}
		for _, v := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
			if len(t.Moved[v]) > 0 {
				out.Moved = append(out.Moved, v.String())
			}
		}
		out.Cameras, out.Narrower = t.Cameras, annotations.Rounded(t.Narrower)
	}
	if s.Typical >= 0 {
		out.Typical = out.Swings[s.Typical]
	}
	for _, o := range s.Odd() {
		a := o.By[0]
		out.Odd = append(out.Odd, OddReport{out.Swings[o.Swing], a.Measure.Name, a.Measure.Position, a.Measure.Unit, annotations.Rounded(a.Value), annotations.Rounded(a.Others)})
	}
	for i := range s.Measures {
		m := &s.Measures[i]
		x := MeanReport{Name: m.Name, Position: m.Position, Group: m.Group, Unit: m.Unit, N: m.N, Spread: annotations.Rounded(m.Spread.SD),
			NumberReport: annotations.NumberReport{Value: annotations.Rounded(m.Value), SD: annotations.Rounded(m.Sigma), Low95: annotations.Rounded(m.Low95), High95: annotations.Rounded(m.High95)},
			Verdict:      m.Verdict, Probability: annotations.Rounded(m.Probability)}
		if m.Spread.Estimated {
			low, high := annotations.Rounded(m.Spread.Low95), annotations.Rounded(m.Spread.High95)
			x.SpreadLow95, x.SpreadHigh95 = &low, &high
		}
		if t := m.Target; t != nil {
			x.Target = t.Report()
		}
		out.Measures[i] = x
	}
	return out
}

// Table prints the means in aligned columns.
func (r *Report) Table(b *strings.Builder) {
	fmt.Fprintf(b, "\nThe student, over %s", words.Count(len(r.Swings), "swing", "swings"))
	if r.Tried != "" {
		fmt.Fprintf(b, ": %s", r.Tried)
	}
	b.WriteString("\n")
	table.Aligned(b, func(t io.Writer) {
		_, _ = fmt.Fprintf(t, "\n  measure\tmean ± 95 %%\tunit\tswing to swing\ttarget\tverdict\n")
		last := ""
		for _, m := range table.InOrder(r.Measures, func(m *MeanReport) geometry.Group { return m.Group }) {
			if h := fmt.Sprintf("  %s, %s", m.Group, m.Position); h != last {
				_, _ = fmt.Fprintf(t, "%s\t\t\t\t\t\n", h)
				last = h
			}
			n, target := words.Exact(m.Unit, false).Of(m.Name, m.Position), m.Target.Bounds()
			number, unit := n.Column(m.Unit, m.Value, (m.High95-m.Low95)/2)
			_, _ = fmt.Fprintf(t, "    %s\t%s\t%s\t%s\t%s\t%s\n", m.Name, number, unit, m.spread(), n.Limits(m.Target.String(), target),
				n.Verdict(&geometry.Judgement{Verdict: m.Verdict, Probability: m.Probability}, target))
		}
	})
	if r.Typical != "" {
		fmt.Fprintf(b, "\n  The most typical is swing %d.\n", r.numbers[r.Typical])
	}
	for _, o := range r.Odd {
		told := words.Told(o.Unit, false).Of(o.Name, o.Position)
		fmt.Fprintf(b, "\n  Swing %d is not like the others: %s at %s %s, the others %s.\n", r.numbers[o.Swing], o.Name, o.Position, told.Value(o.Value), told.Value(o.Others))
	}
	if r.sharing != nil {
		fmt.Fprintf(b, "\n  %s\n", r.sharing)
	}
}

// spread writes the spread from swing to swing with its interval.
func (m *MeanReport) spread() string {
	exact := words.Exact(m.Unit, false)
	if m.SpreadLow95 == nil {
		return exact.Bare(m.Spread) + " assumed"
	}
	if exact.Bare(*m.SpreadHigh95) == exact.Bare(0) { // they agree better than marks do
		return "none seen"
	}
	return exact.Bare(m.Spread) + " (" + exact.Bounds(*m.SpreadLow95, *m.SpreadHigh95) + ")"
}
