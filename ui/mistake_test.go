package ui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/io/key"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// markedAs opens the marked lesson of testdata after a change to its document.
func markedAs(t *testing.T, change func(*annotations.Lesson)) (h *harness, path string) {
	t.Helper()
	l, _, err := annotations.Load(filepath.Join("..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	change(l)
	path = filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, annotations.Save(path, l))
	h = newHarness(t)
	h.a.openLesson(path)
	h.until("the fit", func() bool { return h.solved() })
	return h, path
}

// solved reports whether the numbers shown are those of the lesson as it is.
func (h *harness) solved() bool {
	d := h.a.desk
	return d.Result.Sheet != nil && d.Result.Revision == d.Bench.Editor().Revision() && !d.Result.Summary.Warm
}

// A coach who has called the clips by each other's views sees no number but one
// sentence with a button; the button swaps the views, and undo swaps them back.
func TestAButtonMendsSwappedViews(t *testing.T) {
	h, path := markedAs(t, func(l *annotations.Lesson) {
		c := l.Swings[0].Clips
		c[0].View, c[1].View = c[1].View, c[0].View
	})
	d := h.a.desk
	notice := "The two views look swapped: the marks fit one golfer only with the views the other way round. Swap the views of the two clips. Until then no number of this swing is shown."
	assert.True(t, h.shows(notice), "%q", h.labels())
	assert.Empty(t, d.Result.Measures)
	assert.Empty(t, d.Result.Findings)
	assert.Empty(t, d.Result.Suspects, "the marks are right")
	assert.NotContains(t, d.Result.Sheet.Text(), "±")
	assert.Contains(t, d.Result.Sheet.Text(), "The two views look swapped")
	assert.Nil(t, d.Result.PointsAt(geometry.Top), "nor a golfer from above")
	for _, label := range h.labels() {
		assert.NotContains(t, label, "Pelvis turn")
	}

	h.click("Swap the views")
	h.until("the numbers", func() bool { return h.solved() && len(d.Result.Measures) > 0 })
	h.frame()
	assert.False(t, h.shows(notice))
	assert.False(t, h.a.Can("mend"))
	assert.Equal(t, geometry.FaceOn, d.Bench.Lesson().Swings[0].Clips[0].View)
	m := d.Result.Evaluation.Find("pelvis turn", geometry.Top)
	require.NotNil(t, m)
	assert.InDelta(t, 41, m.Value, 5, "as testdata/README.md says of this golfer")
	require.NoError(t, d.Flush())
	saved, warnings, err := annotations.Load(path)
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, geometry.FaceOn, saved.Swings[0].Clips[0].View)

	h.press("Z", key.ModCtrl)
	h.until("the notice again", func() bool { return h.solved() && d.Result.Sheet.Notice != nil })
	assert.Empty(t, d.Result.Measures)
	assert.Equal(t, geometry.DownTheLine, d.Bench.Lesson().Swings[0].Clips[0].View)
	h.press(key.NameReturn, key.ModCtrl)
	h.until("the numbers again", func() bool { return h.solved() && len(d.Result.Measures) > 0 })
}

// A clip of a selfie camera is set down as a mirror image by the button, or by the
// coach, and its document says so.
func TestAButtonMendsAMirroredClip(t *testing.T) {
	h, path := markedAs(t, func(l *annotations.Lesson) {
		s := &l.Swings[0]
		for i := range s.Marks {
			if m := &s.Marks[i]; m.Clip == s.Clips[1].ID && m.State != geometry.Hidden {
				m.At.X = float64(s.Clips[1].Width) - m.At.X
			}
		}
	})
	d := h.a.desk
	require.NotNil(t, d.Result.Sheet.Notice)
	h.click("It is mirrored")
	h.until("the numbers", func() bool { return h.solved() && len(d.Result.Measures) > 0 })
	require.NoError(t, d.Flush())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(data), `"mirrored": true`))

	d.Bench.Activate(1)
	h.press("M", key.ModCtrl) // the coach says it is none
	h.until("the notice again", func() bool { return h.solved() && d.Result.Sheet.Notice != nil })
	h.press("M", key.ModCtrl)
	h.until("the numbers again", func() bool { return h.solved() && len(d.Result.Measures) > 0 })
}

// How well the swing is marked stands on the sheet, and a click on what is marked
// worst leads there.
func TestTheSheetSaysHowWellTheSwingIsMarked(t *testing.T) {
	h, _ := markedAs(t, func(l *annotations.Lesson) {
		for i := range l.Swings[0].Marks {
			if m := &l.Swings[0].Marks[i]; m.Position == geometry.Impact && (m.Point == geometry.LeadHip || m.Point == geometry.TrailHip) {
				m.At.Y += 22 * float64(1-2*(i%2))
				m.At.X -= 18
			}
		}
	})
	assert.Regexp(t, `Your marks agree to \d\.\d px \(\d\.\d to \d\.\d\)\.`, h.a.desk.Result.Sheet.Text())
	worst := ""
	for _, label := range h.labels() {
		if strings.HasPrefix(label, "The hips at impact fit one body") {
			worst = strings.TrimSuffix(label, ".") // the button, not its text
		}
	}
	require.NotEmpty(t, worst, "%q", h.labels())
	assert.NotEqual(t, geometry.Impact, h.a.desk.Bench.Position)
	h.click(worst)
	h.frame()
	assert.Equal(t, geometry.Impact, h.a.desk.Bench.Position)
}
