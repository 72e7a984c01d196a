package sheet

import (
	"math"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
)

const z95 = 1.959963984540054 // standard normal quantile of 97.5 %

// lessonInput is an invented lesson: 30 rows, some missing, with targets and a
// previous lesson. The numbers serve the layout only.
func lessonInput() Input {
	type m struct {
		name  string
		pos   geometry.PositionName
		group geometry.Group
		unit  geometry.Unit
		v, sd float64
	}
	ms := []m{
		{"stance width", geometry.Address, geometry.SetUp, geometry.Centimetres, 47.3, 0.8},
		{"stance width over shoulder breadth", geometry.Address, geometry.SetUp, geometry.Ratio, 1.21, 0.03},
		{"lead foot flare", geometry.Address, geometry.SetUp, geometry.Degrees, 24.1, 1.4},
		{"trail foot flare", geometry.Address, geometry.SetUp, geometry.Degrees, 6.8, 1.5},
		{"forward bend", geometry.Address, geometry.SetUp, geometry.Degrees, 39.4, 0.6},
		{"lead knee flex", geometry.Address, geometry.SetUp, geometry.Degrees, 21.0, 1.8},
		{"trail knee flex", geometry.Address, geometry.SetUp, geometry.Degrees, 23.6, 1.9},
		{"shaft plane", geometry.Address, geometry.SetUp, geometry.Degrees, 58.2, 0.4},
		{"torso turn", geometry.LeadArmLevel, geometry.Backswing, geometry.Degrees, 61.5, 2.4},
		{"pelvis turn", geometry.Top, geometry.Backswing, geometry.Degrees, 38.2, 2.9},
		{"torso turn", geometry.Top, geometry.Backswing, geometry.Degrees, 92.7, 2.3},
		{"separation", geometry.Top, geometry.Backswing, geometry.Degrees, 54.5, 3.1},
		{"sway", geometry.Top, geometry.Backswing, geometry.Centimetres, -2.4, 0.6},
		{"pelvis height change", geometry.Top, geometry.Backswing, geometry.Centimetres, 0.9, 0.5},
		{"torso side bend", geometry.Top, geometry.Backswing, geometry.Degrees, -31.2, 1.1},
		{"trail knee flex", geometry.Top, geometry.Backswing, geometry.Degrees, 17.3, 1.9},
		{"lead arm height", geometry.Top, geometry.Backswing, geometry.Degrees, 41.0, 1.0},
		{"plane change", geometry.Delivery, geometry.Downswing, geometry.Degrees, -6.1, 1.3},
		{"club above plane", geometry.Delivery, geometry.Downswing, geometry.Centimetres, 4.2, 3.3},
		{"pelvis turn", geometry.Impact, geometry.Strike, geometry.Degrees, -41.8, 3.4},
		{"sway", geometry.Impact, geometry.Strike, geometry.Centimetres, 7.6, 0.7},
		{"pelvis toward the ball", geometry.Impact, geometry.Strike, geometry.Centimetres, 3.1, 1.2},
		{"head travel to target", geometry.Impact, geometry.Strike, geometry.Centimetres, -3.0, 0.8},
		{"tempo", geometry.Impact, geometry.Strike, geometry.Ratio, 3.02, 0.06},
	}
	targets := map[string]geometry.Range{
		Key("pelvis turn", geometry.Top):               {Low: 40, High: 60},
		Key("torso turn", geometry.Top):                {Low: 85, High: 105},
		Key("lead foot flare", geometry.Address):       {Low: 10, High: 30},
		Key("trail foot flare", geometry.Address):      {Low: 10, High: 30},
		Key("sway", geometry.Top):                      {Low: -5, High: 2},
		Key("pelvis turn", geometry.Impact):            {Low: -50, High: -35},
		Key("club above plane", geometry.Delivery):     {Low: -5, High: 5},
		Key("lead arm height", geometry.Top):           {Low: math.Inf(-1), High: 35},
		Key("tempo", geometry.Impact):                  {Low: 2.5, High: 3.5},
		Key("forward bend", geometry.Address):          {Low: 35, High: 45},
		Key("lead knee flex", geometry.Address):        {Low: 15, High: 25},
		Key("head travel to target", geometry.Impact):  {Low: -8, High: 2},
		Key("stance width", geometry.Address):          {Low: 50, High: 60},
		Key("plane change", geometry.Delivery):         {Low: -12, High: 0},
		Key("trail knee flex", geometry.Top):           {Low: 15, High: 25},
		Key("stance width over shoulder breadth", "x"): {},
	}
	in := Input{Positive: func(name string) string { return "away from the target" }}
	compared := 0
	for _, x := range ms {
		v := geometry.Measure{
			Name: x.name, Position: x.pos, Group: x.group, Unit: x.unit, Value: x.v, Sigma: x.sd,
			Low95: x.v - z95*x.sd, High95: x.v + z95*x.sd,
			Definition: "heading, in the ground plane, of the line from the trail hip to the lead hip, since address",
			Method:     "joint fit, 2 views",
		}
		m := annotations.Measured{Measure: v}
		if r, ok := targets[Key(x.name, x.pos)]; ok {
			m.JudgeBy(annotations.Target{Range: r, Source: "common practice, no source"}, 0)
		}
		if x.pos == geometry.Top || x.pos == geometry.Address {
			p := v
			p.Value -= []float64{2.7, 3.4, -4, 0.6}[compared%4] * x.sd
			p.Low95, p.High95 = p.Value-z95*p.Sigma, p.Value+z95*p.Sigma
			heldAgainst(&m, &p)
			compared++
		}
		in.Measures = append(in.Measures, m)
	}
	in.Best = make([][]annotations.Remedy, len(in.Measures))
	for i, m := range in.Measures {
		if m.Name == "pelvis turn" && m.Position == geometry.Top {
			in.Best[i] = []annotations.Remedy{{What: words.MarkPoint, Unit: geometry.Degrees, Now: 5.7, Then: 3.8, Mark: &geometry.Suggestion{
				Point: geometry.Buckle, MarkAt: geometry.Top, View: geometry.FaceOn, Unit: geometry.Degrees, HalfWidthNow: 5.7, HalfWidthThen: 3.8}}}
		}
	}
	in.Missing = []geometry.Missing{
		unmarked("balance", geometry.Address, "the heels and toes"),
		unmarked("pelvis turn", geometry.LeadArmLevel, "both hips"),
		unmarked("head travel up", geometry.Top, "the head"),
		unmarked("torso turn", geometry.Impact, "both shoulders"),
		unmarked("separation", geometry.Impact, "both shoulders"),
		unmarked("lead knee flex", geometry.Impact, "the lead hip, knee and ankle"),
	}
	return in
}

// unmarked is a measure whose points are to be marked.
func unmarked(name string, at geometry.PositionName, what string) geometry.Missing {
	return geometry.Missing{Name: name, Position: at, Why: geometry.NotMarked,
		Wanted: []geometry.Wanted{{Need: geometry.Need{Text: what}, Positions: []geometry.PositionName{at}}}}
}

// heldAgainst holds a measure of one swing against that of one of an earlier visit.
func heldAgainst(m *annotations.Measured, before *geometry.Measure) {
	c := geometry.Changed(before.Value, before.Sigma, m.Value, m.Sigma, geometry.UsualSpread(m.Name, m.Unit))
	m.Before, m.Change = before, &c
}
