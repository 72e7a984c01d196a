package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
)

func TestChangeWord(t *testing.T) {
	real, target := &geometry.Change{Real: true}, &geometry.Range{Low: 35, High: 55}
	assert.Equal(t, "within the noise", ChangeWord(&geometry.Change{}, 20, 40, target))
	assert.Equal(t, "real", ChangeWord(real, 20, 40, nil))
	assert.Equal(t, "real: closer to the target range", ChangeWord(real, 20, 34, target))
	assert.Equal(t, "real: farther from the target range", ChangeWord(real, 50, 60, target))
	assert.Equal(t, "real", ChangeWord(real, 36, 54, target))
}

func TestToldChange(t *testing.T) {
	change := func(v float64) *geometry.Change { return &geometry.Change{Value: v, Low95: v - 5, High95: v + 5} }
	assert.Equal(t, "+7° ± 5°", ToldChange(geometry.Degrees, change(7), false))
	assert.Equal(t, "−7° ± 5°", ToldChange(geometry.Degrees, change(-7), false))
	assert.Equal(t, "0° ± 5°", ToldChange(geometry.Degrees, change(0.1), false))
}
