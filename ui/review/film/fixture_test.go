package film

import (
	"image"
	"math"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/video"
)

const shrink = 4 // the test's clips are a quarter of those that were marked

// fixture returns the marked lesson of testdata with small clips of its own: frame n of
// them is grey of level grey(n).
func fixture(t testing.TB) (l *annotations.Lesson, path string) {
	t.Helper()
	l, _, err := annotations.Load(filepath.Join("..", "..", "..", "testdata", "lessons", "marked.json"))
	require.NoError(t, err)
	dir := t.TempDir()
	l.ClickSDPx = 2.5 / shrink // pixels are as much larger
	shrunk := func(p *geometry.ImagePt) { p.X, p.Y = p.X/shrink, p.Y/shrink }
	s := &l.Swings[0]
	for i := range s.Clips {
		c := &s.Clips[i]
		c.Width, c.Height, c.SHA256, c.File = c.Width/shrink, c.Height/shrink, "", c.ID+".mp4"
		for k := range c.GroundLines {
			for e := range c.GroundLines[k].Ends {
				shrunk(&c.GroundLines[k].Ends[e])
			}
		}
		out, err := video.Create(filepath.Join(dir, c.File), video.WriterOptions{Width: c.Width, Height: c.Height, RateNum: 24, GOP: 12, CRF: 8, Preset: "ultrafast"})
		require.NoError(t, err)
		img := image.NewRGBA(image.Rect(0, 0, c.Width, c.Height))
		for n := range 58 {
			for k := range img.Pix {
				img.Pix[k] = grey(n)
			}
			require.NoError(t, out.WriteFrame(img))
		}
		require.NoError(t, out.Close())
	}
	for i := range s.Marks {
		shrunk(&s.Marks[i].At)
	}
	for i := range s.Positions {
		for k := range s.Positions[i].Frames {
			f := &s.Positions[i].Frames[k]
			f.Index, f.PTS, f.PTSUnknown = f.Index/10, 0, true
		}
	}
	return l, filepath.Join(dir, "lesson.json")
}

const l1 = "01JLESSON"

func grey(n int) uint8 { return uint8(40 + 3*n) }

// recorded writes a review: states from times on, and a voice that is given; its clock is
// the list's.
func recorded(t testing.TB, path string, length float64, voice []int16, states map[float64]review.State) review.Review {
	t.Helper()
	return recordedAs(t, "01J", path, length, voice, states)
}

func recordedAs(t testing.TB, id, path string, length float64, voice []int16, states map[float64]review.State) review.Review {
	t.Helper()
	r := review.Review{ID: id, List: "reviews/" + id + ".jsonl", Voice: "reviews/" + id + ".wav", Seconds: length}
	list, sound := r.Files(filepath.Dir(path))
	log, err := review.Create(list, l1, time.Now())
	require.NoError(t, err)
	for at := 0.0; at < length; at += 0.25 {
		if s, ok := states[at]; ok {
			require.NoError(t, log.Show(time.Duration(at*1e9), &s))
		}
		if at == math.Trunc(at) {
			require.NoError(t, log.Voice(time.Duration(at*1e9), int64(at*review.Rate)))
		}
	}
	require.NoError(t, log.Close(time.Duration(length*1e9)))
	v, err := review.CreateVoice(sound)
	require.NoError(t, err)
	require.NoError(t, v.Append(voice))
	require.NoError(t, v.Close())
	return r
}

// view shows a frame of a clip, all of it.
func view(l *annotations.Lesson, clip string, frame int) review.View {
	c := l.Swings[0].Clip(clip)
	return review.View{Clip: clip, Frame: frame, Part: [4]float64{0, 0, float64(c.Width), float64(c.Height)}}
}
