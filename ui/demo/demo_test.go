package demo

import (
	"context"
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
	"turngauge/video"
)

// small makes a demo that takes a second or two: small pictures, ended soon
// after the strike.
var small = Options{Shrink: 6, EndSeconds: golfer.ImpactTime + 0.05}

// tiny makes a few pictures before the swing starts.
var tiny = Options{Shrink: 6, EndSeconds: -0.28}

func create(t *testing.T, dir string, o Options) string {
	t.Helper()
	path, err := CreateWith(t.Context(), dir, o, nil)
	require.NoError(t, err)
	return path
}

func TestCreate(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var last, total int
	path, err := CreateWith(t.Context(), dir, small, func(done, all int) {
		assert.Equal(t, last+1, done, "one picture after the other")
		last, total = done, all
	})
	require.NoError(t, err)
	assert.Equal(t, total, last)
	assert.Equal(t, filepath.Join(dir, LessonFile), path)

	truth, err := LoadTruth(filepath.Join(dir, TruthFile))
	require.NoError(t, err)
	require.Len(t, truth.Clips, 2)
	for _, c := range truth.Clips {
		t.Run(c.View, func(t *testing.T) { checkClip(t, dir, truth, &c) })
	}
	checkLessons(t, dir, truth)
}

func checkClip(t *testing.T, dir string, truth *Truth, c *TruthClip) {
	path := filepath.Join(dir, c.File)
	src, err := video.Open(path)
	require.NoError(t, err)
	defer src.Close()
	info := src.Info()
	assert.Equal(t, c.Frames, src.Frames())
	assert.Equal(t, []int{c.Width, c.Height}, []int{info.Width, info.Height})
	assert.InDelta(t, 240, info.RateFPS, 0.01)
	assert.True(t, info.HasAudio)
	assert.InDelta(t, 1.0/240, src.Seconds(1), 1e-6)
	for _, p := range truth.Positions {
		f := p.Frame(c.ID)
		if f == nil {
			continue
		}
		assert.Equal(t, src.PTS(f.Index), f.PTS, "%s", p.Name)
		assert.InDelta(t, p.Seconds, c.StartSeconds+f.Seconds, 0.5/240+1e-6, "the picture nearest to %s", p.Name)
		cam := c.Camera()
		for name, q := range f.Points {
			at, err := cam.Project(geometry.WorldPt{X: q[0], Y: q[1], Z: q[2]})
			require.NoError(t, err)
			assert.InDelta(t, at.X, f.Pixels[name][0], 1e-9, "%s at %s", name, p.Name)
			assert.InDelta(t, at.Y, f.Pixels[name][1], 1e-9, "%s at %s", name, p.Name)
		}
	}

	sound, err := video.ReadAudio(t.Context(), path)
	require.NoError(t, err)
	at := sound.Start + float64(loudest(sound.Samples))/float64(sound.Rate)
	assert.InDelta(t, c.StrikeSeconds, at, 0.003, "the strike is heard when it is seen, seconds")
	assert.InDelta(t, golfer.ImpactTime-c.StartSeconds, c.StrikeSeconds, 1e-9)
}

// loudest returns where the strongest sample is.
func loudest(s []float32) int {
	best := 0
	for i, v := range s {
		if math.Abs(float64(v)) > math.Abs(float64(s[best])) {
			best = i
		}
	}
	return best
}

func checkLessons(t *testing.T, dir string, truth *Truth) {
	l, warnings, err := annotations.Load(filepath.Join(dir, LessonFile))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	require.Len(t, l.Swings, 1)
	s := l.Swings[0]
	assert.Empty(t, s.Marks)
	assert.Empty(t, s.Positions)
	require.Len(t, s.Clips, 2)
	for i, c := range s.Clips {
		sum, err := video.Fingerprint(filepath.Join(dir, c.File))
		require.NoError(t, err)
		assert.Equal(t, sum, c.SHA256)
		require.Len(t, c.GroundLines, 1)
		for k, e := range c.GroundLines[0].Ends {
			want := truth.Clips[i].StickEndsPx[k]
			assert.InDelta(t, 0, math.Hypot(e.X-want[0], e.Y-want[1]), 1.5, "end %d of the stick in %s, pixels", k, c.File)
		}
	}

	l, _, err = annotations.Load(filepath.Join(dir, MarkedFile))
	require.NoError(t, err)
	s = l.Swings[0]
	assert.NotEqual(t, truth.Clips[0].ID, "")
	m, ok := s.Mark("fo", geometry.Address, geometry.Buckle)
	require.True(t, ok)
	assert.Equal(t, geometry.Placed, m.State, "the buckle is seen face-on")
	m, ok = s.Mark("dl", geometry.Address, geometry.LeadHip)
	require.True(t, ok)
	assert.Equal(t, geometry.Hidden, m.State, "the trail side hides the lead hip down the line")
	m, ok = s.Mark("fo", geometry.Address, geometry.Tailbone)
	require.True(t, ok)
	assert.Equal(t, geometry.Hidden, m.State, "the tailbone is behind the golfer")

	sum, n := 0.0, 0.0
	for _, m := range s.Marks {
		if m.State != geometry.Placed {
			continue
		}
		at, _ := truth.Position(m.Position).Frame(m.Clip).Pixel(m.Point)
		sum += math.Pow(m.At.X-at.X, 2) + math.Pow(m.At.Y-at.Y, 2)
		n += 2
	}
	require.Greater(t, n, 200.0)
	assert.InEpsilon(t, clickSigma/6, math.Sqrt(sum/n), 0.15, "click noise, pixels at a sixth of the size")
}

