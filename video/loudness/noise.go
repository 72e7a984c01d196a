package loudness

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

const (
	// reduced is by how much noise is made quieter, dB. Common practice, no source: more than
	// 15 dB and what is left of it begins to tinkle.
	reduced = 12
	// piece is in what pieces quiet is looked for, samples (50 ms), and pieces how many of
	// them make a pause that noise can be learnt from.
	piece  = Rate / 20
	pieces = 10
	// clearance is how far the noise has to lie below the voice, dB: else what was learnt may be
	// the voice.
	clearance = 15
	// held is the level, dBFS, at which afftdn gets the noise: its own limits for a floor
	// (-80 to -20, -50 unless it is told) then never matter.
	held = -60
	// dead is the level below which there was no microphone, dBFS: a tenth of what 16 bits
	// tell apart.
	dead = -110
)

// Denoise returns sound of one channel with its steady noise (wind, a fan, a road) quieter
// by 12 dB and its voice as it was, as long and where it was. The noise is learnt from the
// quietest half second, whatever its colour (FFmpeg's afftdn). ok is false, and the sound the
// same, where no pause is quiet enough beside the voice to learn it from.
func Denoise(samples []float32) (out []float32, ok bool, err error) {
	at, noise, voice := quietest(samples)
	if at < 0 || voice-noise < clearance {
		return samples, false, nil
	}
	late, err := delay()
	if err != nil {
		return nil, false, err
	}
	pause := samples[at : at+pieces*piece]
	in := slices.Concat(pause, pause, samples, make([]float32, late))
	k := float32(math.Pow(10, (held-noise)/20))
	for i := range in {
		in[i] *= k
	}
	out, _, _, err = filter(denoiser, in, true)
	if err != nil || len(out) < len(in) {
		return nil, false, fmt.Errorf("FFmpeg can't take the noise from the voice: %w", err)
	}
	out = out[2*len(pause)+late:]
	for i := range out {
		out[i] /= k
	}
	return out, true, nil
}

// denoiser learns the noise from the first second.
var denoiser = fmt.Sprintf(`asendcmd=c='0.1 afftdn sn start\; 0.9 afftdn sn stop',afftdn=nr=%d`, reduced)

// delay is by how many samples what comes out of the denoiser is late: FFmpeg 5.1 does not
// make up for the length of its windows, others do.
var delay = sync.OnceValues(func() (int, error) {
	const click = 3 * Rate / 2
	in := make([]float32, 2*Rate)
	in[click] = 1
	out, _, _, err := filter(denoiser, in, true)
	if err != nil {
		return 0, err
	}
	best := 0
	for i := range out {
		if math.Abs(float64(out[i])) > math.Abs(float64(out[best])) {
			best = i
		}
	}
	return max(best-click, 0), nil
})

// quietest is where the quietest pause begins, -1 where there is none, with its level and
// that of the voice, the loudest twentieth of it, dBFS.
func quietest(samples []float32) (at int, noise, voice float64) {
	var power []float64
	for i := 0; i+piece <= len(samples); i += piece {
		sum := 0.0
		for _, v := range samples[i : i+piece] {
			sum += float64(v) * float64(v)
		}
		power = append(power, sum/float64(piece))
	}
	level := func(p float64) float64 { return 10 * math.Log10(p) }
	at, least := -1, math.Inf(1)
	for i := 0; i+pieces <= len(power); i++ {
		sum, lowest := 0.0, math.Inf(1)
		for _, p := range power[i : i+pieces] {
			sum, lowest = sum+p, min(lowest, p)
		}
		if level(lowest) > dead && sum < least {
			at, least = i*piece, sum
		}
	}
	if at < 0 {
		return at, 0, 0
	}
	slices.Sort(power)
	return at, level(least / float64(pieces)), level(power[len(power)*19/20])
}
