package annotations

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The numbers to compare with are SciPy 1.10.1's: stats.ttest_ind(b, a,
// equal_var=False) with its Welch interval, stats.t.interval, and all 6435
// regroupings by itertools.combinations.
var (
	pathBefore = []float64{-4.1, -2.8, -5.0, -3.3, -4.6, -2.2, -3.9}
	pathAfter  = []float64{-1.2, -0.4, -2.9, -1.8, 0.3, -1.1, -2.0, -0.7}
)

func TestBlockSummaryAgreesWithSciPy(t *testing.T) {
	s := Summarise(pathBefore)
	assert.InDelta(t, -3.7, s.Mean, 1e-9)
	assert.InDelta(t, 0.9933109617167559, s.SD, 1e-12)
	assert.InDelta(t, -4.618659418817936, s.Low95, 1e-6)
	assert.InDelta(t, -2.781340581182063, s.High95, 1e-6)
	assert.True(t, s.Enough)
	assert.False(t, Summarise(pathBefore[:4]).Enough)
	assert.Equal(t, BlockSummary{}, Summarise(nil))
	one := Summarise([]float64{3})
	assert.Equal(t, 3.0, one.Mean)
	assert.False(t, one.Enough)
}

func TestBlockDifferenceAgreesWithSciPy(t *testing.T) {
	d := CompareBlocks(pathBefore, pathAfter)
	assert.InDelta(t, 2.475, d.Value, 1e-9)
	assert.InDelta(t, 1.3575127554985869, d.Low95, 1e-6)
	assert.InDelta(t, 3.5924872445014113, d.High95, 1e-6)
	assert.InDelta(t, 6.0/6435, d.P, 0.0015)
	assert.True(t, d.Real)
	few := CompareBlocks(pathBefore[:3], pathAfter[:3])
	assert.False(t, few.Enough)
	assert.False(t, few.Real, "too few shots to tell, whatever they are")
	same := CompareBlocks(pathBefore, pathBefore)
	assert.False(t, same.Real)
	assert.InDelta(t, 1, same.P, 1e-9)
	alike := CompareBlocks([]float64{1, 1, 1, 1, 1}, []float64{2, 2, 2, 2, 2})
	assert.False(t, alike.Real, "readings without spread say nothing of how sure the difference is")
}

func TestDispersionEllipse(t *testing.T) {
	// numpy.cov, numpy.linalg.eigh and scipy.stats.f.ppf(.95, 2, 6) on the
	// same eight strikes.
	x := []float64{3, -5, 8, 1, -2, 6, 4, 0}
	y := []float64{2, 1, -3, 4, 0, -1, 5, 3}
	e, ok := Dispersion(x, y)
	require.True(t, ok)
	assert.InDelta(t, 16.11366879, e.Major, 1e-5)
	assert.InDelta(t, 9.01392846, e.Minor, 1e-5)
	assert.InDelta(t, 163.17644141-180, e.AngleDeg, 1e-5)
	_, ok = Dispersion(x[:4], y[:4])
	assert.False(t, ok)
}

func TestFlightIsALabelOfFaceAndPath(t *testing.T) {
	for _, c := range []struct {
		path, toPath float64
		start, curve string
	}{
		{-4, 0, "starts to the near side", "flies straight"},
		{-4, 4, "starts on line", "curves to the far side"},
		{5, -3, "starts to the far side", "curves to the near side"},
		{0.5, 0.2, "starts on line", "flies straight"},
	} {
		s := Shot{Values: map[Reading]float64{ClubPath: c.path, FaceToPath: c.toPath}}
		start, curve, ok := s.Flight()
		require.True(t, ok)
		assert.Equal(t, [2]string{c.start, c.curve}, [2]string{start, curve}, "%+v", c)
	}
	_, _, ok := (&Shot{}).Flight()
	assert.False(t, ok)
}

func TestShotsSurviveTheDocument(t *testing.T) {
	e := NewEditor(NewLesson())
	shots := []Shot{
		{ID: "a", Block: "before", Club: "7-iron", Values: map[Reading]float64{ClubPath: -3.1, StrikeAcross: 8, Carry: 131.5}},
		{ID: "b", Block: "after", Values: map[Reading]float64{ClubPath: 0}},
	}
	require.NoError(t, e.Apply(AddShots{Shots: shots}))
	doc, err := e.Lesson().Encode()
	require.NoError(t, err)
	back, warnings, err := Decode(doc)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, shots, back.Shots, "a reading of 0 is not one that is missing")
	assert.Equal(t, []string{"before", "after"}, back.Blocks())
	assert.Equal(t, []float64{0}, back.ReadingsOf("after", ClubPath))
	assert.Empty(t, back.ReadingsOf("after", Carry))

	changed := shots[0].clone()
	changed.Values[ClubPath] = -2
	require.NoError(t, e.Apply(SetShot{Shot: changed}))
	require.NoError(t, e.Apply(DropShots{Block: "after"}))
	assert.Len(t, e.Lesson().Shots, 1)
	require.Error(t, e.Apply(SetShot{Shot: shots[1]}))
	for range 3 {
		e.Undo()
	}
	assert.Empty(t, e.Lesson().Shots)

	_, _, err = Decode([]byte(`{"kind":"turngauge-lesson","version":1,"student":{"handed":"right"},"shots":[{"id":"a","club path":400},{"id":"a"}]}`))
	require.Error(t, err)
	assert.Contains(t, err.Error(), "shots[0].club path")
	assert.Contains(t, err.Error(), "shots[1].id")
}
