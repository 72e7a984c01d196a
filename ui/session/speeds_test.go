package session

import (
	"image"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/video"
)

// stretch writes a clip anew with the same frames, played at 30 a second.
func stretch(t *testing.T, from, to string) {
	t.Helper()
	src, err := video.Open(from)
	require.NoError(t, err)
	info := src.Info()
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(64 << 20)})
	defer r.Close()
	w, err := video.Create(to, video.WriterOptions{Width: info.Width, Height: info.Height, RateNum: 30, RateDen: 1, CRF: 21, Preset: "veryfast", GOP: 30})
	require.NoError(t, err)
	im := image.NewRGBA(image.Rect(0, 0, info.Width, info.Height))
	for n := range src.Frames() {
		f, err := r.Read(t.Context(), n)
		require.NoError(t, err)
		require.NoError(t, f.Render(im, f.Bounds()))
		f.Release()
		require.NoError(t, w.WriteFrame(im))
	}
	require.NoError(t, w.Close())
}

// TestSlowMotionIsNoticedAskedAboutAndSet opens the demo's face-on clip stretched from 240
// frames a second to 30, of which nothing tells. Once impact is set, address and top are
// proposed and the coach is asked, once; his answer puts the clip on life's clock at once,
// and undo takes it off again.
func TestSlowMotionIsNoticedAskedAboutAndSet(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path, err := demo.CreateWith(t.Context(), dir, demo.Options{Shrink: 4, EndSeconds: 1.2}, nil)
	require.NoError(t, err)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	l, _, err := annotations.Load(path)
	require.NoError(t, err)
	sw := &l.Swings[0]
	sw.Clips = sw.Clips[:1]
	c := &sw.Clips[0]
	stretched := filepath.Join(dir, "stretched.mp4")
	stretch(t, filepath.Join(dir, c.File), stretched)
	c.File, c.SHA256 = stretched, ""
	impact := 0
	for _, f := range truth.Position(geometry.Impact).Frames {
		if f.Clip == c.ID {
			impact = f.Index
		}
	}
	sw.Positions = []annotations.Position{{Name: geometry.Impact, Frames: []annotations.FrameRef{{Clip: c.ID, Index: impact, PTSUnknown: true}}}}
	sw.Marks = nil

	b := newBed(t)
	asked := 0
	b.env.AskSpeed = func() { asked++ }
	s := b.open(l)
	clip := func() *annotations.Clip { return &s.Bench.Swing().Clips[0] }
	b.until("the question", s, func() bool { return asked > 0 })
	assert.InDelta(t, 240, s.LikelyFPS(clip()), 0)
	_, ok := s.Bench.TickOf(0, geometry.Top)
	assert.True(t, ok, "the top is proposed")

	was := s.Films[0]
	require.NoError(t, s.Edit(annotations.SetSpeed{Swing: s.Bench.Swing().ID, Clip: c.ID, FilmedFPS: 240}))
	b.until("the clip on life's clock", s, func() bool { return s.Films[0] != nil && s.Films[0] != was })
	assert.InDelta(t, 1.0/240, s.Films[0].Seconds(1), 1e-9)
	assert.Zero(t, s.LikelyFPS(clip()))
	was = s.Films[0]
	s.Bench.Editor().Undo()
	b.until("the clip on its own clock", s, func() bool { return s.Films[0] != nil && s.Films[0] != was })
	assert.InDelta(t, 1.0/30, s.Films[0].Seconds(1), 1e-9)
	b.until("the end of the search", s, func() bool { return !s.Searching() })
	assert.Equal(t, 1, asked, "once")
}
