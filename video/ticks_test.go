package video

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestTicks: a tick is num/den seconds (ISO/IEC 14496-12 has num 1; Matroska and NTSC
// rates do not: 1001/30000 is the frame of SMPTE 170M).
func TestTicks(t *testing.T) {
	for base, want := range map[[2]int]float64{{1001, 30000}: 0.0333666666666666, {1, 600}: 1.0 / 600, {2, 3}: 2.0 / 3} {
		x := &Index{info: Info{TimeBase: base}}
		assert.InDelta(t, want, x.tick(), 1e-15)
	}
}
