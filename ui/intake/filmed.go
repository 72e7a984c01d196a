package intake

import (
	"fmt"
	"slices"

	"turngauge/ui/session"
	"turngauge/video"
)

// filmedRates are the rates at which phones film slow motion, frames a second
// (common practice, no source).
var filmedRates = []float64{60, 120, 240}

// filming is the answer to "at what rate was this clip filmed?", in annotations'
// terms: 0 where it plays at life's speed.
type filming struct {
	fps   float64
	rates []float64 // the answers, the first is 0; none where there is nothing to ask
}

// filmingOf starts with what the file says, and asks where the clip plays slowly
// enough that it may be slow motion.
func filmingOf(info *video.Info) (f filming) {
	if info.SlowedBy() != 1 {
		f.fps = info.FilmedFPS
	}
	if !(info.PlaybackFPS > 0) || !session.MayBeSlowed(info) && f.fps == 0 {
		return f
	}
	f.rates = []float64{0}
	for _, r := range filmedRates {
		if r > 1.5*info.PlaybackFPS {
			f.rates = append(f.rates, r)
		}
	}
	if !slices.Contains(f.rates, f.fps) {
		f.rates = append(f.rates, f.fps)
	}
	return f
}

// choose takes answer i.
func (f *filming) choose(i int) { f.fps = f.rates[i] }

// chosen returns the number of the answer, and the answers in words.
func (f *filming) chosen() (on int, words []string) {
	for i, r := range f.rates {
		if r == f.fps {
			on = i
		}
		if r == 0 {
			words = append(words, "life's speed")
		} else {
			words = append(words, fmt.Sprintf("filmed at %.4g", r))
		}
	}
	return on, words
}
