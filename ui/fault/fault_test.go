package fault

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGuard(t *testing.T) {
	assert.NoError(t, Guard(func() error { return nil })())
	assert.Equal(t, io.EOF, Guard(func() error { return io.EOF })())

	err := Guard(func() error {
		var none []int
		_ = none[len(os.Args)+3]
		return nil
	})()
	var caught *Error
	require.ErrorAs(t, err, &caught)
	assert.Contains(t, err.Error(), "index out of range")
	assert.Contains(t, string(caught.Stack), "TestGuard", "the trace leads to the place")

	assert.ErrorIs(t, Guard(func() error { panic(io.ErrUnexpectedEOF) })(), io.ErrUnexpectedEOF)
}

func TestKeep(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "there")
	now := time.Date(2026, 5, 2, 9, 30, 0, 0, time.UTC)
	path, err := Keep(dir, "turngauge 1.2.3", now, &Error{Value: errors.New("a slip"), Stack: []byte("main.go:7")})
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, want := range []string{"turngauge 1.2.3", "2026-05-02T09:30:00Z", "a slip", "main.go:7"} {
		assert.Contains(t, string(text), want)
	}
	for i := range 2 * keptReports {
		path, err = Keep(dir, "v", now.Add(time.Duration(i+1)*time.Second), &Error{Value: i})
		require.NoError(t, err)
	}
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	assert.Len(t, left, keptReports)
	assert.Equal(t, path, left[len(left)-1], "the newest is kept")

	_, err = Keep(path+"/below a file", "v", now, &Error{})
	require.Error(t, err)
	assert.True(t, strings.Contains(err.Error(), "not a directory"))
}
