package sound

// Envelope returns n values for drawing the sound: the largest magnitude of
// each of n equal segments of the samples, 1 being full scale. With fewer
// samples than n, values repeat. It returns nil when n is not positive.
func Envelope(samples []float32, n int) []float32 {
	if n <= 0 {
		return nil
	}
	out := make([]float32, n)
	for i := range out {
		from, to := i*len(samples)/n, (i+1)*len(samples)/n
		if to == from && from < len(samples) {
			to = from + 1
		}
		for _, v := range samples[from:to] {
			out[i] = max(out[i], v, -v)
		}
	}
	return out
}
