package annotations

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// TestSharedBiasPx: the bias that a program's marks share at all positions is kept with its
// mark, goes to the fit, and goes when the mark becomes one by hand.
func TestSharedBiasPx(t *testing.T) {
	l := NewLesson()
	l.Swings = []Swing{{ID: "s1", Clips: []Clip{{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080}}}}
	e := NewEditor(l)
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 3}))
	m := Mark{Clip: "fo", Position: geometry.Top, Point: geometry.LeadHip, At: geometry.ImagePt{X: 900, Y: 500}, SDPx: 9.5, SharedBiasPx: 4.5, State: geometry.Proposed}
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: m}))
	b, err := e.Lesson().Encode()
	require.NoError(t, err)
	assert.Contains(t, string(b), `"shared_bias_px": 4.5`)
	back, _, err := Decode(b)
	require.NoError(t, err)
	problem, _ := Problem(back, 0)
	require.Len(t, problem.Marks, 1)
	assert.InDelta(t, 4.5, problem.Marks[0].SharedBiasPx, 1e-12)
	assert.InDelta(t, 9.5, problem.Marks[0].SigmaPx, 1e-12)

	for _, bad := range []string{"12", "-1", "0.001"} {
		_, _, err := Decode([]byte(strings.Replace(string(b), `"shared_bias_px": 4.5`, `"shared_bias_px": `+bad, 1)))
		assert.ErrorContains(t, err, "shared_bias_px", bad)
	}
	m.SDPx, m.State = 0, geometry.Placed
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: m}))
	got, ok := e.Lesson().Swings[0].Mark("fo", geometry.Top, geometry.LeadHip)
	require.True(t, ok)
	assert.Zero(t, got.SharedBiasPx)
	m.SDPx, m.SharedBiasPx, m.State = 9, 4, geometry.Proposed
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: m}))
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 4}))
	got, _ = e.Lesson().Swings[0].Mark("fo", geometry.Top, geometry.LeadHip)
	assert.Zero(t, got.SharedBiasPx, "the frame has changed")
}

// A document of before reads the same, goes out under the new name, and keeps what
// this program does not know. Where both names stand, the new one counts.
func TestSharedBiasOfOldDocuments(t *testing.T) {
	l := NewLesson()
	l.Swings = []Swing{{ID: "s1", Clips: []Clip{{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080}}}}
	e := NewEditor(l)
	require.NoError(t, e.Apply(SetPosition{Swing: "s1", Clip: "fo", Position: geometry.Top, Index: 3}))
	m := Mark{Clip: "fo", Position: geometry.Top, Point: geometry.LeadHip, At: geometry.ImagePt{X: 900, Y: 500}, SDPx: 9.5, SharedBiasPx: 4.5, State: geometry.Proposed}
	require.NoError(t, e.Apply(SetMark{Swing: "s1", Mark: m}))
	now, err := e.Lesson().Encode()
	require.NoError(t, err)
	for old, want := range map[string]string{
		`"stays_px": 4.5`:                      `"shared_bias_px": 4.5`,
		`"stays_px": 4.5, "weather": "wind"`:   `"weather": "wind"`,
		`"stays_px": 3, "shared_bias_px": 4.5`: `"shared_bias_px": 4.5`,
	} {
		back, _, err := Decode([]byte(strings.Replace(string(now), `"shared_bias_px": 4.5`, old, 1)))
		require.NoError(t, err, old)
		got, ok := back.Swings[0].Mark("fo", geometry.Top, geometry.LeadHip)
		require.True(t, ok)
		assert.InDelta(t, 4.5, got.SharedBiasPx, 0, old)
		b, err := back.Encode()
		require.NoError(t, err)
		assert.Contains(t, string(b), want)
		assert.Contains(t, string(b), `"shared_bias_px": 4.5`)
		assert.NotContains(t, string(b), "stays_px")
	}
	_, _, err = Decode([]byte(strings.Replace(string(now), `"shared_bias_px": 4.5`, `"stays_px": -1`, 1)))
	assert.ErrorContains(t, err, "stays_px")
}
