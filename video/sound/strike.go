package sound

import (
	"cmp"
	"math"
	"slices"
)

// Strike is one sound that may be a club striking a ball.
type Strike struct {
	Seconds    float64 // onset, from the first sample
	Strength   float64 // peak of the bright part of the sound over the background, decibels
	Confidence float64 // 0 to 1: how strike-like the sound is, and how far it stands out from other strikes
}

// Sure is the confidence from which a strike may be proposed without asking
// the coach to look first.
const Sure = 0.6

const (
	brightHz      = 1500   // corner of the two high-pass filters: keeps the click, drops voice and wind
	binS          = 0.0005 // resolution of the energy curve, seconds
	beforeS       = 0.1    // how much of the past counts as background
	quietestS     = 0.02   // the file's first moments, where encoders click
	apartS        = 0.12   // two strikes are at least this far apart; echoes of a bay are nearer
	leastDB       = 14     // least level over the background
	surestDB      = 35     // level from which loudness leaves no doubt
	leastLikeness = 0.1    // below this a sound is not worth showing
	// floor is the energy per sample below which nothing is audible: it keeps
	// digital silence from making a strike of a rounding error.
	floor = 1e-9
)

// FindStrikes returns the strike-like sounds of mono samples at rate samples
// per second, the most convincing first, or nil. The onset of a clean strike
// is placed within a sample or two, and within 2 ms under speech and noise
// that leave it audible.
func FindStrikes(samples []float32, rate int) []Strike {
	found := All(samples, rate)
	rank(found)
	return found
}

// All returns the strike-like sounds in order of time, as of a take in which there are
// several: how one compares with the others does not count in its confidence.
func All(samples []float32, rate int) []Strike {
	if rate < 4*brightHz || len(samples) < int(beforeS*float64(rate)) {
		return nil
	}
	bright := highPass(highPass(samples, rate), rate)
	perBin := max(int(math.Round(binS*float64(rate))), 1)
	energy := binEnergy(bright, perBin)
	back := background(energy, int(beforeS/binS))

	var found []Strike
	apart := int(apartS / binS)
	for i := int(quietestS / binS); i < len(energy); i++ {
		level := decibels(energy[i] / back[i])
		if level < leastDB || !isPeak(energy, i, apart) {
			continue
		}
		s := Strike{
			Seconds:  onset(bright, i*perBin, perBin, rate) / float64(rate),
			Strength: level,
		}
		s.Confidence = likeness(bright, energy, back[i], i, perBin, level)
		if s.Confidence >= leastLikeness {
			found = append(found, s)
		}
	}
	return found
}

// rank sorts by how convincing strikes are and lowers their confidence by how
// near the runner-up comes: two strikes of equal strength leave even odds.
func rank(found []Strike) {
	weight := func(s Strike) float64 { return s.Strength * s.Confidence }
	slices.SortStableFunc(found, func(a, b Strike) int { return cmp.Compare(weight(b), weight(a)) })
	const clearDB = 8 // a neighbour's bay is fainter by at least this (common practice, no source)
	alike := make([]float64, len(found))
	for i, s := range found {
		alike[i] = s.Confidence
	}
	for i := range found {
		rival := 0
		if i == 0 {
			rival = 1
		}
		if rival >= len(found) || rival == i {
			continue
		}
		lead := clamp((found[i].Strength-found[rival].Strength)/clearDB, -1, 1)
		share := 0.5 + 0.5*lead // 1: far ahead of the rival, 0: far behind
		found[i].Confidence *= 1 - (1-share)*alike[rival]
	}
}

// isPeak reports whether bin i is the loudest within apart bins.
func isPeak(energy []float64, i, apart int) bool {
	for k := max(i-apart, 0); k <= min(i+apart, len(energy)-1); k++ {
		if energy[k] > energy[i] || (energy[k] == energy[i] && k < i) {
			return false
		}
	}
	return true
}

