package takehome

import (
	"context"
	"image"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/curves"
	"turngauge/video"
	"turngauge/video/track"
)

// TestTheClipDrawsWhatWasFollowed hands the clip hips that walk across the grey
// picture and are lost half way: the written frames show the line where they
// are, and nothing once they are lost.
func TestTheClipDrawsWhatWasFollowed(t *testing.T) {
	t.Parallel()
	l, path := fixture(t)
	s := &l.Swings[0]
	face := s.Clip("fo")
	const lost = filmFrames / 2
	walk := func(p geometry.Point, x float64) track.Track {
		tr := track.Track{Point: int(p)}
		for n := range filmFrames {
			spot := track.Observation{State: track.Marked, X: x + 2*float64(n), Y: float64(face.Height) / 2}
			if n >= lost {
				spot = track.Observation{State: track.Lost}
			}
			tr.Observations = append(tr.Observations, spot)
		}
		return tr
	}
	motion := &Motion{Swing: s.ID, Followed: &curves.Followed{Clips: []curves.Clip{{
		ID: face.ID, Tracks: []track.Track{walk(geometry.LeadHip, 160), walk(geometry.TrailHip, 120)},
	}}}}
	out := filepath.Join(t.TempDir(), "swing.mp4")
	r := Request{Lesson: l, Path: path, MP4: out, Slow: 1, Motion: motion}
	_, err := Write(context.Background(), r)
	require.NoError(t, err)

	b, err := gather(context.Background(), &r)
	require.NoError(t, err)
	panels, moments := planned(t, b, Screen, 1)
	p := &panels[0]
	require.Equal(t, face.ID, p.clip.ID)
	k := float64(p.place.Dx()) / float64(p.part.Dx())
	src, err := video.Open(out)
	require.NoError(t, err)
	reader := video.NewReader(src, video.ReaderOptions{})
	defer func() { _ = reader.Close() }()
	at, drawn, blank := 0, 0, 0
	for _, m := range moments {
		if n := m.frames[0]; m.tale == nil && m.position == "" {
			f, err := reader.Read(context.Background(), at)
			require.NoError(t, err)
			img := image.NewRGBA(f.Bounds())
			require.NoError(t, f.Render(img, f.Bounds()))
			f.Release()
			count, sum := 0, 0.0
			for y := p.place.Min.Y; y < p.place.Max.Y; y++ {
				for x := p.place.Min.X; x < p.place.Max.X; x++ {
					if c := img.RGBAAt(x, y); int(max(c.R, c.G, c.B))-int(min(c.R, c.G, c.B)) > 60 {
						count++
						sum += float64(x)
					}
				}
			}
			switch {
			case n < lost:
				drawn++
				require.Greater(t, count, 60, "frame %d", n)
				middle := float64(p.place.Min.X) + k*(140+2*float64(n)-float64(p.part.Min.X))
				// The trail half is dashed, so the ink's middle leans to the lead end.
				assert.InDelta(t, middle+0.3*k*40, sum/float64(count), 0.2*k*40, "frame %d", n)
			case n > lost: // H.264 may keep a little of the frame before
				blank++
				assert.Less(t, count, 20, "frame %d: nothing is drawn where the hips are lost", n)
			}
		}
		at += m.hold
	}
	assert.Greater(t, drawn, 3)
	assert.Greater(t, blank, 3)
}

// TestTheMotionOfAnotherSwingIsNotDrawn keeps a stale motion out of the clip.
func TestTheMotionOfAnotherSwingIsNotDrawn(t *testing.T) {
	l, path := fixture(t)
	b, err := gather(context.Background(), &Request{Lesson: l, Path: path, MP4: "x.mp4", Motion: &Motion{Swing: "another", Followed: &curves.Followed{}}})
	require.NoError(t, err)
	sides := b.sides()
	require.NoError(t, b.motions(context.Background(), sides))
	assert.Nil(t, sides[0].motion)
}

// TestKeyPositionsAreDrawnFromTheFit: where a swing that was followed stands still
// with nothing to say, its lines are those of the marks and of the fit, so that two
// swings show the same ones whatever was hidden in one of them.
func TestKeyPositionsAreDrawnFromTheFit(t *testing.T) {
	l, path := fixture(t)
	s := &l.Swings[0]
	face := s.Clip("fo")
	r := Request{Lesson: l, Path: path, MP4: filepath.Join(t.TempDir(), "swing.mp4"), Slow: 1,
		Motion: &Motion{Swing: s.ID, Followed: &curves.Followed{Clips: []curves.Clip{{ID: face.ID}}}}}
	b, err := gather(context.Background(), &r)
	require.NoError(t, err)
	panels, _ := planned(t, b, Screen, 1)
	p := &panels[0]
	p.side.motion = r.Motion
	ref, ok := s.FrameOf(face.ID, geometry.Top)
	require.True(t, ok)
	figure := p.followed(ref.Index, geometry.Top)
	require.NotNil(t, figure)
	assert.NotEmpty(t, figure.Strokes, "of the marks: nothing was followed to here")
	between := p.followed(ref.Index+1, "")
	require.NotNil(t, between)
	assert.Empty(t, between.Strokes)
}
