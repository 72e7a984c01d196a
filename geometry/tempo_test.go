package geometry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Fieller's interval holds the ratio of times whose errors are drawn, at 30 frames a
// second, where that of the first order leaves out what a downswing that comes out
// long hides; without errors of note the two agree.
func TestRatioIntervalByDrawing(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	const frame = 1.0 / 30
	inside := 0
	const draws = 20000
	for range draws {
		truth := [3]float64{0, 0.8, 1.05}
		var at, sigma [3]float64
		for i := range at {
			at[i] = truth[i] + frame*0.577*r.NormFloat64()
			sigma[i] = frame * 0.577
		}
		lo, hi := ratioInterval(at, sigma)
		if lo <= 0.8/0.25 && 0.8/0.25 <= hi {
			inside++
		}
	}
	assert.InDelta(t, 0.95, float64(inside)/draws, 0.006)
	at, u := [3]float64{0, 0.8, 1.05}, 1e-5
	lo, hi := ratioInterval(at, [3]float64{u, u, u})
	want := tempoOf(at, [3]float64{u, u, u})
	assert.InEpsilon(t, 2*Z95*want.RatioSigma, hi-lo, 1e-4)
	assert.InDelta(t, want.Ratio, (lo+hi)/2, 1e-6)
}

// A position that may be off by more than half a frame counts by more: the variances
// add.
func TestTempoOfProposedPositions(t *testing.T) {
	positions := func(off float64) []Position {
		var out []Position
		for i, name := range []PositionName{Address, Top, Impact} {
			out = append(out, Position{Name: name, Seconds: []float64{[]float64{0, 0.8, 1.05}[i]}, FrameSeconds: []float64{1.0 / 240}, OffSeconds: []float64{0}})
		}
		out[0].OffSeconds[0] = off
		return out
	}
	exact, _ := TempoMeasures(positions(0), make([]Clip, 1))
	proposed, _ := TempoMeasures(positions(0.05), make([]Clip, 1))
	assert.Equal(t, exact[0].Value, proposed[0].Value)
	assert.InDelta(t, 0.05/0.25, proposed[0].Sigma, 0.01, "an address off by 50 ms moves the ratio by a fifth")
	assert.Less(t, exact[0].Sigma, 0.03)
}

// Tempo as frames give it: the frames nearest to the events, or either of the two
// about each, which is told. The intervals hold the truth.
func TestTempoBetweenFrames(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for _, fps := range []float64{30, 60} {
		for _, off := range []bool{false, true} {
			inside := 0
			const draws = 5000
			for range draws {
				back, down := 0.7+0.3*r.Float64(), 0.22+0.08*r.Float64()
				phase := r.Float64() / fps
				var positions []Position
				for i, at := range []float64{0, back, back + down} {
					x := (at - phase) * fps
					p := Position{Name: []PositionName{Address, Top, Impact}[i], FrameSeconds: []float64{1 / fps}}
					k := math.Round(x)
					if off {
						k = math.Floor(x) + float64(r.IntN(2))
						p.OffSeconds = []float64{0.5 / fps}
					}
					p.Seconds = []float64{phase + k/fps}
					positions = append(positions, p)
				}
				m, _ := TempoMeasures(positions, make([]Clip, 1))
				if truth := back / down; m[0].Low95 <= truth && truth <= m[0].High95 {
					inside++
				}
			}
			t.Logf("%g frames a second, off by up to one %v: %.3f", fps, off, float64(inside)/draws)
			assert.InDelta(t, 0.955, float64(inside)/draws, 0.015)
		}
	}
}
