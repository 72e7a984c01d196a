package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

func measured(name string, position geometry.PositionName, unit geometry.Unit, value, half, low, high float64) Measured {
	m := Measured{Measure: geometry.Measure{Name: name, Position: position, Unit: unit, Value: value, Low95: value - half, High95: value + half,
		Sigma: half / 1.96}}
	m.JudgeBy(Target{Range: geometry.Range{Low: low, High: high}, Source: "test"}, 0)
	return m
}

func TestFindingsAreSentencesWithTheirNumbers(t *testing.T) {
	measures := []Measured{
		measured("pelvis turn", geometry.Top, geometry.Degrees, 28.4, 6, 40, 60),                                     // below
		measured("torso turn", geometry.Top, geometry.Degrees, 83, 9, 80, 100),                                       // can't tell
		measured("trail hip offset from the ankle-knee line", geometry.Address, geometry.Centimetres, 6.2, 2, -3, 3), // above
		measured("trail foot flare", geometry.Address, geometry.Degrees, -9, 4, 0, 20),                               // below
		measured("pelvis turn", geometry.Impact, geometry.Degrees, -12, 8, -50, -30),                                 // above: not open enough
		measured("lead knee flex", geometry.Finish, geometry.Degrees, 40, 3, 0, 20),                                  // no rule
	}
	got := DefaultRules().Propose(measures, false)
	var texts []string
	for _, p := range got {
		texts = append(texts, p.Text)
		assert.NotEmpty(t, p.Source)
	}
	assert.Equal(t, []string{
		"At the top your hips have turned 28° (22 to 34) away from the target; we look for 40 to 60°.",
		"At impact your hips have opened to 12° (4 to 20) toward the target; we look for 30 to 50°.",
		"At address your hip sits 6 cm (4 to 8) behind the straight line from the ankle through the back of the knee: your weight is toward the heels.",
		"Your trail foot is turned in by 9° (5 to 13).",
		"Your lead knee flex at finish is 40° (37 to 43), more than the 0 to 20° we look for.",
	}, texts)
	assert.Equal(t, []string{"a trail foot turned in stops the hips early"}, got[0].Hints, "only a hint that this swing's own verdicts support")
	assert.NotEmpty(t, got[0].Feel)

	inches := DefaultRules().Propose(measures, true)
	assert.Contains(t, inches[2].Text, "2.4 in (1.7 to 3.2)")
}

func TestNothingSureIsNoFinding(t *testing.T) {
	measures := []Measured{
		measured("pelvis turn", geometry.Top, geometry.Degrees, 38, 13, 40, 60),
		{Measure: geometry.Measure{Name: "sway", Position: geometry.Top, Value: 9, Unit: geometry.Centimetres}}, // no target
	}
	assert.Empty(t, DefaultRules().Propose(measures, false))
}

func TestATextThatSaysTheOtherWayGivesWayToOneThatIsTrue(t *testing.T) {
	got := DefaultRules().Propose([]Measured{measured("sway", geometry.Impact, geometry.Centimetres, -2.2, 1, 3, 8)}, false)
	require.Len(t, got, 1)
	assert.Equal(t, "Your sway at impact is away 2 cm (away 1 to 3); we look for toward 3 to 8 cm.", got[0].Text)
	assert.NotEmpty(t, got[0].Rule, "what helps stays that of the rule")
	got = DefaultRules().Propose([]Measured{measured("sway", geometry.Impact, geometry.Centimetres, 1.1, 1, 3, 8)}, false)
	require.Len(t, got, 1)
	assert.Equal(t, "At impact your hips are 1 cm (0 to 2) nearer the target than at address; we look for 3 to 8 cm.", got[0].Text)
}

func TestACoachsOwnRuleComesBeforeTheDefault(t *testing.T) {
	own, err := ParseRules([]byte(`[{"id": "own", "measure": "pelvis turn", "position": "top", "side": "below", "weight": 3,
		"text": "Turn more: {value}.", "source": "my own"}]`))
	require.NoError(t, err)
	measures := []Measured{measured("pelvis turn", geometry.Top, geometry.Degrees, 28.4, 6, 40, 60)}
	got := append(DefaultRules(), own...).Propose(measures, false)
	require.Len(t, got, 1)
	assert.Equal(t, "Turn more: 28°.", got[0].Text)
}

func TestFaultsOfRulesAreNamed(t *testing.T) {
	_, err := ParseRules([]byte(`[{"measure": "hip slide", "side": "sideways"}]`))
	require.Error(t, err)
	for _, want := range []string{"[0].measure", "hip slide", "[0].side", "[0].text", "[0].source"} {
		assert.Contains(t, err.Error(), want)
	}
	_, err = ParseRules([]byte(`{`))
	require.ErrorContains(t, err, "can't be read")
}

func TestEveryDefaultRuleHasATargetToBreak(t *testing.T) {
	targets := DefaultTargets()
	for _, r := range DefaultRules() {
		found := false
		for _, x := range targets {
			found = found || x.Measure == r.Measure && (x.Position == "" || x.Position == r.Position)
		}
		// Plain golf terms are used that have no range of their own yet; a
		// coach who adds one has the sentence at hand.
		assert.True(t, found, "%s: no default target for %s at %s", r.ID, r.Measure, r.Position)
	}
}

func TestFindingsAndPrescriptionSurviveTheDocument(t *testing.T) {
	l := NewLesson()
	l.Swings = []Swing{{ID: "s1"}}
	e := NewEditor(l)
	f := Finding{ID: "f1", Rule: "r", Text: "Turn more.", Measure: "pelvis turn", Position: geometry.Top,
		Value: 28.4, Low95: 22, High95: 34, Unit: geometry.Degrees, Verdict: geometry.Below}
	require.NoError(t, e.Apply(SetFinding{Swing: "s1", Finding: f}))
	require.NoError(t, e.Apply(SetFinding{Swing: "s1", Finding: Finding{ID: "f2", Text: "My own words, élan."}}))
	p := Prescription{SetUp: []string{"Taller.", "Foot in."}, Feel: "Laces.", Drill: "Wall.", FilmNext: "Both views."}
	require.NoError(t, e.Apply(SetPrescription{Prescription: p, Gesture: 1}))
	doc, err := e.Lesson().Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(doc)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, e.Lesson().Swings[0].Findings, back.Swings[0].Findings)
	assert.Equal(t, e.Lesson().Prescription, back.Prescription)
	got, ok := back.Swings[0].FindingOf("pelvis turn", geometry.Top)
	require.True(t, ok)
	assert.Equal(t, f, got)

	require.NoError(t, e.Apply(DropFinding{Swing: "s1", ID: "f1"}))
	assert.Len(t, e.Lesson().Swings[0].Findings, 1)
	for range 4 {
		e.Undo()
	}
	assert.Empty(t, e.Lesson().Swings[0].Findings)
	assert.True(t, e.Lesson().Prescription.Empty())

	for doc, want := range map[string]string{
		`{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"swings":[{"id":"s1","findings":[{"id":"f1","text":"a","measure":"sway","value":1,"low95":2,"high95":3,"unit":"cm","verdict":"above"}]}]}`: "swings[0].findings[0].low95",
		`{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"swings":[{"id":"s1","findings":[{"id":"f1"}]}]}`:                                                                                          "swings[0].findings[0].text",
		`{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"prescription":{"set_up":[3]}}`:                                                                                                            "prescription.set_up[0]",
	} {
		_, _, err := Decode([]byte(doc))
		require.Error(t, err)
		assert.Contains(t, err.Error(), want)
	}
}
