package geometry

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// posture is what testdata/posture.py works out with scipy; posture.json names its
// version.
type posture struct {
	Stature, Club float64
	Figures       map[PositionName]map[string][3]float64
	Centres       map[PositionName]map[string][3]float64 // by sex
	Quantiles     [][2]float64                           // tau, q
}

func loadPosture(t *testing.T) (p posture) {
	t.Helper()
	b, err := os.ReadFile("testdata/posture.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, &p))
	require.Len(t, p.Figures, len(KeyPositions))
	return p
}

// TestFiguresAgainstScipy builds the template figure of each key position by scipy's
// rotations from a table of its own.
func TestFiguresAgainstScipy(t *testing.T) {
	ref := loadPosture(t)
	for _, name := range KeyPositions {
		got := StanceFor(name).Figure(ref.Stature, ref.Club)
		require.Len(t, ref.Figures[name], NumBody)
		for at, want := range ref.Figures[name] {
			p, ok := ParsePoint(at)
			require.True(t, ok, at)
			assert.InDeltaSlice(t, want[:], []float64{got[p].X, got[p].Y, got[p].Z}, 1e-8, "%s of %s", at, name)
		}
	}
	assert.Equal(t, StanceFor(Address), StanceFor("a coach's own"))
}

// TestCentreOfMassAgainstNumpy holds the centre of mass of those figures to numpy's
// weighted mean over de Leva's segments.
func TestCentreOfMassAgainstNumpy(t *testing.T) {
	ref := loadPosture(t)
	for _, name := range KeyPositions {
		figure := StanceFor(name).Figure(ref.Stature, ref.Club)
		for is, sex := range map[string]Sex{"male": Male, "female": Female, "": SexUnset} {
			c := centreOfMass(sex, func(p Point) dvec { return dvec{num(figure[p].X), num(figure[p].Y), num(figure[p].Z)} })
			want := ref.Centres[name][is]
			assert.InDeltaSlice(t, want[:], []float64{c.x.v, c.y.v, c.z.v}, 1e-8, "%s, %q", name, is)
		}
	}
}

// TestLognormalQuantileAgainstScipy solves for the quantile by scipy's quadrature. Between
// the steps of the table its curvature adds at most 0.0004.
func TestLognormalQuantileAgainstScipy(t *testing.T) {
	ref := loadPosture(t)
	require.NotEmpty(t, ref.Quantiles)
	for _, q := range ref.Quantiles {
		assert.InDelta(t, q[1], LognormalQuantile(q[0]), 5e-4*q[1], "tau %v", q[0])
	}
	assert.Equal(t, 1.0, LognormalQuantile(0))
	assert.Equal(t, 1.0, LognormalQuantile(-1))
	last := ref.Quantiles[len(ref.Quantiles)-1]
	assert.InDelta(t, last[1], LognormalQuantile(9), 5e-4*last[1], "no wider than at the end of the table")
	// By the second order of its derivation, and between two steps of the table.
	for _, tau := range []float64{0.01, 0.0375} {
		assert.InDelta(t, 1+tau*tau*(Z95*Z95-1)/2, LognormalQuantile(tau), 4e-4)
	}
}
