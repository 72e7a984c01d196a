package film

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/ui/takehome"
	"turngauge/ui/x11/xtest"
	"turngauge/video/videotest"
)

// BenchmarkFilm makes the film of a review, beside FFmpeg's command line encoding the
// finished frames and the sound with the same settings. It tells frames a second, and how
// fast it is in terms of FFmpeg, by the clock and in processor time: above 1 is faster. The
// test's own clips are small and grey, and the review is half a minute in which the picture
// hardly rests; TURNGAUGE_LESSON names a lesson document with a review to take instead.
func BenchmarkFilm(b *testing.B) {
	ffmpeg := xtest.Need(b, "ffmpeg")
	for _, size := range []takehome.Size{takehome.Screen, takehome.Full, takehome.Phone} {
		w, h := size.Pixels()
		name := map[bool]string{false: "wide", true: "upright"}[h > w]
		if size == takehome.Full {
			name = "full"
		}
		b.Run(name, func(b *testing.B) {
			r := Request{Size: size}
			if r.Path = os.Getenv("TURNGAUGE_LESSON"); r.Path != "" {
				l, _, err := annotations.Load(r.Path)
				require.NoError(b, err)
				require.NotEmpty(b, l.Reviews)
				r.Lesson, r.Review = l, l.Reviews[len(l.Reviews)-1]
			} else {
				r.Lesson, r.Path = fixture(b)
				r.Review = restless(b, r.Lesson, r.Path)
			}
			r.MP4 = filepath.Join(b.TempDir(), "ours.mp4")
			videotest.BesideFFmpeg(b, ffmpeg, r.MP4, func() error {
				_, err := Write(b.Context(), r)
				return err
			}, "-c:a", "aac", "-b:a", "128k")
		})
	}
}

// restless is a review of half a minute: both clips played slowly, at one frame of the
// lesson after the other, the pointer about them, then standing at the top.
func restless(b *testing.B, l *annotations.Lesson, path string) review.Review {
	s := &l.Swings[0]
	fo, dl := s.ClipOf(geometry.FaceOn).ID, s.ClipOf(geometry.DownTheLine).ID
	states := map[float64]review.State{}
	for i := range 80 {
		at, n := 0.25*float64(i), i%58
		states[at] = review.State{
			Swing: s.ID, Views: []review.View{view(l, fo, n), view(l, dl, n)},
			Pointer: &review.Pointer{X: 200 + 100*math.Sin(at), Y: 150},
		}
	}
	top, _ := s.FrameOf(fo, geometry.Top)
	states[20] = review.State{
		Swing: s.ID, Views: []review.View{view(l, fo, top.Index), view(l, dl, top.Index)},
		Explained: true, Lines: []string{"hip line", "shoulder line"},
	}
	voice := make([]int16, 30*review.Rate)
	for i := range voice {
		voice[i] = int16(9000 * math.Sin(float64(i)*0.05) * math.Sin(float64(i)*1e-4))
	}
	return recorded(b, path, 30, voice, states)
}
