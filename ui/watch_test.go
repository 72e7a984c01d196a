package ui

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestClipThatVanishesWhileItIsOpenIsNoticed(t *testing.T) {
	h := newHarness(t)
	h.openTestLesson()
	clip := filepath.Join(filepath.Dir(h.a.desk.Path), "face-on.mp4")
	require.NoError(t, os.Remove(clip))
	h.until("it to be noticed", func() bool { return len(h.a.notices.Alerts()) > 0 })
	assert.Contains(t, h.a.notices.Alerts()[0], "face-on.mp4")
	b := h.a.desk.Bench
	b.GoTo(0, 40)
	h.until("a frame of it", func() bool { return h.a.stage.Frame(0) == 40 })
}
