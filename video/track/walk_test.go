package track

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestHiddenForLongIsLost: a point that is not seen for mostHidden frames may come back,
// one frame more and it never does, whatever the pictures show.
func TestHiddenForLongIsLost(t *testing.T) {
	w := &walker{}
	for n := range mostHidden {
		assert.False(t, w.hide().there)
		assert.False(t, w.lost, "after %d frames", n+1)
	}
	assert.False(t, w.hide().there)
	assert.True(t, w.lost)
	assert.Equal(t, footprint{}, w.step(nil, nil), "it is not looked for any more")
}
