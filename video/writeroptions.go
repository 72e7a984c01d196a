package video

import (
	"fmt"

	"turngauge/video/texts"
)

// WriterOptions describe the clip a Writer makes. Zero values take the
// defaults named beside them.
type WriterOptions struct {
	Width, Height      int          // pixels; even numbers of at least 16
	RateNum, RateDen   int          // frames per second as a fraction; RateDen 0 means 1
	CRF                int          // x264 constant rate factor, 0 means 20; smaller is better and larger on disk
	Preset             string       // x264 speed preset, "" means "veryfast"
	GOP                int          // frames between key frames, 0 means 30
	BFrames            int          // bidirectional frames in a row, 0 means none
	AudioRate          int          // samples per second of the mono sound track, 0 means no sound
	AudioBitRate       int          // bits per second, 0 means 128000
	RotationDeg        int          // clockwise rotation a player must apply to show the picture upright: 0, 90, 180 or 270
	Comment            string       // stored in the file's metadata
	Chapters, Captions []texts.Text // in order and apart; players list and show them
}

const (
	defaultCRF    = 20
	defaultGOP    = 30
	defaultPreset = "veryfast"
	defaultAAC    = 128000
	writerThreads = "2"
)

func (o WriterOptions) withDefaults() (WriterOptions, error) {
	if o.Width < 16 || o.Height < 16 || o.Width%2 != 0 || o.Height%2 != 0 || o.Width > 16384 || o.Height > 16384 {
		return o, fmt.Errorf("video: a clip of %d x %d pixels can't be written: width and height must be even and between 16 and 16384", o.Width, o.Height)
	}
	if o.RateDen == 0 {
		o.RateDen = 1
	}
	if o.RateNum <= 0 || o.RateDen < 0 {
		return o, fmt.Errorf("video: a rate of %d/%d frames per second can't be written", o.RateNum, o.RateDen)
	}
	switch o.RotationDeg {
	case 0, 90, 180, 270:
	default:
		return o, fmt.Errorf("video: a clip can be rotated by 0, 90, 180 or 270 degrees, not %d", o.RotationDeg)
	}
	if o.CRF == 0 {
		o.CRF = defaultCRF
	}
	if o.GOP == 0 {
		o.GOP = defaultGOP
	}
	if o.Preset == "" {
		o.Preset = defaultPreset
	}
	if o.AudioBitRate == 0 {
		o.AudioBitRate = defaultAAC
	}
	return o, nil
}
