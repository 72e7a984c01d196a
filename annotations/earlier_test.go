package annotations

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Measures that have had another name are read by it: of ranges, rules and findings.
func TestEarlierNamesAreRead(t *testing.T) {
	var ranges Targets
	require.NoError(t, json.Unmarshal([]byte(`[{"measure": "lift", "position": "impact", "low": -4, "high": 4, "source": "mine"}]`), &ranges))
	assert.Equal(t, "pelvis height change", ranges[0].Measure)
	rules, err := ParseRules([]byte(`[{"id": "mine", "measure": "thrust", "position": "impact", "side": "above", "weight": 3,
		"text": "Your hips come to the ball.", "source": "common practice, no source",
		"with": [{"measure": "lift", "position": "impact", "side": "above"}]}]`))
	require.NoError(t, err)
	assert.Equal(t, "pelvis toward the ball", rules[0].Measure)
	assert.Equal(t, "pelvis height change", rules[0].With[0].Measure)
}
