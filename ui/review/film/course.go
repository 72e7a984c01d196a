package film

import (
	"cmp"
	"math"
	"slices"

	"turngauge/annotations/review"
)

// Course is what is left of a review's time, as stretches of the list's clock, in order.
type Course []review.Span

// course cuts what the coach cut, and shortens pauses.
func course(rec *review.Recorded, r *review.Review, voice []float32) Course {
	out := slices.Clone(r.Cuts)
	if r.LongestPause > 0 {
		out = append(out, pauses(rec, voice, r.LongestPause)...)
	}
	return without(rec.Seconds, out)
}

// without is what is left of a length when stretches are taken out.
func without(length float64, cuts []review.Span) (c Course) {
	slices.SortFunc(cuts, func(a, b review.Span) int { return cmp.Compare(a.From, b.From) })
	at := 0.0
	for _, s := range cuts {
		if s.From > at {
			c = append(c, review.Span{From: at, To: min(s.From, length)})
		}
		at = max(at, s.To)
	}
	if at < length {
		c = append(c, review.Span{From: at, To: length})
	}
	return slices.DeleteFunc(c, func(s review.Span) bool { return s.To-s.From < 1e-3 })
}

// Seconds is how long the film is.
func (c Course) Seconds() (sum float64) {
	for _, s := range c {
		sum += s.To - s.From
	}
	return sum
}

// List returns the time on the list's clock that a time of the film shows.
func (c Course) List(t float64) float64 {
	for _, s := range c {
		if t < s.To-s.From {
			return s.From + t
		}
		t -= s.To - s.From
	}
	if len(c) == 0 {
		return 0
	}
	return c[len(c)-1].To
}

// Film returns the time of the film at which a time on the list's clock is shown, or where
// it was cut out, the cut.
func (c Course) Film(t float64) (at float64) {
	for _, s := range c {
		if t <= s.From {
			return at
		}
		at += min(t, s.To) - s.From
		if t <= s.To {
			return at
		}
	}
	return at
}

// What counts as a pause: a level so much below that of the loudest twentieth of the
// speech, for as long as this beside what is left of it. Common practice, no source: the
// weakest consonants of speech lie some 25 dB below its loudest vowels.
const (
	pieceSeconds = 0.02
	belowSpeech  = 25 // dB
	loudShare    = 0.95
	leastCut     = 0.2 // seconds
)

// pauses are the middles of stretches in which nothing is said and nothing moves, so that
// the longest that is left of each is as long as asked for.
func pauses(rec *review.Recorded, voice []float32, longest float64) (cuts []review.Span) {
	const piece = int(pieceSeconds * review.Rate)
	levels := make([]float64, 0, len(voice)/piece)
	for i := 0; i+piece <= len(voice); i += piece {
		sum := 0.0
		for _, v := range voice[i : i+piece] {
			sum += float64(v) * float64(v)
		}
		levels = append(levels, sum/float64(piece))
	}
	if len(levels) == 0 {
		return nil
	}
	sorted := slices.Sorted(slices.Values(levels))
	limit := sorted[int(loudShare*float64(len(sorted)-1))] * math.Pow(10, -belowSpeech/10.0)
	busy := make([]bool, len(levels))
	for i, l := range levels {
		busy[i] = l > limit
	}
	for _, s := range rec.Steps {
		if i := int(s.At / pieceSeconds); i < len(busy) {
			busy[i] = true
		}
	}
	begun := 0
	for i := 0; i <= len(busy); i++ {
		if i < len(busy) && !busy[i] {
			continue
		}
		from, to := float64(begun)*pieceSeconds, float64(i)*pieceSeconds
		if to-from > longest+leastCut {
			cuts = append(cuts, review.Span{From: from + longest/2, To: to - longest/2})
		}
		begun = i + 1
	}
	return cuts
}

// join is how long the voice fades where passages meet, seconds, so that no step is heard.
const join = 0.005

// sound is the voice of a course.
func (c Course) sound(voice []float32) []float32 {
	if len(voice) == 0 {
		return nil
	}
	var out []float32
	fade := int(join * review.Rate)
	for k, s := range c {
		from, to := int(math.Round(s.From*review.Rate)), int(math.Round(s.To*review.Rate))
		part := slices.Clone(voice[min(from, len(voice)):min(to, len(voice))])
		for i := range min(fade, len(part)/2) {
			w := float32(i) / float32(fade)
			if k > 0 {
				part[i] *= w
			}
			if k < len(c)-1 {
				part[len(part)-1-i] *= w
			}
		}
		out = append(out, part...)
	}
	return out
}
