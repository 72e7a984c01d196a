package motion_test

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/video"
	"turngauge/video/motion"
)

var size = image.Pt(192, 108)

// bar is a drawn swing: a bar that rests, turns back, turns round and comes
// down, filmed at 240 frames a second with noise.
type bar struct{ still bool }

const (
	barStart, barTop, barStrike = 0.5, 1.3, 1.58 // seconds
	barRate                     = 240
)

func (bar) Frames() int           { return 480 }
func (bar) Seconds(n int) float64 { return float64(n) / barRate }

func (b bar) angle(t float64) float64 {
	switch {
	case b.still || t < barStart:
		return 0
	case t < barTop:
		return math.Pi * (1 - math.Cos(math.Pi*(t-barStart)/(barTop-barStart))) / 2
	}
	return math.Pi * (1 - math.Pow((t-barTop)/(barStrike-barTop), 2))
}

func (b bar) Gray(_ context.Context, n int, dst *image.Gray) error {
	rng := rand.New(rand.NewPCG(uint64(n), 1))
	a := b.angle(b.Seconds(n))
	for y := range size.Y {
		for x := range size.X {
			dx, dy := float64(x-96), float64(y-54)
			along, across := -dx*math.Sin(a)+dy*math.Cos(a), dx*math.Cos(a)+dy*math.Sin(a)
			v := 80.0
			if along > 0 && along < 50 {
				v += 100 * math.Max(0, math.Min(1, 3-math.Abs(across)))
			}
			dst.Pix[dst.PixOffset(x, y)] = uint8(v + rng.NormFloat64()*0.7)
		}
	}
	return nil
}

func TestPropose(t *testing.T) {
	got, err := motion.Propose(context.Background(), bar{}, size, barStrike)
	require.NoError(t, err)
	require.Len(t, got, 3)
	for i, want := range []float64{barStart, barTop, barStrike} {
		t.Logf("%s: %+.1f frames", got[i].Name, float64(got[i].Frame)-want*barRate)
		assert.InDelta(t, want*barRate, got[i].Frame, 6, "%s, frames", got[i].Name)
	}
}

func TestProposeSaysWhenThereIsNothing(t *testing.T) {
	_, err := motion.Propose(context.Background(), bar{still: true}, size, barStrike)
	require.ErrorIs(t, err, motion.ErrNoSwing)
	for _, strike := range []float64{math.NaN(), -1, 99} {
		_, err = motion.Propose(context.Background(), bar{}, size, strike)
		require.ErrorIs(t, err, motion.ErrNoStrike)
	}
}

// clip lets a reader's frames be looked at.
type clip struct{ r *video.Reader }

func (c clip) Frames() int           { return c.r.Source().Frames() }
func (c clip) Seconds(n int) float64 { return c.r.Source().Seconds(n) }
func (c clip) Gray(ctx context.Context, n int, dst *image.Gray) error {
	f, err := c.r.Read(ctx, n)
	if err != nil {
		return err
	}
	defer f.Release()
	return f.RenderGray(dst, f.Bounds())
}

// TestProposeOnDemoClips measures the errors on the demo clips, against the
// positions in their truth.json; TURNGAUGE_DEMO names their folder.
func TestProposeOnDemoClips(t *testing.T) {
	dir := os.Getenv("TURNGAUGE_DEMO")
	if dir == "" {
		t.Skip("set TURNGAUGE_DEMO to a folder made by “turngauge demo” to measure on its clips")
	}
	for _, c := range []struct {
		file        string
		strike      float64
		address     int
		top, impact int
	}{
		{"mara-face-on.mp4", 1.38, 74, 263, 331},
		{"mara-down-the-line.mp4", 1.54, 113, 302, 370},
	} {
		s, err := video.Open(filepath.Join(dir, c.file))
		require.NoError(t, err)
		r := video.NewReader(s, video.ReaderOptions{})
		got, err := motion.Propose(context.Background(), clip{r}, size, c.strike)
		require.NoError(t, err)
		require.NoError(t, r.Close())
		for i, want := range []int{c.address, c.top, c.impact} {
			t.Logf("%s, %s: %+d frames", c.file, got[i].Name, got[i].Frame-want)
			assert.InDelta(t, want, got[i].Frame, 3, "frames")
		}
	}
}
