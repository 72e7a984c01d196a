package film

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/annotations/review"
)

// Times of the film and of the list belong together, about cuts that overlap and reach
// beyond the end.
func TestCourse(t *testing.T) {
	c := without(10, []review.Span{{From: 8, To: 99}, {From: 2, To: 4}, {From: 3, To: 5}})
	assert.Equal(t, Course{{From: 0, To: 2}, {From: 5, To: 8}}, c)
	assert.InDelta(t, 5, c.Seconds(), 1e-12)
	for film, list := range map[float64]float64{0: 0, 1.5: 1.5, 2: 5, 4: 7, 5: 8, 9: 8} {
		assert.InDelta(t, list, c.List(film), 1e-12, film)
	}
	for list, film := range map[float64]float64{0: 0, 1: 1, 3: 2, 5: 2, 6: 3, 8: 5, 9.5: 5} {
		assert.InDelta(t, film, c.Film(list), 1e-12, list)
	}
	assert.Empty(t, without(3, []review.Span{{From: 0, To: 3}}))
}

// Of pauses the middles are cut: 0.6 s are left of each, also of the noise of a room, and
// nothing where a picture changes meanwhile.
func TestPauses(t *testing.T) {
	voice := make([]float32, 12*review.Rate)
	for i := range voice {
		level := 0.001
		switch at := float64(i) / review.Rate; {
		case at < 2, at >= 5 && at < 6, at >= 9 && at < 10:
			level = 0.3
		}
		voice[i] = float32(level * math.Sin(float64(i)*0.3))
	}
	rec := &review.Recorded{Seconds: 12, Steps: []review.Step{{At: 7.5}}}
	cuts := pauses(rec, voice, 0.6)
	got := without(12, cuts)
	// Speech, the first pause, speech, both halves of the second, speech, the last.
	assert.InDelta(t, 2+0.6+1+0.6+0.6+1+0.6, got.Seconds(), 0.15)
	for _, s := range cuts {
		assert.False(t, s.From < 7.5 && 7.5 < s.To, "what is shown is cut")
	}
	assert.Empty(t, pauses(rec, nil, 0.6))
	sound := got.sound(voice)
	assert.InDelta(t, got.Seconds(), float64(len(sound))/review.Rate, 0.001)
}
