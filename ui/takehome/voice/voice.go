// Package voice lays what a coach says, from a file of sound, under an annotated clip.
package voice

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"turngauge/annotations/place"
	"turngauge/video"
)

// Track is sound that goes along with the pictures. A nil one is silence that need not be
// written.
type Track struct {
	Rate    int // samples a second
	samples []float32
	written int
}

// mostBytes bounds a WAV file: an hour of stereo at 48 kHz.
const mostBytes = 700 << 20

// Read reads a WAV file, or the sound of a clip; "" is nobody's voice. The error says what
// to do.
func Read(ctx context.Context, path string) (*Track, error) {
	if path == "" {
		return nil, nil
	}
	wrong := func(err error) error {
		return fmt.Errorf("the voice can't be read from %s: %s. Give a WAV file, or a clip whose sound it is", filepath.Base(path), strings.TrimSuffix(err.Error(), "."))
	}
	if strings.EqualFold(filepath.Ext(path), ".wav") {
		data, err := place.Read(path, mostBytes)
		if err != nil {
			return nil, wrong(err)
		}
		rate, samples, err := readWave(data)
		if err != nil {
			return nil, wrong(err)
		}
		return &Track{Rate: rate, samples: samples}, nil
	}
	a, err := video.ReadAudio(ctx, path)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, wrong(err)
	}
	return &Track{Rate: a.Rate, samples: a.Samples}, nil
}

// SampleRate is that of the track, 0 for none.
func (t *Track) SampleRate() int {
	if t == nil {
		return 0
	}
	return t.Rate
}

// Frames is for how many frames of a clip of rate frames a second the track lasts.
func (t *Track) Frames(rate int) int {
	if t == nil {
		return 0
	}
	return (len(t.samples)*rate + t.Rate - 1) / t.Rate
}

// Upto returns the samples that belong before the end of frame n, counted from 1, and were
// not returned yet; silence follows the last.
func (t *Track) Upto(n, rate int) []float32 {
	if t == nil {
		return nil
	}
	end := n * t.Rate / rate
	out := make([]float32, max(end-t.written, 0))
	if t.written < len(t.samples) {
		copy(out, t.samples[t.written:])
	}
	t.written = max(end, t.written)
	return out
}
