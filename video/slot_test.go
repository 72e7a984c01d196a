package video

import (
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/video/orient"
)

// TestSlotsAreWholePages takes slots as on machines whose pages have 4, 16 and
// 64 KiB (arm64 knows all three: Arm Architecture Reference Manual, D8, translation
// granules). They are cut one behind the other from an arena that starts on a page,
// and given back with madvise(2), which refuses an address inside a page and takes
// the whole of the last.
func TestSlotsAreWholePages(t *testing.T) {
	for _, page := range []int{4 << 10, 16 << 10, 64 << 10} {
		pool, err := newSlotPool(page)
		require.NoError(t, err)
		for _, width := range []int{64, 162, 640, 1920} {
			s, err := pool.take(newLayout(width, width/2, orient.Orientation{XX: 1, YY: 1}, [2]int{1, 1}))
			require.NoError(t, err)
			require.Zero(t, int(s.ref.size)%page, "bytes of a slot, pages of %d", page)
			s.release()
		}
		pool.close()
	}
}
