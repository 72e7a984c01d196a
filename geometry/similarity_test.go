package geometry

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// umeyama are the points of the worked example of S. Umeyama, IEEE Trans. PAMI 13(4),
// 1991, section III (from memory): its rotation is (0.832, 0.555; -0.555, 0.832), its
// scale 0.721, its shift (-0.800, 0.400), to three figures.
var umeyama = []Paired{{ImagePt{0, 0}, ImagePt{0, 0}}, {ImagePt{1, 0}, ImagePt{-1, 0}}, {ImagePt{0, 2}, ImagePt{0, 2}}}

func TestAlignAgreesWithPublishedExample(t *testing.T) {
	al, ok := Align(umeyama, false)
	require.True(t, ok)
	assert.InDelta(t, math.Atan2(-0.555, 0.832), al.Turn(), 1e-3)
	// The example's places spread alike, so the scale that is its own inverse is 1; that
	// of the least squares is smaller.
	assert.InDelta(t, 1, al.Scale(), 1e-12)
	theirs := Similarity{A: complex(0.721, 0) * complex(0.832, -0.555), T: complex(-0.8, 0.4)}
	assert.Less(t, meanSquare(theirs), al.RMSPx*al.RMSPx)
	assert.InDelta(t, meanSquare(al.Similarity), al.RMSPx*al.RMSPx, 1e-12)
	for _, d := range []complex128{0.01, -0.01, 0.01i, -0.01i} { // turned or moved otherwise it fits worse
		turned, moved := al.Similarity, al.Similarity
		turned.A *= cmplx.Exp(complex(0, real(d)))
		turned.T += (al.A - turned.A) * complex(1.0/3, 2.0/3) // about the mean
		moved.T += d
		assert.LessOrEqual(t, meanSquare(al.Similarity), meanSquare(turned))
		assert.Less(t, meanSquare(al.Similarity), meanSquare(moved))
	}
}

// meanSquare is what a map leaves between the places of the example.
func meanSquare(s Similarity) (sum float64) {
	for _, c := range umeyama {
		p := s.Carry(c.From)
		sum += (math.Pow(p.X-c.To.X, 2) + math.Pow(p.Y-c.To.Y, 2)) / float64(len(umeyama))
	}
	return sum
}

func TestAlignFindsKnownMaps(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		want := Similarity{
			A:        complex(math.Exp(rng.NormFloat64()), 0) * cmplx.Exp(complex(0, 2*math.Pi*rng.Float64())),
			T:        complex(500*rng.NormFloat64(), 500*rng.NormFloat64()),
			Mirrored: rng.IntN(2) == 1,
		}
		pairs := make([]Paired, 2+rng.IntN(6))
		for i := range pairs {
			p := ImagePt{1000 * rng.Float64(), 1000 * rng.Float64()}
			pairs[i] = Paired{p, want.Carry(p)}
		}
		al, ok := Align(pairs, want.Mirrored)
		require.True(t, ok)
		assert.InDelta(t, 0, cmplx.Abs(al.A-want.A), 1e-9*(1+cmplx.Abs(want.A)))
		assert.InDelta(t, 0, cmplx.Abs(al.T-want.T), 1e-6)
		assert.InDelta(t, 0, al.RMSPx, 1e-6)
		back := al.Inverse()
		there := al.Carry(ImagePt{123, 456})
		assert.InDelta(t, 123, back.Carry(there).X, 1e-6)
		assert.InDelta(t, 456, back.Carry(there).Y, 1e-6)
	}
}

// Changed about, the pictures give the inverse: neither swing is favoured.
func TestAlignIsItsOwnInverse(t *testing.T) {
	turned := make([]Paired, len(umeyama))
	for i, c := range umeyama {
		turned[i] = Paired{c.To, c.From}
	}
	for _, mirrored := range []bool{false, true} {
		there, ok := Align(umeyama, mirrored)
		require.True(t, ok)
		back, ok := Align(turned, mirrored)
		require.True(t, ok)
		assert.InDelta(t, 0, cmplx.Abs(back.A-there.Inverse().A), 1e-12)
		assert.InDelta(t, 0, cmplx.Abs(back.T-there.Inverse().T), 1e-12)
	}
}

// The spread of the scale and of the turn over many noisy pictures is what ScaleSD says.
func TestScaleSDIsTheSpreadOfTheScale(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	from := []ImagePt{{400, 900}, {470, 910}, {620, 905}, {690, 890}, {520, 990}}
	truth := Similarity{A: complex(0.8, 0.1), T: complex(40, -70)}
	const sigma, times = 2.5, 4000
	var logs, turns []float64
	said := 0.0
	for range times {
		pairs := make([]Paired, len(from))
		for i, p := range from {
			q := truth.Carry(p)
			pairs[i] = Paired{
				ImagePt{p.X + sigma*rng.NormFloat64(), p.Y + sigma*rng.NormFloat64()},
				ImagePt{q.X + sigma*rng.NormFloat64(), q.Y + sigma*rng.NormFloat64()},
			}
		}
		al, ok := Align(pairs, false)
		require.True(t, ok)
		logs, turns = append(logs, math.Log(al.Scale())), append(turns, al.Turn())
		said += al.ScaleSD * sigma / times
	}
	assert.InEpsilon(t, sdOf(logs), said, 0.05)
	assert.InEpsilon(t, sdOf(turns), said, 0.05)
}

func sdOf(v []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	return math.Sqrt(sum / float64(len(v)-1))
}

func TestAlignRefusesWhatTellsNothing(t *testing.T) {
	for _, pairs := range [][]Paired{
		nil,
		{{ImagePt{1, 2}, ImagePt{3, 4}}},
		{{ImagePt{1, 2}, ImagePt{3, 4}}, {ImagePt{1, 2}, ImagePt{5, 6}}},
		{{ImagePt{1, 2}, ImagePt{3, 4}}, {ImagePt{5, 6}, ImagePt{3, 4}}},
	} {
		_, ok := Align(pairs, false)
		assert.False(t, ok, "%v", pairs)
	}
}
