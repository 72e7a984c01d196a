package review

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Half a sample away a tone of 3 kHz, where the sounds of speech lie, is what it is by its
// formula, to 60 dB.
func TestBetweenSamples(t *testing.T) {
	v := make([]int16, 480)
	tone := func(p float64) float64 { return 30000 * math.Sin(2*math.Pi*3000*p/Rate) }
	for i := range v {
		v[i] = int16(math.Round(tone(float64(i))))
	}
	var wrong, all float64
	for i := 2; i < len(v)-3; i++ {
		p := float64(i) + 0.5
		wrong += math.Pow(between(v, p)-tone(p), 2)
		all += math.Pow(tone(p), 2)
	}
	db := 10 * math.Log10(wrong/all)
	t.Logf("%.1f dB", db)
	assert.Less(t, db, -60.0)
}
