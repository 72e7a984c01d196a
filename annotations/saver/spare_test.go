package saver

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/faultfs"
)

// TestVersionThatIsNotOpenedIsOnTheDisk looks at the system calls of putting a
// version of a lesson aside: the one kept outlives a loss of power right after it.
func TestVersionThatIsNotOpenedIsOnTheDisk(t *testing.T) {
	calls, here := faultfs.Traced(t)
	if !here {
		dir := t.TempDir()
		path, spare := filepath.Join(dir, "lesson.json"), filepath.Join(dir, "spare.json")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		require.NoError(t, os.WriteFile(spare, []byte("new"), 0o600))
		at := time.Date(2026, 5, 2, 9, 30, 0, 0, time.Local)
		require.NoError(t, KeepOlder(path, spare, at))
		require.NoError(t, KeepOlder(path, spare, at), "again, after an opening that failed")
		for _, name := range []string{"spare-older-2026-05-02-093000.json", "spare-older-2026-05-02-093000 (2).json"} {
			kept, err := os.ReadFile(filepath.Join(dir, name))
			require.NoError(t, err)
			assert.Equal(t, "old", string(kept))
		}
		kept, err := KeepNewer(spare, at)
		require.NoError(t, err)
		assert.Equal(t, filepath.Join(dir, "spare-newer-2026-05-02-093000.json"), kept)
		assert.FileExists(t, kept)
		assert.NoFileExists(t, spare)
		require.NoError(t, KeepOlder(filepath.Join(dir, "none"), spare, at), "nothing to be kept")
		return
	}
	require.Len(t, calls, 8, "%q", calls)
	for i, want := range []string{
		`fsync\(.*\.tmp>\)`, `link.*older-.*093000\.json"`, `fsync\(.*/00.*>\)`,
		`fsync\(.*\.tmp>\)`, `link.*older-.*\(2\)\.json"`, `fsync\(.*/00.*>\)`,
		`rename.*newer-`, `fsync\(.*/00.*>\)`,
	} {
		assert.Regexp(t, want, calls[i])
	}
}
