package texts_test

import (
	"encoding/json"
	"errors"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video"
	"turngauge/video/texts"
)

// What FFmpeg's own tools read of a clip: its chapters, and the captions when they are to
// be seen.
func TestChaptersAndCaptions(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clip.mp4")
	o := video.WriterOptions{
		Width: 64, Height: 48, RateNum: 10, AudioRate: 48000,
		Chapters: []texts.Text{{To: 1.5, Text: "Address"}, {From: 1.5, To: 4, Text: "At the top: Übergang"}},
		Captions: []texts.Text{{From: 0.5, To: 1.25, Text: "Hips first."}, {From: 1.25, To: 2, Text: "Then the arms."}, {From: 3, To: 3.5, Text: "Again"}},
	}
	w, err := video.Create(path, o)
	require.NoError(t, err)
	for range 40 {
		require.NoError(t, w.WriteFrame(image.NewRGBA(image.Rect(0, 0, 64, 48))))
		require.NoError(t, w.WriteAudio(make([]float32, 4800)))
	}
	require.NoError(t, w.Close())

	out, err := exec.Command("ffprobe", "-loglevel", "error", "-of", "json", "-show_chapters", "-show_streams", path).Output()
	if errors.Is(err, exec.ErrNotFound) && os.Getenv("CI") == "" {
		t.Skip("ffprobe is not here")
	}
	require.NoError(t, err)
	var s struct {
		Chapters []struct {
			Start string `json:"start_time"`
			End   string `json:"end_time"`
			Tags  struct {
				Title string `json:"title"`
			} `json:"tags"`
		} `json:"chapters"`
		Streams []struct {
			Type   string `json:"codec_type"`
			Name   string `json:"codec_name"`
			Frames string `json:"nb_frames"`
		} `json:"streams"`
	}
	require.NoError(t, json.Unmarshal(out, &s))
	require.Len(t, s.Chapters, 2)
	assert.Equal(t, "Address", s.Chapters[0].Tags.Title)
	assert.Equal(t, "At the top: Übergang", s.Chapters[1].Tags.Title)
	assert.Equal(t, "1.500000", s.Chapters[1].Start)
	kinds := map[string]string{}
	for _, x := range s.Streams {
		kinds[x.Name] = x.Frames
	}
	assert.Equal(t, "40", kinds["h264"], "every picture is there")
	assert.Contains(t, kinds, "mov_text")

	out, err = exec.Command("ffmpeg", "-loglevel", "error", "-i", path, "-map", "0:s:0", "-f", "srt", "-").Output()
	require.NoError(t, err)
	srt := regexp.MustCompile(`\r|<[^>]*>`).ReplaceAllString(string(out), "")
	for _, want := range []string{
		"00:00:00,500 --> 00:00:01,250\nHips first.", "00:00:01,250 --> 00:00:02,000\nThen the arms.", "00:00:03,000 --> 00:00:03,500\nAgain",
	} {
		assert.Contains(t, srt, want)
	}
}

// Texts that overlap are refused before anything is written.
func TestTextsOutOfOrder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clip.mp4")
	for _, list := range [][]texts.Text{{{From: 1, To: 1}}, {{From: 0, To: 2}, {From: 1, To: 3}}, {{From: -1, To: 2}}} {
		_, err := video.Create(path, video.WriterOptions{Width: 64, Height: 48, RateNum: 10, Captions: list})
		assert.ErrorContains(t, err, "in order and apart")
		assert.NoFileExists(t, path)
	}
}
