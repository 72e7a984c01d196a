package kit

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// An inch is exactly 25.4 mm (NIST Handbook 44, appendix C): 5 ft 8 in is 1.7272 m.
func TestFeetAndInches(t *testing.T) {
	for _, text := range []string{`5'8"`, "5 8", " 68 ", "68 in", "5 ft 8 in", "5’8”"} {
		m, problem := FeetAndInches(text)
		assert.Empty(t, problem, text)
		assert.InDelta(t, 1.7272, m, 1e-12, text)
	}
	m, problem := FeetAndInches("6'")
	assert.Empty(t, problem)
	assert.InDelta(t, 1.8288, m, 1e-12)
	m, problem = FeetAndInches(" ")
	assert.Empty(t, problem)
	assert.Zero(t, m)
	for _, text := range []string{"172", "tall", "5 8 1", "-68", "NaN", "5 -8"} {
		_, problem := FeetAndInches(text)
		assert.Contains(t, problem, "feet and inches", text)
	}
}
