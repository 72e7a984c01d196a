package words

import (
	"testing"

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
