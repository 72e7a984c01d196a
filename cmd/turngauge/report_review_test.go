package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/annotations/saver"
)

// A review is made a film, by its title or as the newest, and what is wrong is said.
func TestReportMakesTheFilmOfAReview(t *testing.T) {
	dir := t.TempDir()
	data, err := os.ReadFile(marked)
	require.NoError(t, err)
	lesson := filepath.Join(dir, "lesson.json")
	require.NoError(t, os.WriteFile(lesson, data, 0o600))
	_, stderr, code := program(t, "report", lesson, "--review", "last")
	assert.Equal(t, 3, code)
	assert.Contains(t, stderr, "nobody has talked this lesson through yet")

	entry := `"reviews": [{"id": "01J", "title": "For Mara", "list": "reviews/01J.jsonl"}]}`
	require.NoError(t, os.WriteFile(lesson, []byte(strings.TrimSuffix(strings.TrimSpace(string(data)), "}")+","+entry), 0o600))
	_, stderr, code = program(t, "report", lesson, "--review", "for mara")
	assert.Equal(t, 1, code)
	assert.Contains(t, stderr, "can't be read: no such file")
	log, err := review.Create(filepath.Join(dir, "reviews", "01J.jsonl"), "L1", time.Now())
	require.NoError(t, err)
	require.NoError(t, log.Show(0, &review.State{Swing: "s1"}))
	require.NoError(t, log.Close(time.Second/2))
	for _, c := range []struct {
		args  []string
		code  int
		says  string
		wrote string
	}{
		{[]string{"--review", "for mara"}, 0, "without a microphone", filepath.Join(dir, "lesson review.mp4")},
		{[]string{"--review", "last", "--mp4", filepath.Join(dir, "film.mp4"), "--size", "phone"}, 0, "", filepath.Join(dir, "film.mp4")},
		{[]string{"--review", "none"}, 3, `it has "For Mara"`, ""},
		{[]string{"--review", "last", "--mp4", lesson}, 2, "belongs to the lesson", ""},
		{[]string{"--review", "last", "--pdf", filepath.Join(dir, "x.pdf")}, 2, "goes with --mp4", ""},
		{[]string{"--captions"}, 2, "name that with --review", ""},
		{[]string{"--most-mb", "8"}, 2, "name that with --review", ""},
		{[]string{"--review", "last", "--most-mb", "-1"}, 2, "not -1", ""},
		{[]string{"--review", "last", "--most-mb", "1", "--denoise", "--mp4", filepath.Join(dir, "small.mp4")}, 0, "", filepath.Join(dir, "small.mp4")},
	} {
		stdout, stderr, code := program(t, append([]string{"report", lesson}, c.args...)...)
		assert.Equal(t, c.code, code, stderr)
		assert.Contains(t, stderr, c.says)
		if c.wrote != "" {
			assert.Equal(t, c.wrote+"\n", stdout)
			assert.FileExists(t, c.wrote)
			l, _, err := annotations.Load(lesson)
			require.NoError(t, err)
			assert.Equal(t, filepath.Base(c.wrote), l.Reviews[0].Film)
		}
	}

	// One that lies elsewhere, or is open in a window, does not name the film.
	before, err := os.ReadFile(lesson)
	require.NoError(t, err)
	_, stderr, code = program(t, "report", lesson, "--review", "last", "--mp4", filepath.Join(t.TempDir(), "away.mp4"))
	assert.Equal(t, 0, code, stderr)
	open, err := saver.Open(lesson, func(error) {})
	require.NoError(t, err)
	_, stderr, code = program(t, "report", lesson, "--review", "last", "--mp4", filepath.Join(dir, "again.mp4"))
	assert.Equal(t, 0, code)
	assert.FileExists(t, filepath.Join(dir, "again.mp4"))
	assert.Contains(t, stderr, "the lesson doesn't name it")
	assert.Contains(t, stderr, "is open in another Turngauge window")
	require.NoError(t, open.Close())
	after, err := os.ReadFile(lesson)
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))
}
