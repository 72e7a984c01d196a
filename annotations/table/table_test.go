package table

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
)

// marked is a lesson whose every point is marked.
func marked(t *testing.T) *annotations.Lesson {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	l, _, err := annotations.Decode(data)
	require.NoError(t, err)
	return l.Clone()
}

func write(t *testing.T, l *annotations.Lesson) string {
	t.Helper()
	results, err := annotations.EvaluateAll(context.Background(), l, annotations.Options{Targets: annotations.DefaultTargets()})
	require.NoError(t, err)
	var b strings.Builder
	require.NoError(t, Write(&b, annotations.ReportOf(l, results), l, "also"))
	return b.String()
}

func TestTableIsReadable(t *testing.T) {
	text := write(t, marked(t))
	t.Log("\n" + text)
	assert.Regexp(t, regexp.MustCompile(`(?m)^    pelvis turn +-?\d+\.\d ± \d+\.\d +deg +40 to 60 +((virtually certainly|very likely|likely) (within|below|above|not below|not above)|can't tell)$`), text)
	assert.Contains(t, text, "A marked swing, 2026-05-02, Mara Lindqvist, right-handed, Fjordholm practice ground\n")
	assert.True(t, strings.HasSuffix(text, "also\n"+annotations.Cautions+"\n"))
	assert.Regexp(t, `Your marks agree to \d\.\d px \(\d\.\d to \d\.\d\)\.`, text)
	set, back, strike := strings.Index(text, "\n  set-up, address\n"), strings.Index(text, "\n  backswing, top\n"), strings.Index(text, "\n  strike, impact\n")
	assert.True(t, 0 < set && set < back && back < strike, "the groups stand in the order of the swing")
	for line := range strings.SplitSeq(text, "\n") {
		assert.Equal(t, strings.TrimRight(line, " "), line, "no trailing blanks")
	}
}

// TestWhatIsWrongIsTold: a mistake of the whole lesson withholds every number, hips on the
// wrong place and one wild mark are named, and nothing marked is nothing measured.
func TestWhatIsWrongIsTold(t *testing.T) {
	l := marked(t)
	l.Student.Handed = geometry.LeftHanded
	text := write(t, l)
	assert.Contains(t, text, "Make the student right-handed")
	assert.Contains(t, text, "no number of this swing is given")
	assert.NotContains(t, text, "±")

	l = marked(t)
	for i := range l.Swings[0].Marks {
		if m := &l.Swings[0].Marks[i]; m.Position == geometry.Impact && (m.Point == geometry.LeadHip || m.Point == geometry.TrailHip) {
			m.At.Y += 22 * float64(1-2*(i%2))
			m.At.X -= 18
		}
	}
	assert.Regexp(t, `The hips at impact fit one body \d+\.\d times less well than the rest\.`, write(t, l))

	l = marked(t)
	l.Swings[0].Marks[l.Swings[0].MarkIndex("fo", geometry.Top, geometry.LeadKnee)].At.X += 120
	assert.Contains(t, write(t, l), "lead knee at top, face-on: ")

	l = annotations.NewLesson()
	assert.Contains(t, write(t, l), "There is no swing in this lesson yet.")
	l.Swings = []annotations.Swing{{ID: "a"}}
	assert.Contains(t, write(t, l), "Not measured:")
}
