package intake

import (
	"math"
	"os"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/kit"
	"turngauge/ui/kit/kittest"
)

// filmedAside is a marked lesson whose down-the-line marks are where a phone would have
// seen them that stood some degrees toward the ball.
func filmedAside(t *testing.T, degrees float64) *annotations.Lesson {
	t.Helper()
	l, _, err := annotations.Load("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	r, err := annotations.Evaluate(t.Context(), l, 0, annotations.Options{})
	require.NoError(t, err)
	clip := -1
	for i := range r.Problem.Clips {
		if r.Problem.Clips[i].View == geometry.DownTheLine {
			clip = i
		}
	}
	cam := r.Fit.Cameras[clip].Camera
	away := math.Hypot(cam.Position.X, cam.Position.Z)
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	cam.Position = r3.Vec{X: -away * cos, Y: cam.Position.Y, Z: away * sin}
	cam.Rotation = geometry.LookAt(cam.Position, r3.Vec{Y: 0.85, Z: 0.15}, 0)
	sw := &l.Swings[0]
	sw.Clips[clip].GroundLines = nil
	var marks []annotations.Mark
	for _, m := range sw.Marks {
		if m.Clip == sw.Clips[clip].ID {
			p := r.Points(m.Position)
			if p == nil || m.State == geometry.Hidden {
				continue
			}
			at, err := cam.Project(p[m.Point].At)
			require.NoError(t, err)
			m.At = at
		}
		marks = append(marks, m)
	}
	sw.Marks = marks
	return l
}

// TestThePlaceOfAPhoneIsTold: of a phone that stood 45 degrees off its line the card says
// so, how far with its interval, and what that costs; of phones on their lines that they
// were.
func TestThePlaceOfAPhoneIsTold(t *testing.T) {
	for _, degrees := range []float64{0, 45} {
		l := filmedAside(t, degrees)
		if path := os.Getenv("TURNGAUGE_LESSON_ASIDE"); path != "" && degrees > 0 {
			text, err := l.Encode()
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path, text, 0o600))
		}
		result, err := annotations.Evaluate(t.Context(), l, 0, annotations.Options{})
		require.NoError(t, err)
		w := kittest.New(t, l, func(w *kittest.Window) kit.Room { return NewPlaces(w) })
		w.Open.Result.Evaluation = result
		w.Key("P", key.ModShift)
		require.True(t, w.Room.(*Places).IsOpen())
		w.Frame()
		m := result.Mistake()
		if degrees == 0 {
			assert.Nil(t, m)
			assert.True(t, w.Shows("As far as the marks tell, no phone stood far off its line."))
			continue
		}
		require.NotNil(t, m)
		assert.Equal(t, geometry.CameraOffLine, m.What)
		assert.InDelta(t, degrees, m.Degrees, geometry.Z95*m.DegreesSigma)
		assert.Less(t, m.DegreesSigma, 6.0)
		require.NotNil(t, m.Costs)
		assert.NotEmpty(t, result.Measures)
		w.Key(key.NameEscape, 0)
		assert.False(t, w.Room.(*Places).IsOpen())
	}
}
