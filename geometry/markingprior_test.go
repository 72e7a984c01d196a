package geometry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The prior after lessons against the same two-level model worked out in one
// dimension by hand: precisions add (Gelman et al., Bayesian Data Analysis, 2.5 and
// 5.4, from memory).
func TestLearnMarkingAgainstOneDimension(t *testing.T) {
	// Evidence of the far side alone, which no other component touches.
	const k = NumClasses
	var lessons []MarkingEvidence
	precision, weighted := 1/sq(farLogSigma), 0.0
	for _, at := range []float64{0.9, 0.5, 1.3} {
		const info = 8.0
		var e MarkingEvidence
		e.Information[k][k], e.Vector[k] = info, info*at
		lessons = append(lessons, e)
		p := 1 / (1/info + sq(lessonLogSigma))
		precision += p
		weighted += p * at
	}
	got := LearnMarking(lessons)
	assert.Equal(t, 3, got.Lessons)
	assert.InDelta(t, weighted/precision, got.Mean[k], 1e-9)
	assert.InDelta(t, 1/precision+sq(lessonLogSigma), got.Covariance[k][k], 1e-9)
	for c := PointClass(0); c < NumClasses; c++ { // nothing was said of these
		assert.InDelta(t, 0, got.Mean[c], 1e-9)
		assert.InDelta(t, UsualMarking().Covariance[c][c]+sq(lessonLogSigma), got.Covariance[c][c], 1e-9)
	}
	assert.Equal(t, UsualMarking(), LearnMarking(nil))
	lessons[0].Vector[k] = math.NaN()
	assert.Equal(t, 2, LearnMarking(lessons).Lessons, "what is not a number is left out")
}

// Made-up coaches, whose lessons scatter about their own scales: what is learned
// from five lessons predicts the sixth as surely as it says.
func TestLearnMarkingPredictsTheNextLesson(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	inside, n := 0, 0
	for range 300 {
		common := coachLogSigma * r.NormFloat64()
		var own [NumClasses]float64
		for c := range own {
			own[c] = common + classLogSigma*r.NormFloat64()
		}
		var lessons []MarkingEvidence
		for range 5 {
			var e MarkingEvidence
			for c := range own {
				const info = 12
				at := own[c] + lessonLogSigma*r.NormFloat64() + r.NormFloat64()/math.Sqrt(info)
				e.Information[c][c], e.Vector[c] = info, info*at
			}
			lessons = append(lessons, e)
		}
		prior := LearnMarking(lessons)
		for c := range own {
			next := own[c] + lessonLogSigma*r.NormFloat64()
			_, lo, hi := prior.Scale(PointClass(c))
			if x := math.Exp(next / 2); lo < x && x < hi {
				inside++
			}
			n++
		}
	}
	assert.InDelta(t, 0.95, float64(inside)/float64(n), 0.015)
}
