package demo

import (
	"fmt"
	"image"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/video"
	"turngauge/video/motion"
)

// retime writes a clip anew at a playback rate from frames of another, as players and
// phones do that store slow motion in ordinary files.
func retime(t *testing.T, from, to string, fps int, frames []int) {
	t.Helper()
	src, err := video.Open(from)
	require.NoError(t, err)
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(64 << 20)})
	defer r.Close()
	info := src.Info()
	w, err := video.Create(to, video.WriterOptions{
		Width: info.Width, Height: info.Height, RateNum: fps, RateDen: 1, CRF: 21, Preset: "veryfast", GOP: fps,
	})
	require.NoError(t, err)
	im := image.NewRGBA(image.Rect(0, 0, info.Width, info.Height))
	for _, n := range frames {
		f, err := r.Read(t.Context(), n)
		require.NoError(t, err)
		require.NoError(t, f.Render(im, f.Bounds()))
		f.Release()
		require.NoError(t, w.WriteFrame(im))
	}
	require.NoError(t, w.Close())
}

// every returns each step-th frame from one to another.
func every(from, to, step int) []int {
	var out []int
	for n := from; n < to; n += step {
		out = append(out, n)
	}
	return out
}

// proposeIn re-times a clip and looks for key positions in it, as the window does where
// nothing tells of its speed; impact is that of the clip as it was.
func proposeIn(t *testing.T, path string, fps int, frames []int, impact int) (at map[string]motion.Proposal, slow float64, changes bool) {
	t.Helper()
	to := filepath.Join(t.TempDir(), "retimed.mp4")
	retime(t, path, to, fps, frames)
	src, err := video.Open(to)
	require.NoError(t, err)
	r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(64 << 20)})
	defer r.Close()
	strike, _ := slices.BinarySearch(frames, impact)
	found, slow, changes, err := motion.ProposeAt(t.Context(), r, image.Pt(192, 108), src.Seconds(strike), motion.Slows)
	if err != nil {
		require.ErrorIs(t, err, motion.ErrNoSwing)
	}
	at = map[string]motion.Proposal{}
	for _, p := range found {
		at[p.Name] = p
	}
	return at, slow, changes
}

// TestRetimedClips re-times the demo's clips. As slow motion is stored, every frame of 240
// a second, or one in two or four, played at 30 or 60 a second, and at life's speed: the
// speed is told from the pictures, and address and top are proposed where they are by
// construction, which is in truth.json. And as phones share it with slow motion rendered
// into part of the clip, one in eight frames, then all, then one in eight, at 30 a
// second: that is noticed wherever in the swing it begins or ends.
func TestRetimedClips(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	create(t, dir, Options{Shrink: 4, EndSeconds: 1.25})
	truth, err := LoadTruth(filepath.Join(dir, TruthFile))
	require.NoError(t, err)
	for _, c := range truth.Clips {
		at := map[geometry.PositionName]int{}
		for _, p := range truth.Positions {
			for _, f := range p.Frames {
				if f.Clip == c.ID {
					at[p.Name] = f.Index
				}
			}
		}
		address, top, impact := at[geometry.Address], at[geometry.Top], at[geometry.Impact]
		for _, x := range []struct{ step, fps int }{{1, 30}, {2, 30}, {4, 30}, {8, 30}, {1, 60}} {
			t.Run(fmt.Sprintf("%s one in %d at %d", c.ID, x.step, x.fps), func(t *testing.T) {
				found, slow, changes := proposeIn(t, filepath.Join(dir, c.File), x.fps, every(0, c.Frames, x.step), impact)
				assert.InDelta(t, rate/float64(x.step)/float64(x.fps), slow, 0)
				assert.False(t, changes)
				for _, name := range []geometry.PositionName{geometry.Address, geometry.Top} {
					p, ok := found[string(name)]
					if assert.True(t, ok, name) {
						within := 0.06
						if p.Unsure { // the coach is told to look
							within = 0.1
						}
						assert.InDelta(t, float64(at[name])/rate, float64(p.Frame*x.step)/rate, within, name)
					}
				}
			})
		}
		for _, x := range []struct {
			name     string
			from, to int
		}{
			{"slow from a third of the backswing on", (2*address + top) / 3, c.Frames},
			{"slow from the middle of the downswing on", (top + impact) / 2, c.Frames},
			{"slow from the address to a little after the top", address - 10, top + 24},
		} {
			t.Run(c.ID+" "+x.name, func(t *testing.T) {
				frames := append(append(every(0, x.from, 8), every(x.from, x.to, 1)...), every(x.to, c.Frames, 8)...)
				_, _, changes := proposeIn(t, filepath.Join(dir, c.File), 30, frames, impact)
				assert.True(t, changes)
			})
		}
	}
}
