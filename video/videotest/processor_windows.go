package videotest

import (
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// processorTime is what this process, in which encoding is done too, has used so far.
func processorTime(b *testing.B) time.Duration {
	var created, ended, kernel, user syscall.Filetime
	process, err := syscall.GetCurrentProcess()
	require.NoError(b, err)
	require.NoError(b, syscall.GetProcessTimes(process, &created, &ended, &kernel, &user))
	ticks := func(t syscall.Filetime) int64 { return int64(t.HighDateTime)<<32 | int64(t.LowDateTime) }
	return time.Duration(ticks(kernel)+ticks(user)) * 100 // of 100 ns
}
