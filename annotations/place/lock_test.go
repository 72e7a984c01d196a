package place

import (
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLockIsHeldByOne(t *testing.T) {
	path := filepath.Join(t.TempDir(), ".lesson.lock")
	l, err := TryLock(path)
	require.NoError(t, err)
	_, err = TryLock(path)
	var held *HeldError
	require.ErrorAs(t, err, &held)
	assert.Equal(t, strconv.Itoa(os.Getpid()), held.PID)
	l.Unlock()
	assert.NoFileExists(t, path)
	l, err = TryLock(path)
	require.NoError(t, err)
	l.Unlock()
	(*Lock)(nil).Unlock()
	_, err = TryLock(filepath.Join(path, "below nothing"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// TestLockIsNeverHeldByTwo has several take it in turn: the one who gives it back
// removes the file, which another may have opened already.
func TestLockIsNeverHeldByTwo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	var inside atomic.Int32
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for taken := 0; taken < 300; {
				l, err := TryLock(path)
				if err != nil {
					continue
				}
				taken++
				assert.EqualValues(t, 1, inside.Add(1))
				inside.Add(-1)
				l.Unlock()
			}
		})
	}
	wg.Wait()
}
