package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/video"
)

// TestWhatIsAskedOfAClipsSpeed: a clip of many frames a second needs no question; one
// that plays at 30 may be anything; what its file says is the first answer.
func TestWhatIsAskedOfAClipsSpeed(t *testing.T) {
	for _, c := range []struct {
		name   string
		info   video.Info
		fps    float64
		rates  []float64
		answer string
	}{
		{"fast", video.Info{PlaybackFPS: 239.8}, 0, nil, ""},
		{"one frame", video.Info{}, 0, nil, ""},
		{"plain 30", video.Info{PlaybackFPS: 30}, 0, []float64{0, 60, 120, 240}, "life's speed"},
		{"plain 60", video.Info{PlaybackFPS: 59.94}, 0, []float64{0, 120, 240}, "life's speed"},
		{"the file says so", video.Info{PlaybackFPS: 30, FilmedFPS: 240}, 240, []float64{0, 60, 120, 240}, "filmed at 240"},
		{"an unusual rate", video.Info{PlaybackFPS: 30, FilmedFPS: 960}, 960, []float64{0, 60, 120, 240, 960}, "filmed at 960"},
		{"slowed down to 120", video.Info{PlaybackFPS: 120, FilmedFPS: 240}, 240, []float64{0, 240}, "filmed at 240"},
		{"filmed as it plays", video.Info{PlaybackFPS: 240, FilmedFPS: 240}, 0, nil, ""},
	} {
		f := filmingOf(&c.info)
		assert.Equal(t, c.fps, f.fps, c.name)
		assert.Equal(t, c.rates, f.rates, c.name)
		if on, words := f.chosen(); len(words) > 0 {
			assert.Equal(t, c.answer, words[on], c.name)
		}
	}
}

// TestTheRateGoesIntoTheLesson adds two clips, one of them as the coach says that it
// was filmed.
func TestTheRateGoesIntoTheLesson(t *testing.T) {
	h := newTest(t, &annotations.Lesson{Swings: []annotations.Swing{{ID: "s1"}}})
	h.r.Shown, h.r.doors.Films = true, func() {}
	for i, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		info := video.Info{Width: 320, Height: 180, PlaybackFPS: 30, TimeBase: [2]int{1, 90000}}
		c := &newClip{path: view.String() + ".mp4", info: info, ready: true, view: view, filming: filmingOf(&info)}
		c.filming.choose(3 * i)
		h.r.clips = append(h.r.clips, c)
	}
	h.r.addClips()
	require.Empty(t, h.Alerts)
	clips := h.Lesson().Swings[0].Clips
	require.Len(t, clips, 2)
	assert.Equal(t, [2]float64{0, 240}, [2]float64{clips[0].FilmedFPS, clips[1].FilmedFPS})
}
