package manual

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// TestEveryMeasureHasAPicture also holds the other way: no picture is of a
// measure that there is not.
func TestEveryMeasureHasAPicture(t *testing.T) {
	defined := make(map[string]bool)
	for _, d := range geometry.Definitions() {
		defined[d.Name] = true
		if _, ok := sketchOf(d.Name); !ok {
			assert.Contains(t, []string{"tempo", "backswing time", "downswing time"}, d.Name, "only measures in time are drawn otherwise")
		}
	}
	for name := range sketches {
		assert.True(t, defined[name], "%q is no measure", name)
	}
}

// TestPicturesShowWhatTheyAreOf looks at where the lines of some measures fall:
// the turns of a golfer whose turns are known are seen from above.
func TestPicturesShowWhatTheyAreOf(t *testing.T) {
	m := golfer.Mara()
	top := m.At(m.Events()[geometry.Top]).Points
	address := m.At(m.Events()[geometry.Address]).Points
	for _, name := range []string{"pelvis turn", "torso turn"} {
		s, _ := sketchOf(name)
		across := func(p *golfer.Points) (x, y float32) {
			d := s.plane.project(s.lines[0][1].of(p)).Sub(s.plane.project(s.lines[0][0].of(p)))
			return d.X, d.Y
		}
		x, y := across(&address)
		assert.Greater(t, x, 5*max(y, -y), "at address the lead end of the %s is toward the target", name)
		_, y = across(&top)
		assert.Greater(t, y, float32(0.05), "at the top it is turned toward the ball, which is below")
	}
	s, _ := sketchOf("forward bend")
	lean := s.plane.project(s.lines[0][1].of(&address)).Sub(s.plane.project(s.lines[0][0].of(&address)))
	assert.Greater(t, lean.X, float32(0.1), "down the line a golfer bends to the right, toward the ball")
	assert.Less(t, lean.Y, float32(-0.2), "and the shoulders are above the hips")
}