// likeness is the product of three scores from 0 to 1: loud, steep, short.
func likeness(bright []float64, energy []float64, back float64, i, perBin int, level float64) float64 {
	loud := clamp((level-leastDB)/(surestDB-leastDB), 0.2, 1)

	// Steep: energy in the 2 ms up to the peak against the 6 ms before those.
	const rise, calm = 4, 12 // bins
	mean := func(from, to int) float64 {
		from, to = max(from, 0), min(to, len(energy))
		if to <= from {
			return back
		}
		sum := 0.0
		for _, e := range energy[from:to] {
			sum += e
		}
		return sum / float64(to-from)
	}
	jump := decibels(mean(i-rise, i+1) / math.Max(mean(i-rise-calm, i-rise), back))
	const gentleDB, steepDB = 4, 14
	steep := clamp((jump-gentleDB)/(steepDB-gentleDB), 0, 1)

	// Short: what is left 60 to 120 ms later.
	const laterFrom, laterTo = 120, 240 // bins
	left := decibels(energy[i] / math.Max(mean(i+laterFrom, i+laterTo), back))
	const lastingDB, goneDB = 8, 18
	short := clamp((left-lastingDB)/(goneDB-lastingDB), 0, 1)
	return loud * steep * short
}

// onset places the beginning of the sound whose loudest bin starts at sample
// peak: the change point between two segments of different variance (the
// Akaike criterion; Maeda 1985), moved on to the first sample that reaches
// a good part of the first maximum, because lossy encoders smear a little
// noise ahead of it.
func onset(bright []float64, peak, perBin, rate int) float64 {
	const lookBackS, loudPart = 0.008, 0.4
	from := max(peak-int(lookBackS*float64(rate)), 0)
	to := min(peak+perBin, len(bright))
	top := 0.0
	for _, v := range bright[max(peak-perBin, 0):to] {
		top = math.Max(top, math.Abs(v))
	}
	at := changePoint(bright[from:to]) + from
	for ; at < to-1 && math.Abs(bright[at]) < loudPart*top; at++ {
	}
	return float64(at)
}

// changePoint returns k minimizing k ln var(x[:k]) + (n-k) ln var(x[k:]).
func changePoint(x []float64) int {
	n := len(x)
	const least = 8 // samples on either side, or a variance means nothing
	if n < 3*least {
		return 0
	}
	var sum, sumSq float64
	for _, v := range x {
		sum += v
		sumSq += v * v
	}
	variance := func(sum, sumSq float64, n int) float64 {
		m := sum / float64(n)
		return math.Max(sumSq/float64(n)-m*m, floor)
	}
	best, at := math.Inf(1), 0
	var a, aSq float64
	for k, v := range x[:n-least] {
		a += v
		aSq += v * v
		if k+1 < least {
			continue
		}
		left, right := k+1, n-k-1
		c := float64(left)*math.Log(variance(a, aSq, left)) + float64(right)*math.Log(variance(sum-a, sumSq-aSq, right))
		if c < best {
			best, at = c, left
		}
	}
	return at
}

// highPass is one RC filter with its corner at brightHz.
func highPass[T float32 | float64](x []T, rate int) []float64 {
	a := 1 / (1 + 2*math.Pi*brightHz/float64(rate))
	out := make([]float64, len(x))
	for i := 1; i < len(x); i++ {
		out[i] = a * (out[i-1] + float64(x[i]) - float64(x[i-1]))
	}
	return out
}

func binEnergy(x []float64, perBin int) []float64 {
	out := make([]float64, len(x)/perBin)
	for i := range out {
		sum := 0.0
		for _, v := range x[i*perBin : (i+1)*perBin] {
			sum += v * v
		}
		out[i] = sum / float64(perBin)
	}
	return out
}

// background is the median energy of the bins before each bin, leaving out the
// last few, in which the sound may already be rising.
func background(energy []float64, before int) []float64 {
	const rising = 8 // bins
	out := make([]float64, len(energy))
	window := make([]float64, 0, before) // sorted
	for i := range energy {
		if k := i - rising; k >= 0 {
			at, _ := slices.BinarySearch(window, energy[k])
			window = slices.Insert(window, at, energy[k])
		}
		if k := i - rising - before; k >= 0 {
			at, _ := slices.BinarySearch(window, energy[k])
			window = slices.Delete(window, at, at+1)
		}
		out[i] = floor
		if len(window) > 0 {
			out[i] = math.Max(window[len(window)/2], floor)
		}
	}
	return out
}

func decibels(ratio float64) float64 { return 10 * math.Log10(ratio) }

func clamp(v, low, high float64) float64 { return math.Max(low, math.Min(high, v)) }
