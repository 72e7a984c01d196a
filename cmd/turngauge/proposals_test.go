package main

import (
	"image"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/video"
	"turngauge/video/motion"
	"turngauge/video/sound"
)

// tolProposal is how far a proposed key position may lie from the truth, in
// frames at 240 a second: asked for by the job.
const tolProposal = 3

// TestMotionFindsTheDemoSwing proposes key positions from each demo clip's
// sound and pictures and reports how far they lie from the truth.
func TestMotionFindsTheDemoSwing(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	for _, c := range truth.Clips {
		t.Run(c.View, func(t *testing.T) {
			path := filepath.Join(dir, c.File)
			audio, err := video.ReadAudio(t.Context(), path)
			require.NoError(t, err)
			strikes := sound.FindStrikes(audio.Samples, audio.Rate)
			require.NotEmpty(t, strikes)
			src, err := video.Open(path)
			require.NoError(t, err)
			r := video.NewReader(src, video.ReaderOptions{})
			defer r.Close()
			got, err := motion.Propose(t.Context(), r, image.Pt(192, 108), audio.Start+strikes[0].Seconds)
			require.NoError(t, err)
			require.Len(t, got, 3)
			for _, p := range got {
				want := truth.Position(geometry.PositionName(p.Name)).Frame(c.ID).Index
				t.Logf("%s: %+d frames", p.Name, p.Frame-want)
				assert.InDelta(t, want, p.Frame, tolProposal, "%s, frames", p.Name)
				assert.False(t, p.Unsure, "%s", p.Name)
			}
		})
	}
}
