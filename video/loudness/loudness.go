// Package loudness measures how loud sound is as listeners hear it, and brings a voice to a
// loudness without its peaks passing a limit: EBU R 128 by the measures of Rec. ITU-R
// BS.1770-4.
package loudness

import "math"

// Rate is the samples a second of all sound here; the filters below are for it.
const Rate = 48000

// biquad is a filter of second order, with its state.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	x1, x2, y1, y2     float64
}

func (f *biquad) next(x float64) float64 {
	y := f.b0*x + f.b1*f.x1 + f.b2*f.x2 - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1, f.y2, f.y1 = f.x1, x, f.y1, y
	return y
}

// head and ears are the two filters of the K weighting at 48 kHz (BS.1770-4, tables 1 and
// 2): a shelf for the head, and the ear's dullness for low sounds.
func head() biquad {
	return biquad{b0: 1.53512485958697, b1: -2.69169618940638, b2: 1.19839281085285, a1: -1.69065929318241, a2: 0.73248077421585}
}

func ears() biquad {
	return biquad{b0: 1, b1: -2, b2: 1, a1: -1.99004745483398, a2: 0.99007225036621}
}

// The gating of BS.1770-4, annex 1: blocks of 0.4 s, one every 0.1 s; those below -70 LUFS
// do not count, then those more than 10 LU below the mean of the rest.
const (
	step         = Rate / 10
	stepsOfBlock = 4
	absoluteGate = -70.0
	relativeGate = -10.0
)

// Silence is the loudness of sound in which nothing counts.
var Silence = math.Inf(-1)

// Of returns the integrated loudness, LUFS, of sound of one channel, full scale 1; Silence
// where nothing is loud enough to count, or it is shorter than a block.
func Of(samples []float32) float64 {
	a, b := head(), ears()
	var steps []float64 // the sum of squares of each
	sum := 0.0
	for i, x := range samples {
		y := b.next(a.next(float64(x)))
		sum += y * y
		if (i+1)%step == 0 {
			steps, sum = append(steps, sum), 0
		}
	}
	var blocks []float64 // mean squares
	for i := stepsOfBlock; i <= len(steps); i++ {
		s := 0.0
		for _, v := range steps[i-stepsOfBlock : i] {
			s += v
		}
		blocks = append(blocks, s/(stepsOfBlock*step))
	}
	return gated(blocks, lufs(gatedMean(blocks, absoluteGate))+relativeGate)
}

func gated(blocks []float64, gate float64) float64 {
	return lufs(gatedMean(blocks, math.Max(gate, absoluteGate)))
}

// gatedMean is the mean of the blocks above a loudness.
func gatedMean(blocks []float64, gate float64) float64 {
	sum, n := 0.0, 0
	for _, v := range blocks {
		if lufs(v) > gate {
			sum, n = sum+v, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// lufs is the loudness of a mean square (BS.1770-4, annex 1, equation 2).
func lufs(meanSquare float64) float64 { return -0.691 + 10*math.Log10(meanSquare) }
