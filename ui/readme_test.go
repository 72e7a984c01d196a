package ui

import (
	"os"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTheReadmesKeysDoSomething looks for each key that the README names in the
// table of commands.
func TestTheReadmesKeysDoSomething(t *testing.T) {
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	bound := make(map[string]bool)
	for _, c := range newHarness(t).a.commands.list {
		for _, k := range c.Keys {
			bound[k.String()] = true
		}
	}
	keys := 0
	for _, m := range regexp.MustCompile(`\*\*((?:(?:Ctrl|Shift|Alt)\+)*(?:[A-Z0-9]|F\d|Enter|Delete|Esc|Space))\*\*`).FindAllStringSubmatch(string(text), -1) {
		assert.True(t, bound[m[1]], "the README names %s", m[1])
		keys++
	}
	assert.Greater(t, keys, 15)
}
