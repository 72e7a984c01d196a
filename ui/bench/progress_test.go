package bench

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		want      []float64
	}{
		{26, 62, 5, []float64{30, 40, 50, 60}},
		{-3.2, 4.1, 5, []float64{-2, 0, 2, 4}},
		{0.74, 1.12, 4, []float64{0.8, 1}},
		{0, 1000, 3, []float64{0, 500, 1000}},
		{5, 5, 4, nil},
		{0, 1, 1, nil},
	} {
		got := Ticks(c.low, c.high, c.most)
		require.Len(t, got, len(c.want), "%v", got)
		for i := range got {
			assert.InDelta(t, c.want[i], got[i], 1e-9)
		}
	}
}

func TestTimelineIsInTimeWithRoomForEach(t *testing.T) {
	got := Timeline([]string{"2026-01-01", "2026-01-11", "2026-01-31"}, 0.05)
	assert.InDeltaSlice(t, []float64{0, 1.0 / 3, 1}, got, 1e-9)
	got = Timeline([]string{"2025-01-01", "2025-12-31", "2026-01-01", "2026-01-01"}, 0.1)
	assert.InDelta(t, 0.1, got[2]-got[1], 1e-9)
	assert.InDelta(t, 0.1, got[3]-got[2], 1e-9)
	assert.InDelta(t, 1, got[3], 1e-9)
	assert.Equal(t, []float64{0.5}, Timeline([]string{"2026-01-01"}, 0.1))
	assert.InDeltaSlice(t, []float64{0, 0.5, 1}, Timeline([]string{"", "someday", ""}, 0.1), 1e-9)
	many := Timeline(make([]string, 30), 0.2)
	for i := 1; i < len(many); i++ {
		assert.InDelta(t, 1.0/29, many[i]-many[i-1], 1e-9)
	}
}
