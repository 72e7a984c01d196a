package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"": "", "über die Hüfte": "Über die Hüfte", "7-iron": "7-iron", "Hips": "Hips"} {
		assert.Equal(t, want, Sentence(in))
	}
}

func TestCount(t *testing.T) {
	assert.Equal(t, []string{"0 clips", "1 clip", "2 clips"}, []string{Count(0, "clip", "clips"), Count(1, "clip", "clips"), Count(2, "clip", "clips")})
}

func TestAgo(t *testing.T) {
	now := time.Date(2026, 5, 30, 9, 0, 0, 0, time.UTC)
	assert.Equal(t, "just now", Ago(now, now.Add(-4*time.Minute)))
	assert.Equal(t, "20 min ago", Ago(now, now.Add(-20*time.Minute)))
	assert.Equal(t, "3 h ago", Ago(now, now.Add(-200*time.Minute)))
	assert.Equal(t, "yesterday", Ago(now, now.Add(-30*time.Hour)))
}

func TestDay(t *testing.T) {
	assert.Equal(t, "2 May 2026", Day("2026-05-02"))
	assert.Equal(t, "last spring", Day("last spring"))
}
