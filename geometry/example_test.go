package geometry_test

import (
	"fmt"

	"turngauge/geometry"
)

func ExampleJudge() {
	j := geometry.Judge(38.2, 2.9, geometry.Range{Low: 40, High: 60}, geometry.Decided)
	fmt.Printf("%s, %.0f %% sure (%.0f %% within)\n", j.Verdict, 100*j.Probability, 100*j.Within)
	// Output: not above, 100 % sure (27 % within)
}

// A coach marks the same frames again, blind: how well does he repeat himself,
// and how large must a change between two lessons be to be one?
func ExampleRepeatMarks() {
	var first, again []geometry.Mark
	for p := geometry.LeadHip; p <= geometry.TrailToe; p++ {
		m := geometry.Mark{Point: p, At: geometry.ImagePt{X: 900, Y: 40 * float64(p)}}
		first = append(first, m)
		m.At.X += 3 * float64(1-2*(int(p)%2))
		again = append(again, m)
	}
	r, ok := geometry.RepeatMarks(first, again)
	fmt.Printf("%v %.1f px\n", ok, r.ClickSigmaPx)

	c := geometry.Changed(38, 2.5, 46, 2.5, 0)
	fmt.Printf("%+.0f degrees, real: %v (from %.1f on)\n", c.Value, c.Real, geometry.MDC95(2.5))
	// Output:
	// true 1.5 px
	// +8 degrees, real: true (from 6.9 on)
}

func ExampleTempoOf() {
	t, ok := geometry.TempoOf(0.50, 1.30, 1.30+8.0/30, 1.0/30)
	fmt.Printf("%v %.1f ± %.2f\n", ok, t.Ratio, t.RatioSigma)
	// Output: true 3.0 ± 0.18
}
