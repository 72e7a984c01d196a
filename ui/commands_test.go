package ui

import (
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
)

// A command that can't be done in this lesson says what is lacking.
func TestACommandSaysWhatIsLacking(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	h.press(key.NameF2, 0)
	h.frame()
	assert.Contains(t, h.a.notices.Passing(), "for a lesson with several swings")
}
