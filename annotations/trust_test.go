//go:build unix

package annotations

import (
	"bytes"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// within runs f, which must end.
func within(t *testing.T, f func()) {
	t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	select {
	case <-done:
	case <-time.After(30 * time.Second):
		t.Fatal("it is still waiting")
	}
}

// TestLessonThatIsNoFile loads what would keep a reader waiting, or reading, for ever.
func TestLessonThatIsNoFile(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "lesson.json")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for _, path := range []string{pipe, "/dev/zero"} {
		within(t, func() {
			_, _, err := Load(path)
			assert.ErrorContains(t, err, "not a lesson document")
			assert.False(t, IsDocument(path))
		})
	}
}

// documentWith is a lesson document with more text among its fields, as long as a
// document may be.
func documentWith(head, repeated, tail string) []byte {
	b := []byte(`{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}, ` + head)
	for len(b)+len(repeated)+len(tail)+1000 < MaxBytes { // a rewrite sets some line feeds
		b = append(b, repeated...)
	}
	return append(append(b, tail...), '}')
}

// TestHostileDocumentsTakeLittleMemory decodes and encodes documents that are as large
// as they may be and hold something a great many times.
func TestHostileDocumentsTakeLittleMemory(t *testing.T) {
	for name, data := range map[string][]byte{
		"an unknown list":         documentWith(`"later": [0`, `,0`, `]`),
		"an unknown list of some": documentWith(`"later": [[]`, `,[{"a":[]}]`, `]`),
		"a long unknown text":     documentWith(`"later": "`, `a`, `"`),
		"lists in a field":        documentWith(`"swings": [0`, `,[]`, `]`),
		"lists as a point":        documentWith(`"swings": [{"id": "s1", "drawings": [{"id": "d", "points": [[0`, `,[]`, `]]}]}]`),
		"a student of lists":      documentWith(`"prescription": {"set_up": [0`, `,{}`, `]}`),
		"one field ever again":    documentWith(`"later": 0`, `,"later":0`, ``),
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			l, warnings, err := Decode(data)
			if err == nil {
				var out []byte
				out, err = l.Encode()
				require.NoError(t, err)
				assert.Len(t, warnings, 1)
				assert.Contains(t, string(out[:200]), `"later"`)
				again, _, err := Decode(out)
				require.NoError(t, err)
				twice, err := again.Encode()
				require.NoError(t, err)
				assert.True(t, bytes.Equal(out, twice))
			}
			runtime.ReadMemStats(&after)
			if err != nil {
				assert.Less(t, len(err.Error()), 1<<20)
			}
			// All that was ever taken, twice over, much of it given back meanwhile.
			assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(24*MaxBytes))
		})
	}
}

// TestMessagesAreBounded reads documents that would have a great many things said of
// them.
func TestMessagesAreBounded(t *testing.T) {
	fields := func(n int) []byte {
		b := []byte(`{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}`)
		for i := range n {
			b = fmt.Appendf(b, `,"later %d": [1, 2]`, i)
		}
		return append(b, '}')
	}
	_, warnings, err := Decode(fields(900))
	require.NoError(t, err)
	assert.Len(t, warnings, mostWarnings+1)
	assert.Contains(t, warnings[mostWarnings], "700 more warnings")
	_, _, err = Decode(fields(5000))
	assert.ErrorContains(t, err, "has more than 1000 fields")

	// A field is named as it may stand on a terminal.
	_, warnings, err = Decode([]byte(`{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}, "a\u001b[2J\u202eb` + strings.Repeat("x", 1000) + `": 1}`))
	require.NoError(t, err)
	require.Len(t, warnings, 1)
	assert.Less(t, len(warnings[0]), 200)
	assert.NotContains(t, warnings[0], "\x1b")
	assert.NotContains(t, warnings[0], "\u202e")

	marks := strings.Repeat(",{}", 15_000)
	_, _, err = Decode([]byte(`{"kind": "turngauge-lesson", "version": 1, "swings": [{"id": "s1", "marks": [{}` + marks + `]}]}`))
	require.Error(t, err)
	assert.Less(t, strings.Count(err.Error(), "\n"), mostFaults+10)
	assert.Contains(t, err.Error(), "more faults than these")
}
