package sheet

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/draw"
)

func TestEveryMeasureHasAScale(t *testing.T) {
	for _, d := range geometry.Definitions() {
		s, ok := spans[d.Name]
		assert.True(t, ok, "%q has no scale", d.Name)
		assert.Less(t, s.back.low, s.back.high, d.Name)
	}
	for name := range spans {
		assert.Contains(t, definitions, name, "a scale of no measure")
	}
}

// One row worked by hand, from the example output in the lesson format: value
// 38.2, sd 2.9, interval 32.5 to 43.9, target 40 to 60: surely not above.
func TestRowOfTheExample(t *testing.T) {
	x := annotations.Measured{Measure: geometry.Measure{
		Name: "pelvis turn", Position: geometry.Top, Unit: geometry.Degrees,
		Value: 38.2, Sigma: 2.9, Low95: 32.5, High95: 43.9, Method: "joint fit, 2 views",
	}}
	x.JudgeBy(annotations.Target{Range: geometry.Range{Low: 40, High: 60}, Source: "…"}, 0)
	m := Build(Input{Measures: []annotations.Measured{x}})
	r, ok := m.Find("pelvis turn @ top")
	require.True(t, ok)
	assert.Equal(t, "Pelvis turn, top", r.Title())
	assert.Equal(t, "38.2°", r.Number)
	assert.Equal(t, "± 5.7", r.PlusMinus)
	assert.Equal(t, "32.5 to 43.9°", r.Interval)
	assert.Equal(t, "40 to 60°", r.Target)
	assert.Equal(t, draw.NotAbove, r.Verdict)
	assert.Equal(t, "virtually certainly not above", r.Says)
	// P(x < 40) with z = (40 - 38.2)/2.9 = 0.6207 is 0.7326 (standard normal
	// table).
	assert.Equal(t, "73 % below, 27 % within", r.Chances)
	assert.Equal(t, "Backswing", m.Groups[0].Title)
	assert.Equal(t, "top", m.Groups[0].At)
	assert.NotEmpty(t, r.Positive, "taken from the definitions")
}

// Inches: 1 in is 2.54 cm exactly (international yard and pound agreement of
// 1959). The verdict must not depend on the unit shown.
func TestInches(t *testing.T) {
	in := lessonInput()
	cm := Build(in)
	in.Imperial = true
	inches := Build(in)
	a, ok := cm.Find(Key("stance width", geometry.Address))
	require.True(t, ok)
	b, ok := inches.Find(Key("stance width", geometry.Address))
	require.True(t, ok)
	assert.InDelta(t, a.Value, b.Value*2.54, 1e-9)
	assert.Equal(t, "18.6", b.Number)
	assert.Equal(t, "± 0.6 in", b.PlusMinus)
	assert.Equal(t, "19.7 to 23.6 in", b.Target)
	assert.Equal(t, a.Verdict, b.Verdict)
	for _, v := range []float64{0, 0.3, 1} {
		x := a.scale.low + v*(a.scale.high-a.scale.low)
		assert.InDelta(t, a.scale.at(x), b.scale.at(x/2.54), 1e-6, "the dot stays where it is")
	}
	deg1, _ := cm.Find(Key("pelvis turn", geometry.Top))
	deg2, _ := inches.Find(Key("pelvis turn", geometry.Top))
	assert.Equal(t, deg1.Number, deg2.Number)
}

// With standard deviations 3 and 4, and twice 3 from swing to swing, the change's own
// is √43 (independent variances add, JCGM 100:2008, 5.1.2), so 95 % is 12.9; its direction is as sure as the
// standard normal distribution of the ratio (from memory: Φ(1.96) = 0.975,
// Φ(1.2816) = 0.9, Φ(0.8416) = 0.8).
func TestChange(t *testing.T) {
	at := func(v, sd float64) *geometry.Measure {
		return &geometry.Measure{Name: "pelvis turn", Position: geometry.Top, Unit: geometry.Degrees, Value: v, Sigma: sd, Low95: v - 1.96*sd, High95: v + 1.96*sd}
	}
	for _, c := range []struct {
		now, before float64
		told        bool
		text, says  string
	}{
		{52.9, 40, true, "12.9° ± 12.9 more", "very likely"},
		{48.3, 40, true, "8.3° ± 12.9 more", "likely"},
		{45.6, 40, true, "5.6° ± 12.9 more", "likely"},
		{45.4, 40, false, "5.4° ± 12.9 more", "can't tell"},
		{24.5, 40, true, "15.5° ± 12.9 less", "virtually certain"},
	} {
		x := annotations.Measured{Measure: *at(c.now, 3)}
		heldAgainst(&x, at(c.before, 4))
		m := Build(Input{Measures: []annotations.Measured{x}})
		r, ok := m.Find("pelvis turn @ top")
		require.True(t, ok)
		assert.True(t, m.Compared)
		assert.Equal(t, c.told, r.ChangeTold, c.text)
		assert.Equal(t, c.text, r.Change)
		assert.Equal(t, c.says, r.ChangeSays)
	}
}

