package review_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
)

const lesson = `{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}, "swings": [], "reviews": [REVIEW]}`

const entry = `{"id": "01J", "title": "For Mara", "made": "2026-12-05", "list": "reviews/01J.jsonl", "voice": "reviews/01J.wav", ` +
	`"seconds": 183.25, "cuts": [[12.5, 17.25], [20, 21]], "longest_pause": 0.6, "captions": [{"from": 1.5, "to": 4, "text": "Hips <first>"}], ` +
	`"silenced": [[31.25, 31.75]], "takes": [{"list": "reviews/01K.jsonl", "voice": "reviews/01K.wav", "seconds": 9.5, "clock": 184, "instead": [[40, 47.5]]}], ` +
	`"moved": [{"id": "d1", "from": 50, "to": 60}], "later": {"a": [1, 2.50]}}`

// What the document says comes back, with what a later program has added.
func TestTheEntryInTheDocument(t *testing.T) {
	l, warnings, err := annotations.Decode([]byte(strings.Replace(lesson, "REVIEW", entry, 1)))
	require.NoError(t, err)
	assert.Len(t, warnings, 1)
	r, ok := l.Reviews.Find("01J")
	require.True(t, ok)
	assert.Equal(t, "For Mara", r.Title)
	assert.Equal(t, []review.Span{{From: 12.5, To: 17.25}, {From: 20, To: 21}}, r.Cuts)
	assert.Equal(t, []review.Caption{{From: 1.5, To: 4, Text: "Hips <first>"}}, r.Captions)
	assert.Equal(t, []review.Span{{From: 31.25, To: 31.75}}, r.Silenced)
	assert.Equal(t, []review.Take{{List: "reviews/01K.jsonl", Voice: "reviews/01K.wav", Seconds: 9.5, Clock: 184, Instead: []review.Span{{From: 40, To: 47.5}}}}, r.Takes)
	assert.Equal(t, []review.Moved{{ID: "d1", From: 50, To: 60}}, r.Moved)
	r.Cuts = nil
	l.Reviews = l.Reviews.With(r)
	data, err := l.Encode()
	require.NoError(t, err)
	assert.Contains(t, string(data), `"later": {"a": [1, 2.50]}`)
	assert.NotContains(t, string(data), "cuts")
	back, _, err := annotations.Decode(data)
	require.NoError(t, err)
	assert.Equal(t, l.Reviews, back.Reviews)
	assert.Empty(t, back.Reviews.Without("01J"))
}

// What breaks a rule is named by its path. A file that lies elsewhere would be sent to
// strangers with the lesson.
func TestFaultsOfTheEntry(t *testing.T) {
	for change, path := range map[[2]string]string{
		{`reviews/01J.jsonl`, `../../secret`}:            "reviews[0].list",
		{`reviews/01J.wav`, `/etc/passwd`}:               "reviews[0].voice",
		{`"id": "01J", `, ``}:                            "reviews[0].id",
		{`[20, 21]`, `[17, 21]`}:                         "reviews[0].cuts[1]",
		{`[20, 21]`, `[20, -1]`}:                         "reviews[0].cuts[1]",
		{`"longest_pause": 0.6`, `"longest_pause": -1`}:  "reviews[0].seconds",
		{`"to": 4`, `"to": 1`}:                           "reviews[0].captions[0]",
		{`[31.25, 31.75]`, `[31.25, 31.25]`}:             "reviews[0].silenced[0]",
		{`reviews/01K.jsonl`, `../01K.jsonl`}:            "reviews[0].takes[0].list",
		{`"clock": 184`, `"clock": 1e99`}:                "reviews[0].takes[0].seconds",
		{`[[40, 47.5]]`, `[]`}:                           "reviews[0].takes[0].instead",
		{`"id": "d1"`, `"id": ""`}:                       "reviews[0].moved[0]",
		{`"seconds": 183.25`, `"seconds": "three"`}:      "reviews[0]",
		{entry, entry + ", " + entry}:                    "reviews[1].id",
		{entry, `"reviews/01J.jsonl"`}:                   "reviews[0]",
		{`"list": "reviews/01J.jsonl", `, `"list": "",`}: "reviews[0].list",
	} {
		text := strings.Replace(strings.Replace(lesson, "REVIEW", entry, 1), change[0], change[1], 1)
		_, _, err := annotations.Decode([]byte(text))
		var faults annotations.Faults
		require.ErrorAs(t, err, &faults, change[1])
		assert.Equal(t, path, faults[0].Path, change[1])
	}
}
