package fit

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

// A leg seen from the front alone: over many golfers the most probable knees are
// too bent, and the mean is not.
func TestKneesSeenFromOneSideAreNotTooBent(t *testing.T) {
	t.Parallel()
	o := accuracyBase
	o.views = []geometry.View{geometry.FaceOn}
	var errors []float64
	var most float64
	for i := 0; i < 12; i++ {
		f := makeFilm(rand.New(rand.NewPCG(77, uint64(i))), o)
		s := solve(t, f.swing)
		for pos, name := range s.p.Names {
			for _, side := range [2]string{"lead", "trail"} {
				d := geometry.DefinitionOf(side + " knee flex")
				if m, miss := s.measure(d, pos); miss.Why == geometry.Measurable {
					want := f.truth[d.Name+" / "+string(name)]
					errors = append(errors, m.Value-want)
					most += s.p.Evaluate(s.st, d, s.slotPositions(pos)) - want
				}
			}
		}
	}
	var mean float64
	for _, e := range errors {
		mean += e / float64(len(errors))
	}
	most /= float64(len(errors))
	sort.Float64s(errors)
	t.Logf("%d knees: mean error %.1f degrees, of the most probable %.1f", len(errors), mean, most)
	assert.Less(t, math.Abs(mean), 2.5)
	assert.Greater(t, most, math.Abs(mean)+1)
}
