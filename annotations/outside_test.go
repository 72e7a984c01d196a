package annotations

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// TestAClubThatLeavesThePicture films with a phone held upright, so near that the
// clubhead is some hundred pixels outside, and marks it where the shaft leads to.
func TestAClubThatLeavesThePicture(t *testing.T) {
	phone := geometry.Camera{FocalPx: 2500, Width: 1080, Height: 1920}
	hidden, marked := filmedBy(geometry.RightHanded, phone, false), filmedBy(geometry.RightHanded, phone, true)
	read, warnings, err := Decode([]byte(encoded(t, marked)))
	require.NoError(t, err, "it is no fault")
	assert.Equal(t, len(marked.Swings[0].Marks), len(read.Swings[0].Marks), "and it is kept")
	s := &read.Swings[0]
	k := s.MarkIndex("fo", geometry.ClubLevelBack, geometry.Clubhead)
	require.GreaterOrEqual(t, k, 0)
	assert.Less(t, s.Marks[k].At.X, -300.0)
	far := 0
	for i := range s.Marks {
		if s.farOut(&s.Marks[i]) {
			far++
		}
	}
	require.Len(t, warnings, far)
	assert.True(t, strings.HasPrefix(warnings[0], "swings[0].marks["), warnings[0])
	assert.Contains(t, strings.Join(warnings, "\n"), "the clubhead at club level back lies outside its picture")

	evaluate := func(l *Lesson) *Result {
		r, err := Evaluate(context.Background(), l, 0, Options{})
		require.NoError(t, err)
		require.NotNil(t, r.Solution)
		return r
	}
	without, with := evaluate(hidden), evaluate(read)
	outside := 0
	for i := range hidden.Swings[0].Marks {
		if hidden.Swings[0].Marks[i].State == geometry.Hidden {
			outside++
		}
	}
	assert.Equal(t, without.Fit.Observations+2*outside, with.Fit.Observations, "the fit uses it")
	assert.Empty(t, with.Fit.Suspects)
	// Where the clubhead is, by the golfer's own points.
	model := golfer.Mara()
	truth := model.At(model.Events()[geometry.ClubLevelBack]).Points[geometry.Clubhead]
	off := func(r *Result) (distance, sd float64) {
		p := r.Points(geometry.ClubLevelBack)[geometry.Clubhead]
		c := p.Covariance
		return math.Hypot(math.Hypot(p.At.X-truth.X, p.At.Y-truth.Y), p.At.Z-truth.Z), math.Sqrt(c[0][0] + c[1][1] + c[2][2])
	}
	_, sdWithout := off(without)
	distance, sdWith := off(with)
	t.Logf("clubhead: %.3f m from the truth, sd %.3f m; without the mark %.3f m", distance, sdWith, sdWithout)
	assert.Less(t, sdWith, sdWithout)
	assert.Less(t, distance, 3*sdWith)
}
