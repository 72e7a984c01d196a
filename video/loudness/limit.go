package loudness

import "math"

// between are the samples between two: the filter by which BS.1770-4, annex 2, finds true
// peaks, four times as many samples a second, 12 taps for each of four phases. The third
// and fourth phase are the second and first backwards.
var between = [4][12]float64{
	{0.0017089843750, 0.0109863281250, -0.0196533203125, 0.0332031250000, -0.0594482421875, 0.1373291015625,
		0.9721679687500, -0.1022949218750, 0.0476074218750, -0.0266113281250, 0.0148925781250, -0.0083007812500},
	{-0.0291748046875, 0.0292968750000, -0.0517578125000, 0.0891113281250, -0.1665039062500, 0.4650878906250,
		0.7797851562500, -0.2003173828125, 0.1015625000000, -0.0582275390625, 0.0330810546875, -0.0189208984375},
}

func init() {
	for i := range 12 {
		between[2][i], between[3][i] = between[1][11-i], between[0][11-i]
	}
}

// peaks returns the true peak at each sample: the largest of the sample and those between
// it and its neighbours.
func peaks(samples []float32) []float64 {
	out := make([]float64, len(samples))
	for i := range samples {
		most := math.Abs(float64(samples[i]))
		for phase := range between {
			v := 0.0
			for k, c := range between[phase] {
				if j := i + 6 - k; j >= 0 && j < len(samples) {
					v += c * float64(samples[j])
				}
			}
			most = math.Max(most, math.Abs(v))
		}
		out[i] = most
	}
	return out
}

// Peak returns the true peak, dBTP.
func Peak(samples []float32) float64 {
	most := 0.0
	for _, v := range peaks(samples) {
		most = math.Max(most, v)
	}
	return decibels(most)
}

func decibels(v float64) float64   { return 20 * math.Log10(v) }
func amplitude(db float64) float64 { return math.Pow(10, db/20) }

// ahead is how long before a peak the limiter begins to turn down, and after it ends:
// 5 ms. Common practice, no source.
const ahead = Rate / 200

// mostGain is by how much sound is made louder at most, dB: what needs more is noise.
const mostGain = 30

// Normalize returns sound of one channel brought to a loudness, LUFS, its true peaks not
// above peak, dBTP; R 128 has -23 and -1 for broadcasting, phones need -16 or so. Sound
// with hardly anything in it is made louder by mostGain at most.
func Normalize(samples []float32, target, peak float64) []float32 {
	was := Of(samples)
	if math.IsInf(was, -1) {
		return samples
	}
	found := peaks(samples)
	limit, gain := amplitude(peak), math.Min(target-was, mostGain)
	var out []float32
	for range 4 { // what was turned down makes it quieter; so a little more, and again
		out = limited(samples, found, amplitude(gain), limit)
		off := target - Of(out)
		if off < 0.1 || gain+off > mostGain {
			break
		}
		gain += off
	}
	return out
}

// limited multiplies samples by a gain, less where their peaks would pass the limit: the
// least gain that any peak within reach needs, averaged over that reach, so that it moves
// smoothly and is small enough at each peak.
func limited(samples []float32, peaks []float64, gain, limit float64) []float32 {
	n := len(samples)
	need := make([]float64, n)
	for i, p := range peaks {
		need[i] = math.Min(gain, limit/math.Max(p, 1e-9))
	}
	least := slidingLeast(need, ahead)
	out := make([]float32, n)
	sum := 0.0
	at := func(i int) float64 { return least[min(max(i, 0), n-1)] }
	for i := -ahead; i <= ahead; i++ {
		sum += at(i)
	}
	for i := range out {
		out[i] = float32(float64(samples[i]) * sum / (2*ahead + 1))
		sum += at(i+ahead+1) - at(i-ahead)
	}
	return out
}

// slidingLeast returns, for each place, the least value within reach of it.
func slidingLeast(v []float64, reach int) []float64 {
	out := make([]float64, len(v))
	var queue []int // places of values that grow, the least first
	for i := range len(v) + reach {
		if i < len(v) {
			for len(queue) > 0 && v[queue[len(queue)-1]] >= v[i] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, i)
		}
		if k := i - reach; k >= 0 {
			for queue[0] < k-reach {
				queue = queue[1:]
			}
			out[k] = v[queue[0]]
		}
	}
	return out
}
