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
	c := Course(review.Without([]review.Span{{To: 10}}, []review.Span{{From: 8, To: 99}, {From: 2, To: 4}, {From: 3, To: 5}}))
	assert.Equal(t, Course{{From: 0, To: 2}, {From: 5, To: 8}}, c)
	assert.InDelta(t, 5, c.Seconds(), 1e-12)
	for film, list := range map[float64]float64{0: 0, 1.5: 1.5, 2: 5, 4: 7, 5: 8, 9: 8} {
		assert.InDelta(t, list, c.List(film), 1e-12, film)
	}
	for list, film := range map[float64]float64{0: 0, 1: 1, 3: 2, 5: 2, 6: 3, 8: 5, 9.5: 5} {
		assert.InDelta(t, film, c.Film(list), 1e-12, list)
	}
	assert.Empty(t, review.Without([]review.Span{{To: 3}}, []review.Span{{From: 0, To: 3}}))

	// With a passage of 4 s said anew in the place of those from 2 to 4, its first half second cut.
	c = Course{{From: 0, To: 2}, {From: 10.5, To: 14}, {From: 4, To: 10}}
	for film, list := range map[float64]float64{1: 1, 2: 10.5, 5: 13.5, 5.5: 4, 11: 9.5} {
		assert.InDelta(t, list, c.List(film), 1e-12, film)
		assert.InDelta(t, film, c.Film(list), 1e-12, list)
	}
	assert.InDelta(t, 2, c.Film(10.2), 1e-12, "what comes after the cut")
	assert.InDelta(t, 5.5, c.Film(3), 1e-12)
	assert.Equal(t, []review.Span{{From: 1, To: 2}, {From: 10.5, To: 14}, {From: 4, To: 4.5}}, c.Passage(1, 6))
	assert.Equal(t, []review.Span{{From: 1, To: 2}, {From: 5.5, To: 6.5}}, c.Shown(review.Span{From: 1, To: 5}))
	assert.Equal(t, []review.Span{{From: 2, To: 5.5}}, c.Shown(review.Span{From: 10, To: 99}))
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
	got := Course(review.Without([]review.Span{{To: 12}}, cuts))
	// Speech, the first pause, speech, both halves of the second, speech, the last.
	assert.InDelta(t, 2+0.6+1+0.6+0.6+1+0.6, got.Seconds(), 0.15)
	for _, s := range cuts {
		assert.False(t, s.From < 7.5 && 7.5 < s.To, "what is shown is cut")
	}
	assert.Empty(t, pauses(rec, nil, 0.6))
	heard := plain(got.sound(voice))
	loudest := float32(0)
	for _, v := range heard {
		loudest = max(loudest, v)
	}
	assert.InDelta(t, plainLevel*math.Sqrt2, loudest, 0.01, "a tone of 0.3, to be heard while it is mended")
	sound := got.sound(voice)
	assert.InDelta(t, got.Seconds(), float64(len(sound))/review.Rate, 0.001)
}
