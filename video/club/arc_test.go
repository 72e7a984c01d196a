package club

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCandidates: of two shafts in one picture Find says nothing, and both are candidates.
func TestCandidates(t *testing.T) {
	im := ground()
	stripe(im, 320, 200, 500, 240, 3, 1, steel)
	stripe(im, 320, 200, 420, 380, 3, 1, steel)
	at := Hands{X: 324, Y: 196, PixelsPerMetre: scale}
	_, ok := Find(im, nil, at)
	assert.False(t, ok)
	found := Candidates(im, nil, at)
	require.GreaterOrEqual(t, len(found), 2)
	assert.InDelta(t, math.Atan2(180, 100), found[0].Angle, 0.02, "the longer one first")
	assert.InDelta(t, math.Atan2(40, 180), found[1].Angle, 0.02)
	assert.Greater(t, found[0].Score, found[1].Score)
	assert.Empty(t, Candidates(ground(), nil, at))
	assert.Empty(t, Candidates(im, nil, Hands{X: -5, Y: 20, PixelsPerMetre: scale}))
}

// TestArc: a shaft that turns as it must is followed through looks that miss it and beside
// a rail that stands still, and against the best of all rows,
// tried one by one.
func TestArc(t *testing.T) {
	turning := Turning{-1, 12}
	seen := func(angle, score float64) Candidate { return Candidate{Angle: angle, Score: score} }
	var looks []Look
	for i := range 20 {
		at := 0.025 * float64(i)
		l := Look{Seconds: at, Turning: turning, Found: []Candidate{seen(0.3, 0.4)}}
		if i != 7 && i != 8 {
			l.Found = append(l.Found, seen(math.Remainder(1.5+8*at, 2*math.Pi), 0.5))
		}
		looks = append(looks, l)
	}
	for i, k := range Arc(looks) {
		if i == 7 || i == 8 {
			assert.Equal(t, -1, k)
		} else {
			assert.Equal(t, 1, k, "look %d", i)
		}
	}
	assert.Equal(t, []int{-1, -1}, Arc(make([]Look, 2)))
	assert.Empty(t, Arc(nil))

	r := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		looks := make([]Look, 5)
		for i := range looks {
			looks[i] = Look{Seconds: 0.03 * float64(i), Turning: turning}
			for range r.IntN(3) {
				looks[i].Found = append(looks[i].Found, seen(2*r.Float64(), r.Float64()))
			}
		}
		best := 0.0
		var rows func(i int, row []int)
		rows = func(i int, row []int) {
			if i == len(looks) {
				if v, ok := rowScore(looks, row); ok {
					best = math.Max(best, v)
				}
				return
			}
			for k := -1; k < len(looks[i].Found); k++ {
				rows(i+1, append(row[:i:i], k))
			}
		}
		rows(0, nil)
		got, ok := rowScore(looks, Arc(looks))
		assert.True(t, ok)
		assert.InDelta(t, best, got, 1e-12)
	}
}

// rowScore is what a row of candidates is worth; it reports false for one that no shaft
// can have gone through.
func rowScore(looks []Look, row []int) (score float64, ok bool) {
	last := -1
	for i, k := range row {
		if k < 0 {
			continue
		}
		c := looks[i].Found[k]
		score += c.Score
		if last >= 0 {
			by := math.Remainder(c.Angle-looks[last].Found[row[last]].Angle, 2*math.Pi)
			h := looks[i].Seconds - looks[last].Seconds
			if h > longestGapS || by < looks[last].Turning.Least*h-slack || by > looks[last].Turning.Most*h+slack {
				return 0, false
			}
			score -= perGap*float64(i-last-1) + perTurn*math.Abs(by)
		}
		last = i
	}
	return score, true
}
