package series

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"turngauge/annotations"
	"turngauge/annotations/table"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

// Compared is a comparison as it is printed: what became of the student since an earlier
// visit, or with what was tried.
type Compared struct {
	Tried   string         `json:"tried,omitempty"` // absent where visits are compared
	Since   string         `json:"since,omitempty"` // date of the earlier visit
	Earlier []string       `json:"earlier"`         // IDs of swings
	Later   []string       `json:"later"`
	Changes []ChangeReport `json:"changes"` // those that are real first
}

// ChangeReport is the change of one measure, its mean in the later swings less that in
// the earlier ones, in Unit.
type ChangeReport struct {
	Name     string                `json:"name"`
	Position geometry.PositionName `json:"position"`
	Unit     geometry.Unit         `json:"unit"`
	Before   float64               `json:"before"`
	Now      float64               `json:"now"`
	annotations.NumberReport
	Spread      float64 `json:"spread"` // from swing to swing, counted in
	Assumed     bool    `json:"spread_assumed,omitempty"`
	Probability float64 `json:"probability"` // that the change has the sign of Value
	Real        bool    `json:"real"`
	// Settled is how many swings the later visit would need for the change to be real if
	// it stays; absent where that is not so or not needed.
	Settled int    `json:"swings_to_settle,omitempty"`
	Says    string `json:"says"`
}

// Report returns the comparison as it is printed.
func (c *Comparison) Report(imperial bool, decided float64) Compared {
	out := Compared{Tried: c.Later[0].Swing().Tried, Changes: []ChangeReport{}}
	if c.Earlier[0].Lesson != c.Later[0].Lesson {
		out.Since = c.Earlier[0].Lesson.Date
	}
	for _, r := range c.Earlier {
		out.Earlier = append(out.Earlier, r.Swing().ID)
	}
	for _, r := range c.Later {
		out.Later = append(out.Later, r.Swing().ID)
	}
	for _, x := range c.Sorted() {
		ch := &x.Change
		out.Changes = append(out.Changes, ChangeReport{Name: x.Name, Position: x.Position, Unit: x.Unit,
			Before: annotations.Rounded(ch.Earlier.Value), Now: annotations.Rounded(ch.Later.Value),
			NumberReport: annotations.NumberReport{Value: annotations.Rounded(ch.Value), SD: annotations.Rounded(ch.Sigma), Low95: annotations.Rounded(ch.Low95), High95: annotations.Rounded(ch.High95)},
			Spread:       annotations.Rounded(ch.Spread.SD), Assumed: !ch.Spread.Estimated,
			Probability: annotations.Rounded(ch.Probability), Real: ch.Real, Settled: ch.Settled(),
			Says: x.Says(out.Tried, imperial, decided)})
	}
	return out
}

// Says is the sentence of one change.
func (c *Change) Says(tried string, imperial bool, decided float64) string {
	said := words.Changed(&c.Change, c.Name, c.Position, c.Unit, imperial, decided)
	if tried != "" {
		return words.WithTried(tried, said)
	}
	return words.Sentence(said)
}

// Sorted returns all changes, those that are real first, and of these those with a target
// range, then the surest.
func (c *Comparison) Sorted() []Change {
	list := c.All()
	rank := func(x *Change) float64 {
		switch {
		case x.Real && x.Target != nil:
			return 2 + x.Probability
		case x.Real:
			return 1 + x.Probability
		}
		return x.Probability
	}
	slices.SortStableFunc(list, func(a, b Change) int {
		switch x, y := rank(&a), rank(&b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return list
}

// ByChance says how many of so many measures would be called real though nothing has
// changed: the 95 % interval of one in twenty leaves out zero.
func ByChance(measures int) string {
	return fmt.Sprintf("Of %d measures about %d would be called real by chance; what was looked for beforehand counts, and what several tell together.", measures, max((measures+10)/20, 1))
}

// mostPrinted is how many changes that are not told a table has beside the others.
const mostPrinted = 5

// Table prints the changes in aligned columns, and of the first in words.
func (r *Compared) Table(b *strings.Builder) {
	title := "Since " + words.Day(r.Since)
	if r.Since == "" {
		title = "Since the earlier visit"
	}
	if r.Tried != "" {
		title = words.Sentence("with “" + r.Tried + "”, against the usual swing")
		if r.Since != "" {
			title = "With “" + r.Tried + "”, since " + words.Day(r.Since)
		}
	}
	fmt.Fprintf(b, "\n%s: %s, then %s\n", title, words.Swings(len(r.Earlier)), words.Swings(len(r.Later)))
	open := 0
	table.Aligned(b, func(t io.Writer) {
		_, _ = fmt.Fprintf(t, "\n  measure\tbefore\tnow\tchange ± 95 %%\tunit\tverdict\n")
		for i := range r.Changes {
			c := &r.Changes[i]
			if !c.Real {
				if open++; open > mostPrinted {
					continue
				}
			}
			exact := words.Exact(c.Unit, false).Of(c.Name, c.Position)
			number, unit := exact.ChangeColumn(c.Unit, c.Before, c.Now, c.Value, (c.High95-c.Low95)/2)
			_, _ = fmt.Fprintf(t, "    %s, %s\t%s\t%s\t%s\t%s\t%s\n", c.Name, c.Position, exact.Placed(c.Before), exact.Placed(c.Now),
				number, unit, c.verdict())
		}
	})
	if open > mostPrinted {
		fmt.Fprintf(b, "    and %d more that are not real\n", open-mostPrinted)
	}
	for i := range r.Changes {
		if c := &r.Changes[i]; c.Real && i < mostPrinted {
			fmt.Fprintf(b, "\n  %s.", c.Says)
		}
	}
	fmt.Fprintf(b, "\n  %s\n", ByChance(len(r.Changes)))
}

// verdict is what stands behind the last colon of the sentence.
func (c *ChangeReport) verdict() string {
	_, v, _ := strings.Cut(c.Says[strings.LastIndex(c.Says, ": ")+1:], " ")
	return v
}
