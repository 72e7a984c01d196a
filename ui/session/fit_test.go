package session

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry/fit"
	"turngauge/ui/fault"
)

// markedLesson is a lesson with marks, whose mark of the given index is moved.
func markedLesson(t *testing.T, mark int, by float64) *annotations.Lesson {
	t.Helper()
	source, err := os.ReadFile("../../testdata/lessons/marked.json")
	require.NoError(t, err)
	l, _, err := annotations.Decode(source)
	require.NoError(t, err)
	l.Swings[0].Marks[mark].At.X += by
	return l
}

// After a mark has been moved there and back, the window shows what it showed
// before, to the last digit: the fit that followed the hand gives way to one of
// the marks alone.
func TestNumbersAreThoseOfTheMarksOnceTheHandRests(t *testing.T) {
	results := make(chan Result, 16)
	box := &Mailbox{Wake: func() {}}
	f := newFitter(box, func(out Result) { results <- out }, func(advised) {}, func(err *fault.Error) { t.Error(err) })
	defer f.close()
	ask := func(revision uint64, by float64) {
		l := markedLesson(t, 0, by)
		f.request(request{lesson: l, swing: l.Swings[0].ID, revision: revision})
	}
	settled := func(revision uint64) Result {
		t.Helper()
		var out Result
		require.Eventually(t, func() bool {
			box.Run()
			for len(results) > 0 {
				out = <-results
			}
			return out.Revision == revision && !out.Summary.Warm
		}, 30*time.Second, 5*time.Millisecond)
		return out
	}
	ask(1, 0)
	before := settled(1)
	require.NotEmpty(t, before.Measures)
	ask(2, 30)
	moved := settled(2)
	assert.NotEqual(t, before.Measures, moved.Measures)
	ask(3, 0)
	assert.Equal(t, before.Measures, settled(3).Measures)

	problem, _ := annotations.Problem(markedLesson(t, 0, 0), 0)
	solution, err := fit.NewSolver().Solve(context.Background(), problem)
	require.NoError(t, err)
	measures, _ := solution.Measures()
	assert.Equal(t, measures, before.Measures, "what the command line prints")
}
