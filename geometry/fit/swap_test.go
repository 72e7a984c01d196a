package fit

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// swapMarks exchanges lead and trail of a point in one clip at one position and
// returns the indices of the two marks.
func swapMarks(t *testing.T, sw *geometry.Swing, clip int, pos geometry.PositionName, lead geometry.Point) (a, b int) {
	t.Helper()
	a, b = -1, -1
	for i := range sw.Marks {
		m := &sw.Marks[i]
		if m.Clip != clip || sw.Positions[m.Position].Name != pos {
			continue
		}
		switch m.Point {
		case lead:
			a = i
		case lead.Opposite():
			b = i
		}
	}
	require.GreaterOrEqual(t, min(a, b), 0)
	sw.Marks[a].At, sw.Marks[b].At = sw.Marks[b].At, sw.Marks[a].At
	return a, b
}

// Lead marked for trail in one clip is said in one sentence that names both.
func TestSwappedSidesAreNamed(t *testing.T) {
	t.Parallel()
	said, tries := 0, 0
	for seed := uint64(60); seed < 60+uint64(films(3, 6)); seed++ {
		for _, c := range []struct {
			clip int
			pos  geometry.PositionName
			lead geometry.Point
		}{
			{0, geometry.Address, geometry.LeadHip},
			{0, geometry.Top, geometry.LeadKnee},
			{0, geometry.Impact, geometry.LeadAnkle},
			{1, geometry.Top, geometry.LeadShoulder},
		} {
			f := anyFilm(seed, fullFilm)
			a, b := swapMarks(t, &f.swing, c.clip, c.pos, c.lead)
			sol, err := NewSolver().Solve(context.Background(), f.swing)
			if err != nil {
				require.ErrorIs(t, err, geometry.ErrNotConverged)
			}
			tries++
			hit := false
			for _, s := range sol.Suspects {
				if s.Swapped && s.Mark+s.Other == a+b {
					assert.ElementsMatch(t, []int{a, b}, []int{s.Mark, s.Other})
					hit = true
				}
			}
			if hit {
				said++
			} else {
				t.Log(seed, c.pos, c.lead, sol.Suspects)
			}
		}
	}
	assert.GreaterOrEqual(t, said, tries*8/10, "of %d swaps", tries)
}

// A pair that was far from swapped is not tried again while a hand moves marks elsewhere,
// and at once when its own position changes.
func TestPairsAreTriedAgainWhenTheirMarksMove(t *testing.T) {
	t.Parallel()
	f := anyFilm(62, fullFilm)
	s := NewSolver()
	first, err := s.Solve(context.Background(), f.swing)
	require.NoError(t, err)
	k := pair{0, first.position(geometry.Top), geometry.LeadKnee}
	first.unswapped = map[pair]int{k: 0}
	next := &Solution{sw: first.sw, p: first.p, unswapped: map[pair]int{}}
	for age := 1; age <= swapAge; age++ {
		require.True(t, next.isUnswapped(first, k))
		require.Equal(t, age, next.unswapped[k])
		first, next = next, &Solution{sw: first.sw, p: first.p, unswapped: map[pair]int{}}
	}
	assert.False(t, next.isUnswapped(first, k), "that was long ago")

	swapMarks(t, &f.swing, 0, geometry.Top, geometry.LeadKnee)
	sol, err := s.Solve(context.Background(), f.swing)
	require.NoError(t, err)
	assert.True(t, slices.ContainsFunc(sol.Suspects, func(s geometry.Suspect) bool { return s.Swapped }), "%v", sol.Suspects)
}
