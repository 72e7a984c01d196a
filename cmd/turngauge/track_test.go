package main

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/ui/demo"
	"turngauge/video"
	"turngauge/video/track"
)

// What a track between key positions may be off by at 1080p, pixels, in the
// median and in nineteen of twenty frames: asked for by the job.
const tolTrackMedian, tolTrack95 = 1.5, 4.0

// trackError is one point in one frame.
type trackError struct {
	point geometry.Point
	off   float64 // pixels from the truth
	sigma float64 // what the track expects in X and in Y
	lost  bool
	moves bool // the point moves between the marks before and after
}

// TestTracksOfTheDemoSwing marks the demo swing truly at its key positions
// from address to impact, follows the marks, and reports how far the tracks
// lie from the truth wherever the point can be seen. A stretch counts whose
// marks on both sides can be placed.
func TestTracksOfTheDemoSwing(t *testing.T) {
	t.Parallel()
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	var all []trackError
	for _, c := range truth.Clips {
		t.Run(c.View, func(t *testing.T) {
			errs := trackErrors(t, truth, &c, filepath.Join(dir, c.File))
			reportTracks(t, errs)
			all = append(all, errs...)
		})
	}
	off := func(e trackError) float64 { return e.off }
	any := func(trackError) bool { return true }
	moving := func(e trackError) bool { return e.moves }
	for _, c := range []struct {
		name string
		of   func(trackError) bool
	}{{"all points", any}, {"points that move", moving}} {
		got, lost := shares(all, c.of, off)
		t.Logf("%s: median %.2f px, 95%% %.2f px of %d; %.0f%% lost", c.name, rank(got, 0.5), rank(got, 0.95), len(got), 100*lost)
		assert.Less(t, rank(got, 0.5), tolTrackMedian, "%s, median, pixels", c.name)
		assert.Less(t, rank(got, 0.95), tolTrack95, "%s, 95%%, pixels", c.name)
		assert.Less(t, lost, 0.5, "%s, part lost", c.name)
	}
	// A Rayleigh variable, the distance of an error normal in X and in Y, is
	// below 2.45 sigma in 95 of a hundred cases: the standard deviations are
	// to be neither far too small nor far too large.
	got, _ := shares(all, moving, func(e trackError) float64 { return e.off / e.sigma })
	t.Logf("distance over sigma: median %.2f, 95%% %.2f", rank(got, 0.5), rank(got, 0.95))
	assert.Greater(t, rank(got, 0.95), 1.2)
	assert.Less(t, rank(got, 0.95), 4.0)
}

// trackErrors follows one clip's marks.
func trackErrors(t *testing.T, truth *demo.Truth, c *demo.TruthClip, path string) []trackError {
	t.Helper()
	var keys []*demo.TruthFrame
	var marks []track.Placed
	for _, name := range geometry.KeyPositions {
		if name == geometry.Finish {
			continue
		}
		f := truth.Position(name).Frame(c.ID)
		keys = append(keys, f)
		for p := range geometry.Ball {
			if at, visible := f.Pixel(p); visible {
				marks = append(marks, track.Placed{Point: int(p), Frame: f.Index, X: at.X, Y: at.Y})
			}
		}
	}
	src, err := video.Open(path)
	require.NoError(t, err)
	r := video.NewReader(src, video.ReaderOptions{})
	defer r.Close()
	tracks, err := track.Follow(t.Context(), r, marks, track.Options{})
	require.NoError(t, err)

	const every = 3 // frames looked at
	var frames []int
	for n := keys[0].Index + 1; n < keys[len(keys)-1].Index; n += every {
		frames = append(frames, n)
	}
	between, err := demo.Between(c.ID, frames)
	require.NoError(t, err)
	var out []trackError
	for _, tr := range tracks {
		p := geometry.Point(tr.Point)
		for k := 1; k < len(keys); k++ {
			a, before := keys[k-1].Pixel(p)
			b, after := keys[k].Pixel(p)
			if !before || !after {
				continue
			}
			assert.Equal(t, track.Marked, tr.At(keys[k].Index).State)
			assert.Equal(t, a.X, tr.At(keys[k-1].Index).X, "through the mark")
			for i := range between {
				f := &between[i]
				at, visible := f.Pixel(p)
				if f.Index <= keys[k-1].Index || f.Index >= keys[k].Index || !visible {
					continue
				}
				s := tr.At(f.Index)
				out = append(out, trackError{
					point: p, lost: s.State == track.Lost, off: math.Hypot(s.X-at.X, s.Y-at.Y), sigma: s.Sigma,
					moves: math.Hypot(b.X-a.X, b.Y-a.Y) > 5,
				})
			}
		}
	}
	return out
}

// shares returns what is told of the errors that were not lost, in rising
// order, and the part of those that were.
func shares(errs []trackError, of func(trackError) bool, tell func(trackError) float64) (told []float64, lost float64) {
	n := 0
	for _, e := range errs {
		if !of(e) {
			continue
		}
		n++
		if e.lost {
			lost++
		} else {
			told = append(told, tell(e))
		}
	}
	slices.Sort(told)
	return told, lost / math.Max(float64(n), 1)
}

// rank returns the value that part of the sorted values lie below.
func rank(sorted []float64, part float64) float64 {
	if len(sorted) == 0 {
		return math.NaN()
	}
	return sorted[int(part*float64(len(sorted)-1))]
}

// reportTracks logs a line for each point.
func reportTracks(t *testing.T, errs []trackError) {
	t.Helper()
	var lines strings.Builder
	for p := range geometry.Ball {
		got, lost := shares(errs, func(e trackError) bool { return e.point == p }, func(e trackError) float64 { return e.off })
		if len(got) > 0 || lost > 0 {
			fmt.Fprintf(&lines, "\n%-15s median %5.2f  95%% %5.2f px  lost %3.0f%%", p, rank(got, 0.5), rank(got, 0.95), 100*lost)
		}
	}
	t.Log(lines.String())
}