func TestCreateAgain(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := create(t, dir, tiny)
	stat := func(name string) os.FileInfo {
		info, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		return info
	}
	clip := "mara-face-on.mp4"
	first := stat(clip)

	// A coach works in the lesson: a complete demo is left alone.
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	l.Notes = "worked on"
	require.NoError(t, annotations.Save(path, l))
	create(t, dir, tiny)
	assert.Equal(t, first.ModTime(), stat(clip).ModTime(), "nothing is made twice")
	l, _, err = annotations.Load(path)
	require.NoError(t, err)
	assert.Equal(t, "worked on", l.Notes)

	// A cut-off clip is made again, and the same bytes come out; the coach's
	// lesson is kept beside the new one.
	before, err := os.ReadFile(filepath.Join(dir, clip))
	require.NoError(t, err)
	require.NoError(t, os.Truncate(filepath.Join(dir, clip), 1000))
	create(t, dir, tiny)
	after, err := os.ReadFile(filepath.Join(dir, clip))
	require.NoError(t, err)
	assert.Equal(t, before, after, "the same version makes the same bytes")
	l, _, err = annotations.Load(filepath.Join(dir, "lesson-kept-1.json"))
	require.NoError(t, err)
	assert.Equal(t, "worked on", l.Notes)
	l, _, err = annotations.Load(path)
	require.NoError(t, err)
	assert.Empty(t, l.Notes)
}

func TestCancel(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(t.Context())
	_, err := CreateWith(ctx, dir, small, func(done, total int) {
		if done == 5 {
			cancel()
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing half made stays behind")
}

func TestSecondVisit(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	o := tiny
	o.Second = true
	create(t, dir, o)
	first, err := LoadTruth(filepath.Join(dir, TruthFile))
	require.NoError(t, err)
	second, err := LoadTruth(filepath.Join(dir, SecondTruthFile))
	require.NoError(t, err)
	gain := second.Position(geometry.Top).Measures["pelvis turn"] - first.Position(geometry.Top).Measures["pelvis turn"]
	assert.InDelta(t, 10, gain, 1, "degrees more at the top")
	l, _, err := annotations.Load(filepath.Join(dir, SecondLessonFile))
	require.NoError(t, err)
	assert.Equal(t, "2026-05-30", l.Date)
	assert.Equal(t, "mara-second-face-on.mp4", l.Swings[0].Clips[0].File)
}

func TestUnusableFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Create(t.Context(), filepath.Join(file, "demo"), nil)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "can't be made")
}

func TestLoadTruthErrors(t *testing.T) {
	dir := t.TempDir()
	_, err := LoadTruth(filepath.Join(dir, "none.json"))
	require.Error(t, err)
	path := filepath.Join(dir, "old.json")
	require.NoError(t, os.WriteFile(path, []byte(`{"version": 0}`), 0o600))
	_, err = LoadTruth(path)
	require.ErrorContains(t, err, "another version")
	require.NoError(t, os.WriteFile(path, []byte(`{`), 0o600))
	_, err = LoadTruth(path)
	require.ErrorContains(t, err, "not the truth of a demo")
}

// BenchmarkDraw draws full-size pictures through the downswing, one after the
// other on one processor.
func BenchmarkDraw(b *testing.B) {
	for _, p := range phones() {
		b.Run(p.view.String(), func(b *testing.B) {
			f := newFilm(golfer.Mara(), p, Options{})
			h := f.newHand()
			im := image.NewRGBA(image.Rect(0, 0, width, height))
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				h.draw(im, i*7%f.frames)
			}
		})
	}
}
