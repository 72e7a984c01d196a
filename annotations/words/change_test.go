package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

func TestChangeWord(t *testing.T) {
	real, target := &geometry.Change{Real: true}, &geometry.Range{Low: 35, High: 55}
	word := func(c *geometry.Change, before, now float64, target *geometry.Range) string {
		return ChangeWord(c, before, now, target, "the target range")
	}
	assert.Equal(t, "within the noise", word(&geometry.Change{}, 20, 40, target))
	assert.Equal(t, "real", word(real, 20, 40, nil))
	assert.Equal(t, "real: closer to the target range", word(real, 20, 34, target))
	assert.Equal(t, "real: farther from the target range", word(real, 50, 60, target))
	assert.Equal(t, "real", word(real, 36, 54, target))
}