func TestRowsKeepTheirOrderWhileMarking(t *testing.T) {
	full := lessonInput()
	keys := func(m *Model) (out []string) {
		for _, g := range m.Groups {
			for _, r := range g.Rows {
				out = append(out, r.Key)
			}
		}
		return out
	}
	want := keys(Build(full))
	assert.Len(t, want, 30)
	// Nothing marked yet: all rows missing, given in another order.
	bare := Input{Missing: append([]geometry.Missing(nil), full.Missing...)}
	for i := len(full.Measures) - 1; i >= 0; i-- {
		x := full.Measures[i]
		bare.Missing = append(bare.Missing, geometry.Missing{Name: x.Name, Position: x.Position, Why: geometry.NotDefined})
	}
	m := Build(bare)
	assert.ElementsMatch(t, want, keys(m))
	assert.Equal(t, 0, m.Measured)
	assert.Equal(t, 30, m.Asked)
	// Within one position the order is that of the definitions.
	var top []string
	for _, g := range m.Groups {
		if g.At == "top" {
			for _, r := range g.Rows {
				top = append(top, r.Name)
			}
		}
	}
	assert.Equal(t, []string{"Pelvis turn", "Torso turn", "Separation", "Torso side bend", "Trail knee flex", "Sway", "Pelvis height change", "Head travel up", "Lead arm height"}, top)
}

func TestAMissingRowThatIsMeasuredIsNotListedTwice(t *testing.T) {
	in := lessonInput()
	in.Missing = append(in.Missing, geometry.Missing{Name: "pelvis turn", Position: geometry.Top, Why: geometry.NotDefined})
	m := Build(in)
	assert.Equal(t, 30, m.Asked)
	r, _ := m.Find(Key("pelvis turn", geometry.Top))
	assert.Empty(t, r.Missing)
}

func TestScaleHoldsStillThenJumps(t *testing.T) {
	s := span{-20, 80}
	assert.Equal(t, s, s.include(79.9))
	assert.Equal(t, span{-20, 105}, s.include(80.1))
	assert.Equal(t, span{-20, 105}, s.include(104))
	assert.Equal(t, span{-45, 80}, s.include(-21))
	assert.Equal(t, s, s.include(math.NaN()))
	assert.Equal(t, s, s.include(math.Inf(1)))
	assert.InDelta(t, 0.5, s.at(30), 1e-6)
	assert.InDelta(t, 1, s.at(300), 1e-6)
}

func TestText(t *testing.T) {
	m := Build(lessonInput())
	text := m.Text()
	assert.Contains(t, text, "Set-up, address\n")
	assert.Contains(t, text, "Pelvis turn\ttop\t38.2° ± 5.7\t95 % interval 32.5 to 43.9°\ttarget 40 to 60°\tvirtually certainly not above")
	assert.Contains(t, text, "Balance\taddress\tnot measured: mark the heels and toes at address\n")
	assert.Equal(t, 30+len(m.Groups)+len(m.Groups)-1, strings.Count(text, "\n"))
	var none *Model
	assert.Empty(t, none.Text())
}

// TestWhatIsMissingKeepsItsRow: a measure that could not be had has a row that says why,
// once, and one that was measured after all has none.
func TestWhatIsMissingKeepsItsRow(t *testing.T) {
	in := Input{}
	in.Missing = []geometry.Missing{
		unmarked("balance", geometry.Address, "the heels and toes"),
		unmarked("pelvis turn", geometry.Top, "both hips"),
		{Name: "torso turn", Position: geometry.Top, Why: geometry.NotDefined},
	}
	m := Build(in)
	got := make(map[string]string)
	for _, g := range m.Groups {
		assert.Zero(t, g.Measured)
		for _, r := range g.Rows {
			got[r.Key] = r.Missing
		}
	}
	require.Len(t, got, 3)
	for key, why := range got {
		assert.NotEmpty(t, why, key)
	}
	assert.Contains(t, got[Key("pelvis turn", geometry.Top)], "both hips")
	assert.Equal(t, 3, m.Asked)
	assert.Zero(t, m.Measured)
}
