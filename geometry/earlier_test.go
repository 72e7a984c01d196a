package geometry

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestEarlierNamesLeadToMeasures(t *testing.T) {
	for before, now := range earlierNames {
		assert.Nil(t, DefinitionOf(before), before)
		assert.NotNil(t, DefinitionOf(now), now)
		assert.Equal(t, now, PresentName(before))
		assert.Equal(t, now, PresentName(now))
	}
}
