package take

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// heardBy is what a phone hears of a visit: its clock runs ahead by offset and fast by
// drift; of the others' strikes it misses some, and hears some that the other doesn't.
func heardBy(own, others []float64, offset, drift float64, rnd *rand.Rand) []Moment {
	var out []Moment
	at := func(t float64, isOwn bool) Moment {
		return Moment{t*(1+drift) + offset + 0.01*rnd.NormFloat64(), isOwn}
	}
	i := 0
	for _, t := range own {
		for ; i < len(others) && others[i] < t; i++ {
			if rnd.Float64() < 0.7 {
				out = append(out, at(others[i], false))
			}
		}
		out = append(out, at(t, true))
	}
	return out
}

// TestPairTenMinutes: ten strikes in ten minutes at a player's uneven pace, between them
// a neighbour's at his own, two phones whose clocks part by 50 in a million. The
// sequences are made here: no open recording of two phones has known offsets.
func TestPairTenMinutes(t *testing.T) {
	for seed := range uint64(200) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		var own, others []float64
		for now := 20 + 20*rnd.Float64(); len(own) < 10; now += 40 + 25*rnd.Float64() {
			own = append(own, now)
		}
		for now := 3.0; now < 600; now += 10 + 15*rnd.Float64() {
			others = append(others, now)
		}
		offset := -30 + 60*rnd.Float64()
		a := heardBy(own, others, 0, 0, rnd)
		b := heardBy(own, others, offset, 50e-6, rnd)
		m := Pair(a, b)
		require.InDelta(t, offset, m.Offset, 0.05, "seed %d", seed)
		require.Len(t, m.Pairs, 10, "seed %d", seed)
		require.True(t, m.Sure(), "seed %d: %v to %v", seed, m.Score, m.Rival)
		n := 0
		for _, p := range m.Pairs {
			require.True(t, a[p[0]].Own && b[p[1]].Own)
			n++
		}
		require.Equal(t, 10, n)
	}
}

func TestPair(t *testing.T) {
	own := func(at ...float64) []Moment {
		var out []Moment
		for _, s := range at {
			out = append(out, Moment{s, true})
		}
		return out
	}
	m := Pair(own(2), own(3.5))
	assert.Equal(t, [][2]int{{0, 0}}, m.Pairs, "one swing each")
	assert.InDelta(t, 1.5, m.Offset, 1e-9)
	assert.True(t, m.Sure())

	m = Pair(own(10, 41, 77), own(36, 72))
	assert.Equal(t, [][2]int{{1, 0}, {2, 1}}, m.Pairs, "the second phone was started later")
	assert.True(t, m.Sure())

	m = Pair(own(10, 20, 30, 40), own(15, 25, 35))
	assert.False(t, m.Sure(), "as evenly as a clock: two offsets are as good")

	m = Pair(append(own(10), Moment{14, false}), append(own(2, 30), Moment{34, false}))
	assert.InDelta(t, 20, m.Offset, 1e-9, "a neighbour's strike, heard by both, decides")
	assert.Equal(t, [][2]int{{0, 1}}, m.Pairs)

	assert.Empty(t, Pair(own(1, 2), nil).Pairs)
	assert.False(t, func() bool { m := Pair(nil, nil); return m.Sure() }())
}
