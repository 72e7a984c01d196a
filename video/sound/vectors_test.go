package sound

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// vectors are what testdata/vectors.py works out with scipy and numpy.
type vectors struct {
	Changes []struct {
		X  []float64
		At int
	}
	Filter struct {
		Rate int
		X, Y []float64
	}
	Click struct {
		Rate, Onset int
		X           []float32
		Strength    float64
	}
}

func loadVectors(t *testing.T) (v vectors) {
	t.Helper()
	b, err := os.ReadFile("testdata/vectors.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &v))
	return v
}

// TestChangePointAgainstNumpy tries every split of noise whose variance changes.
func TestChangePointAgainstNumpy(t *testing.T) {
	v := loadVectors(t)
	require.NotEmpty(t, v.Changes)
	for i, c := range v.Changes {
		assert.Equal(t, c.At, changePoint(c.X), "case %d of %d samples", i, len(c.X))
	}
	assert.Zero(t, changePoint(make([]float64, 23)), "too short for a variance on either side")
}

// TestHighPassAgainstScipy holds the filter to scipy's, and its corner to what a corner is:
// 3 dB down.
func TestHighPassAgainstScipy(t *testing.T) {
	f := loadVectors(t).Filter
	require.NotEmpty(t, f.X)
	assert.InDeltaSlice(t, f.Y, highPass(f.X, f.Rate), 1e-9)
	const n = 192_000 // many samples a cycle, where the filter is as its analogue
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * brightHz * float64(i) / n)
	}
	var power float64
	for _, y := range highPass(x, n)[n/2:] {
		power += y * y / (n / 2)
	}
	assert.InDelta(t, -3.01, 10*math.Log10(2*power), 0.3)
}

// TestStrengthAgainstNumpy finds a click in noise where it was put, as loud as numpy says.
// The median of an even number of bins lies between two of them there.
func TestStrengthAgainstNumpy(t *testing.T) {
	c := loadVectors(t).Click
	found := FindStrikes(c.X, c.Rate)
	require.Len(t, found, 1)
	assert.InDelta(t, c.Strength, found[0].Strength, 0.1)
	assert.InDelta(t, float64(c.Onset), found[0].Seconds*float64(c.Rate), 2, "samples")
}

// TestACleanStrikeIsPlacedToASample holds the onset to what the package promises where
// nothing else is heard.
func TestACleanStrikeIsPlacedToASample(t *testing.T) {
	for _, at := range []float64{0.5, 1.23456, 2.3456, 3.7} {
		found := FindStrikes(newScene(4).noise(0.0003).strike(at, 0.5).samples, rate)
		require.NotEmpty(t, found)
		assert.InDelta(t, math.Round(at*rate), found[0].Seconds*rate, 2, "samples")
	}
}

// TestTooLittleSound: a rate that can't hold what a strike is told by, and less than the
// background is taken from.
func TestTooLittleSound(t *testing.T) {
	at := func(rate, samples int) []Strike {
		x := make([]float32, samples)
		for i := samples / 2; i < min(samples/2+rate/200, samples); i++ {
			x[i] = 0.9 * float32(1-2*(i%2))
		}
		return All(x, rate)
	}
	assert.NotEmpty(t, at(6000, 6000), "four times the corner of the filter")
	assert.Empty(t, at(5999, 5999))
	assert.NotEmpty(t, at(6000, 600), "a tenth of a second")
	assert.Empty(t, at(6000, 599))
}
