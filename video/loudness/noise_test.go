package loudness

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func rms(v []float32) float64 {
	sum := 0.0
	for _, x := range v {
		sum += float64(x) * float64(x)
	}
	return 10 * math.Log10(sum/float64(len(v)))
}

// What is asked of the filter is known beforehand: noise that was added to sound whose truth
// is kept, white or dull, faint or loud, is 12 dB quieter in a pause, and what was there
// before lies where it lay and is nearer to the truth than it was.
func TestDenoise(t *testing.T) {
	t.Parallel()
	clean := speech(6, 0.9)
	for i := range clean { // pauses, and no clicks
		if at := i % (2 * Rate); at > Rate || i%(Rate*3/2) == 0 {
			clean[i] = 0
		}
	}
	for _, dull := range []bool{false, true} {
		for _, level := range []float64{-62, -45} {
			r, low := rand.New(rand.NewPCG(1, 2)), 0.0
			noisy := make([]float32, len(clean))
			for i := range noisy {
				w := r.NormFloat64()
				if dull {
					low += 0.05 * (w - low)
					w = 6.2 * low
				}
				noisy[i] = clean[i] + float32(math.Pow(10, level/20)*w)
			}
			out, ok, err := Denoise(noisy)
			require.NoError(t, err)
			require.True(t, ok)
			require.Len(t, out, len(noisy))
			assert.Zero(t, lag(clean[Rate:], out[Rate:]), "in samples")
			pause := [2]int{Rate * 14 / 10, Rate * 19 / 10}
			before, after := rms(noisy[pause[0]:pause[1]]), rms(out[pause[0]:pause[1]])
			off := func(v []float32) float64 {
				d := make([]float32, len(v))
				for i := range v {
					d[i] = v[i] - clean[i]
				}
				return rms(d)
			}
			t.Logf("dull %v: pause %.1f, then %.1f dBFS; off the truth by %.1f, then %.1f dBFS, of a voice at %.1f", dull, before, after, off(noisy), off(out), rms(clean))
			assert.InDelta(t, before-reduced, after, 2)
			assert.Less(t, off(out), off(noisy)-1)
		}
	}
	for name, v := range map[string][]float32{"nothing": nil, "silence": make([]float32, 3*Rate), "no pause": clean[:Rate/2]} {
		out, ok, err := Denoise(v)
		require.NoError(t, err)
		assert.False(t, ok, name)
		assert.Equal(t, v, out)
	}
}
