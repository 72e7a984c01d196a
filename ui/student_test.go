package ui

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// An inch is exactly 25.4 mm (NIST Handbook 44, appendix C): 5 ft 8 in is 1.7272 m.
func TestFeetAndInches(t *testing.T) {
	for _, text := range []string{`5'8"`, "5 8", " 68 ", "68 in", "5 ft 8 in", "5’8”"} {
		m, problem := feetAndInches(text)
		assert.Empty(t, problem, text)
		assert.InDelta(t, 1.7272, m, 1e-12, text)
	}
	m, problem := feetAndInches("6'")
	assert.Empty(t, problem)
	assert.InDelta(t, 1.8288, m, 1e-12)
	m, problem = feetAndInches(" ")
	assert.Empty(t, problem)
	assert.Zero(t, m)
	for _, text := range []string{"172", "tall", "5 8 1", "-68", "NaN", "5 -8"} {
		_, problem := feetAndInches(text)
		assert.Contains(t, problem, "feet and inches", text)
	}
}

func TestAgo(t *testing.T) {
	now := time.Date(2026, 5, 30, 9, 0, 0, 0, time.UTC)
	assert.Equal(t, "just now", ago(now, now.Add(-4*time.Minute)))
	assert.Equal(t, "20 min ago", ago(now, now.Add(-20*time.Minute)))
	assert.Equal(t, "3 h ago", ago(now, now.Add(-200*time.Minute)))
	assert.Equal(t, "yesterday", ago(now, now.Add(-30*time.Hour)))
}
