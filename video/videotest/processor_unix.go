//go:build unix

package videotest

import (
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// processorTime is what this process and those that it started and that ended, as the one
// that encodes, have used so far.
func processorTime(b *testing.B) (sum time.Duration) {
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		require.NoError(b, syscall.Getrusage(who, &u))
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum
}
