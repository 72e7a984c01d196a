package pose

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestOpposite: every landmark but the nose has another of the same name but for the side,
// and turning pixels over twice leaves them.
func TestOpposite(t *testing.T) {
	for n := Nose; n < NumLandmarks; n++ {
		o := n.Opposite()
		assert.Equal(t, n, o.Opposite())
		assert.Equal(t, n == Nose, n == o)
		assert.GreaterOrEqual(t, int(o), 0)
		assert.Less(t, int(o), int(NumLandmarks))
	}
	assert.Equal(t, RightEyeInner, LeftEyeInner.Opposite())
	assert.Equal(t, RightEar, LeftEar.Opposite())
	assert.Equal(t, LeftHip, RightHip.Opposite())
	assert.Equal(t, RightToe, LeftToe.Opposite())

	row := []float32{1, 2, 3, 4, 5, 6, 7, 8, 9, 0, 0, 1, 0, 0, 2, 0, 0, 3, 9, 9, 9, 8, 8, 8, 7, 7, 7}
	turned := append([]float32(nil), row...)
	turnOver(turned, 3)
	assert.Equal(t, []float32{7, 8, 9, 4, 5, 6, 1, 2, 3}, turned[:9])
	turnOver(turned, 3)
	assert.Equal(t, row, turned)
}
