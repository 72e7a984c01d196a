package film

import (
	"math"
	"slices"

	"turngauge/annotations/review"
)

// Course is what is left of a review's time, as stretches of its clock, one after the other:
// in order, but for passages said anew, which lie behind all others.
type Course []review.Span

// course cuts what the coach cut, and shortens pauses.
func course(told *review.Telling, r *review.Review) Course {
	out := slices.Clone(r.Cuts)
	if r.LongestPause > 0 {
		out = append(out, pauses(told.Recorded, told.Voice, r.LongestPause)...)
	}
	return review.Without(told.Order, out)
}

// Seconds is how long the film is.
func (c Course) Seconds() (sum float64) {
	for _, s := range c {
		sum += s.To - s.From
	}
	return sum
}

// List returns the time on the review's clock that a time of the film shows.
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

// Film returns the time of the film at which a time on the review's clock is shown, or where
// it was cut out, what comes after it.
func (c Course) Film(t float64) float64 {
	at, next, found := 0.0, math.Inf(1), c.Seconds()
	for _, s := range c {
		if s.From <= t && t <= s.To {
			return at + t - s.From
		}
		if s.From > t && s.From < next {
			next, found = s.From, at
		}
		at += s.To - s.From
	}
	return found
}

// Passage is what is shown of the review's clock from one time of the film to another.
func (c Course) Passage(from, to float64) (out []review.Span) {
	at := 0.0
	for _, s := range c {
		part := review.Span{From: s.From + max(from-at, 0), To: s.From + min(to-at, s.To-s.From)}
		if part.To > part.From {
			out = append(out, part)
		}
		at += s.To - s.From
	}
	return out
}

// Shown are the stretches of the film in which a stretch of the review's clock is shown, in
// order; where they meet they are one.
func (c Course) Shown(of review.Span) (out []review.Span) {
	at := 0.0
	for _, s := range c {
		from, to := at+max(of.From-s.From, 0), at+min(of.To, s.To)-s.From
		at += s.To - s.From
		switch n := len(out); {
		case to <= from:
		case n > 0 && from-out[n-1].To < 1e-6:
			out[n-1].To = to
		default:
			out = append(out, review.Span{From: from, To: to})
		}
	}
	return out
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
	levels, loud := powers(voice)
	if len(levels) == 0 {
		return nil
	}
	limit := loud * math.Pow(10, -belowSpeech/10.0)
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

// powers are the mean squares of the pieces of a voice, and what its loudest twentieth reaches.
func powers(voice []float32) (levels []float64, loud float64) {
	const piece = int(pieceSeconds * review.Rate)
	for i := 0; i+piece <= len(voice); i += piece {
		sum := 0.0
		for _, v := range voice[i : i+piece] {
			sum += float64(v) * float64(v)
		}
		levels = append(levels, sum/float64(piece))
	}
	if len(levels) == 0 {
		return nil, 0
	}
	sorted := slices.Sorted(slices.Values(levels))
	return levels, sorted[int(loudShare*float64(len(sorted)-1))]
}

// plainLevel is the root mean square to which plain brings what is loud, and mostGain by how much
// it makes a voice louder: there may be none.
const (
	plainLevel = 0.2
	mostGain   = 30
)

// plain is a voice that can be heard at once, while it is mended: by one factor, not to its
// loudness, which takes seconds for each minute.
func plain(voice []float32) []float32 {
	_, loud := powers(voice)
	if loud == 0 {
		return voice
	}
	gain := float32(min(plainLevel/math.Sqrt(loud), mostGain))
	for i := range voice {
		voice[i] = min(max(voice[i]*gain, -1), 1)
	}
	return voice
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
