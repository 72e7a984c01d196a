package orient

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestOrientation(t *testing.T) {
	for _, o := range []Orientation{{1, 0, 0, 1}, {0, -1, 1, 0}, {-1, 0, 0, -1}, {0, 1, -1, 0}, {-1, 0, 0, 1}, {1, 0, 0, -1}, {0, 1, 1, 0}, {0, -1, -1, 0}} {
		w, h := o.Size(7, 5)
		assert.Equal(t, image.Rect(0, 0, 7, 5), o.Stored(image.Rect(0, 0, w, h), 7, 5), "%+v", o)
		assert.Equal(t, 2, o.Stored(image.Rect(1, 1, 3, 2), 7, 5).Dx()*o.Stored(image.Rect(1, 1, 3, 2), 7, 5).Dy())
	}
	_, ok := Of(make([]byte, MatrixBytes))
	assert.False(t, ok, "a matrix of zeros is no orientation")
}
