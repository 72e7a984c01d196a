package track

import (
	"context"
	"errors"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Accuracy on the demo's golfer is tested where its truth is, in ui/demo.

// scene is the moving scene of testdata/opencv.py as a clip, in slow motion:
// its truth is known for every point of the disc.
type scene struct {
	frames  int
	size    image.Point
	shutter func(n int, dst *image.Gray) // what comes before the lens
	drawn   []int                        // how often each frame was asked for
}

const slow = 8 // frames of the clip for one of the script

func newScene(frames int) *scene {
	return &scene{frames: frames, size: image.Pt(320, 240), drawn: make([]int, frames)}
}

func (s *scene) Frames() int       { return s.frames }
func (s *scene) Size() image.Point { return s.size }
func (s *scene) Gray(_ context.Context, n int, dst *image.Gray) error {
	s.drawn[n]++
	drawScene(dst, float64(n)/slow)
	if s.shutter != nil {
		s.shutter(n, dst)
	}
	return nil
}

// at returns where the point of the disc that lies (u, v) from its middle at
// first is in frame n, upright pixels.
func (s *scene) at(u, v float64, n int) (x, y float64) {
	cx, cy, turn, g := disc(float64(n) / slow)
	// The script's paint coordinates are g times a turn by -turn, stretched
	// by the root of 1 + turn squared.
	k := 1 / (g * (1 + turn*turn))
	return cx + k*(u-turn*v) + 0.5, cy + k*(v+turn*u) + 0.5
}

func (s *scene) mark(point int, u, v float64, n int) Placed {
	x, y := s.at(u, v, n)
	return Placed{Point: point, Frame: n, X: x, Y: y}
}

// features are places of the disc, from its middle, where there is something to
// be seen.
var features = [][2]float64{{8, 12}, {30, 10}, {-25, 30}, {10, -40}, {-40, -20}}

func TestFollowsTheDisc(t *testing.T) {
	s := newScene(33)
	var marks []Placed
	for i, p := range features {
		marks = append(marks, s.mark(i, p[0], p[1], 32), s.mark(i, p[0], p[1], 0))
	}
	var last, total int
	tracks, err := Follow(t.Context(), s, marks, Options{Progress: func(done, all int) {
		assert.GreaterOrEqual(t, done, last)
		last, total = done, all
	}})
	require.NoError(t, err)
	assert.Equal(t, total, last)
	assert.Equal(t, 2*32*len(features), total)
	require.Len(t, tracks, len(features))
	for i, tr := range tracks {
		require.Equal(t, i, tr.Point)
		require.Equal(t, 0, tr.First)
		require.Len(t, tr.Observations, 33)
		for n, got := range tr.Observations {
			x, y := s.at(features[i][0], features[i][1], n)
			if n == 0 || n == 32 {
				assert.Equal(t, Observation{State: Marked, X: x, Y: y, Confidence: 1, Correlation: 1}, got)
				continue
			}
			assert.Equal(t, Followed, got.State, "point %d frame %d", i, n)
			assert.Less(t, math.Hypot(got.X-x, got.Y-y), 0.15, "point %d frame %d, pixels", i, n)
			assert.Greater(t, got.Confidence, 0.9, "point %d frame %d", i, n)
			assert.Less(t, got.Sigma, 1.0, "point %d frame %d", i, n)
		}
	}
	for n, times := range s.drawn {
		assert.Equal(t, 1, times, "frame %d is drawn once", n)
	}
	again, err := Follow(t.Context(), newScene(33), marks, Options{})
	require.NoError(t, err)
	assert.Equal(t, tracks, again, "the same again")
}

// TestPassesThroughEveryMark places marks that are off by more than the track
// would be.
func TestPassesThroughEveryMark(t *testing.T) {
	s := newScene(33)
	marks := []Placed{s.mark(7, 30, 10, 0), s.mark(7, 30, 10, 16), s.mark(7, 30, 10, 32)}
	marks[1].X += 3
	tracks, err := Follow(t.Context(), s, marks, Options{})
	require.NoError(t, err)
	before := 0.0
	for n := range 33 {
		got := tracks[0].At(n)
		require.NotEqual(t, Lost, got.State, "frame %d", n)
		x, _ := s.at(30, 10, n)
		off := got.X - x
		assert.InDelta(t, before, off, 0.4, "no jump at frame %d", n)
		before = off
		if n == 16 {
			assert.Equal(t, marks[1].X, got.X)
		}
	}
}

// TestLosesWhatIsHidden holds a plate before the disc for most of the clip:
// what lies behind it is lost while hidden and found again after.
func TestLosesWhatIsHidden(t *testing.T) {
	s := newScene(49)
	s.shutter = func(n int, dst *image.Gray) {
		if n < 20 || n > 36 {
			return
		}
		for y := 60; y < 200; y++ {
			for x := 90; x < 220; x++ {
				dst.Pix[y*dst.Stride+x] = 128
			}
		}
	}
	marks := []Placed{s.mark(0, 8, 12, 0), s.mark(0, 8, 12, 48)}
	tracks, err := Follow(t.Context(), s, marks, Options{})
	require.NoError(t, err)
	for n, got := range tracks[0].Observations {
		x, y := s.at(8, 12, n)
		switch {
		case n >= 20 && n <= 36:
			assert.Equal(t, Observation{}, got, "frame %d is hidden: no place", n)
		case n == 0 || n == 48:
		default:
			assert.Equal(t, OneWay, got.State, "frame %d", n)
			assert.Less(t, math.Hypot(got.X-x, got.Y-y), 0.5, "frame %d, pixels", n)
		}
	}
}

// TestDoesNotGuess marks two different places of the disc as one point: the
// ways from both disagree, and nothing is made up between them.
func TestDoesNotGuess(t *testing.T) {
	s := newScene(33)
	marks := []Placed{s.mark(0, -40, -20, 0), s.mark(0, 30, 10, 32)}
	tracks, err := Follow(t.Context(), s, marks, Options{})
	require.NoError(t, err)
	for n := 1; n < 32; n++ {
		got := tracks[0].At(n)
		assert.NotEqual(t, Followed, got.State, "frame %d", n)
		assert.Less(t, got.Confidence, 1.0, "frame %d", n)
	}
}

func TestFollowsBeyondTheMarks(t *testing.T) {
	s := newScene(33)
	tracks, err := Follow(t.Context(), s, []Placed{s.mark(3, 10, -40, 10)}, Options{Before: 50, After: 6})
	require.NoError(t, err)
	tr := tracks[0]
	assert.Equal(t, 0, tr.First)
	require.Len(t, tr.Observations, 17)
	for n, got := range tr.Observations {
		if n == 10 {
			continue
		}
		x, y := s.at(10, -40, n)
		require.Equal(t, OneWay, got.State, "frame %d", n)
		assert.Less(t, math.Hypot(got.X-x, got.Y-y), 0.3, "frame %d, pixels", n)
	}
	assert.Equal(t, Observation{}, tr.At(17))
	assert.Equal(t, Observation{}, tr.At(-1))
}

// TestKeepsToItsMemory follows with room for few pictures: frames are drawn
// again, and the tracks stay the same.
func TestKeepsToItsMemory(t *testing.T) {
	s := newScene(33)
	marks := []Placed{s.mark(0, 8, 12, 0), s.mark(0, 8, 12, 32), s.mark(1, 30, 10, 4), s.mark(1, 30, 10, 20)}
	want, err := Follow(t.Context(), newScene(33), marks, Options{})
	require.NoError(t, err)
	got, err := Follow(t.Context(), s, marks, Options{MemoryBytes: 1})
	require.NoError(t, err)
	assert.Equal(t, want, got)
	assert.Equal(t, 2, s.drawn[5])
}

func TestStopsWhenAsked(t *testing.T) {
	s := newScene(33)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := Follow(ctx, s, []Placed{s.mark(0, 8, 12, 0), s.mark(0, 8, 12, 32)}, Options{Progress: func(done, _ int) {
		if done == 5 {
			cancel()
		}
	}})
	require.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 0, s.drawn[7])
}

// unreadable fails at one frame.
type unreadable struct{ *scene }

var errTorn = errors.New("torn")

func (u unreadable) Gray(ctx context.Context, n int, dst *image.Gray) error {
	if n == 3 {
		return errTorn
	}
	return u.scene.Gray(ctx, n, dst)
}

func TestTellsOfAFrameThatCannotBeRead(t *testing.T) {
	s := newScene(9)
	_, err := Follow(t.Context(), unreadable{s}, []Placed{s.mark(0, 8, 12, 0), s.mark(0, 8, 12, 8)}, Options{})
	require.ErrorIs(t, err, errTorn)
	assert.ErrorContains(t, err, "frame 3")
}

func TestRefusesMarks(t *testing.T) {
	s := newScene(9)
	good := Placed{Point: 1, Frame: 2, X: 10, Y: 10}
	for _, c := range []struct {
		name string
		mark Placed
		says string
	}{
		{"a frame before the clip", Placed{Frame: -1, X: 1, Y: 1}, "frames 0 to 8"},
		{"a frame after the clip", Placed{Frame: 9, X: 1, Y: 1}, "frames 0 to 8"},
		{"left of the picture", Placed{X: -0.1, Y: 1}, "outside the picture of 320 x 240"},
		{"below the picture", Placed{X: 1, Y: 240.5}, "outside the picture"},
		{"no number", Placed{X: math.NaN(), Y: 1}, "outside the picture"},
		{"no end", Placed{X: 1, Y: math.Inf(1)}, "outside the picture"},
		{"twice", good, "second mark"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tracks, err := Follow(t.Context(), s, []Placed{good, c.mark}, Options{})
			var wrong *MarkError
			require.ErrorAs(t, err, &wrong)
			assert.Nil(t, tracks)
			assert.Equal(t, 1, wrong.Index)
			assert.ErrorContains(t, err, c.says)
		})
	}
	_, err := Follow(t.Context(), &scene{size: s.size}, nil, Options{})
	assert.ErrorContains(t, err, "nothing to follow")
}

// flat is a clip without anything in it.
func flat(frames int) *scene {
	s := newScene(frames)
	s.shutter = func(_ int, dst *image.Gray) {
		for i := range dst.Pix {
			dst.Pix[i] = 90
		}
	}
	return s
}

func TestFlatPicturesHoldNothing(t *testing.T) {
	tracks, err := Follow(t.Context(), flat(9), []Placed{{Frame: 0, X: 100, Y: 100}, {Frame: 8, X: 104, Y: 100}}, Options{})
	require.NoError(t, err)
	for n := 1; n < 8; n++ {
		assert.Equal(t, Observation{}, tracks[0].At(n), "frame %d", n)
	}
}

func TestOneFrame(t *testing.T) {
	s := newScene(1)
	tracks, err := Follow(t.Context(), s, []Placed{s.mark(0, 8, 12, 0)}, Options{Before: 3, After: 3})
	require.NoError(t, err)
	require.Len(t, tracks[0].Observations, 1)
	assert.Equal(t, Marked, tracks[0].Observations[0].State)
	tracks, err = Follow(t.Context(), s, nil, Options{})
	require.NoError(t, err)
	assert.Empty(t, tracks)
}

// TestBorder follows points at the picture's very edge: lost or followed, but
// never outside and never a fault.
func TestBorder(t *testing.T) {
	s := newScene(9)
	var marks []Placed
	for i, p := range [][2]float64{{0, 0}, {320, 240}, {0, 120}, {319.9, 0.1}, {160, 240}} {
		marks = append(marks, Placed{i, 0, p[0], p[1]}, Placed{i, 8, p[0], p[1]})
	}
	tracks, err := Follow(t.Context(), s, marks, Options{})
	require.NoError(t, err)
	for _, tr := range tracks {
		sound(t, s, tr)
	}
}

// sound checks what holds of every track.
func sound(t *testing.T, s *scene, tr Track) {
	t.Helper()
	require.GreaterOrEqual(t, tr.First, 0)
	require.LessOrEqual(t, tr.First+len(tr.Observations), s.frames)
	for i, p := range tr.Observations {
		if p.State == Lost {
			require.Equal(t, Observation{}, p, "frame %d", tr.First+i)
			continue
		}
		const margin = 32
		require.True(t, p.X > -margin && p.Y > -margin && p.X < float64(s.size.X)+margin && p.Y < float64(s.size.Y)+margin,
			"frame %d at %v, %v", tr.First+i, p.X, p.Y)
		require.True(t, p.Confidence >= 0 && p.Confidence <= 1, "confidence %v", p.Confidence)
		require.True(t, p.Sigma >= 0 && !math.IsInf(p.Sigma, 0) && !math.IsNaN(p.Sigma), "sigma %v", p.Sigma)
	}
}

// TestStepsDoNotAllocate looks at what is done for each frame.
func TestStepsDoNotAllocate(t *testing.T) {
	s := newScene(2)
	o := Options{}.withDefaults(s.size)
	var p [2]*pyramid
	for n := range p {
		p[n] = newPyramid(s.size, o.Levels, o.Window)
		require.NoError(t, s.Gray(t.Context(), n, &p[n].gray))
		p[n].build()
	}
	w := walker{m: newMatcher(o.Window, true), template: newTemplate(o.Window), o: &o}
	x, y := s.at(30, 10, 0)
	w.begin(p[0], x-0.5, y-0.5)
	assert.Zero(t, testing.AllocsPerRun(20, func() {
		p[1].build()
		w.step(p[0], p[1])
		w.step(p[1], p[0])
	}))
	assert.False(t, w.lost)
}

// FuzzFollow follows any marks through small pictures of any bytes.
func FuzzFollow(f *testing.F) {
	f.Add([]byte("a picture"), int16(31), int16(17), 2.5, 3.5, 20.0, 11.0, uint8(0), uint8(21))
	f.Add([]byte{0, 255, 0}, int16(1), int16(1), 0.0, 0.0, 1.0, 1.0, uint8(3), uint8(1))
	f.Add([]byte{7}, int16(90), int16(2), 89.0, 1.0, 0.5, 0.5, uint8(9), uint8(255))
	f.Add([]byte{}, int16(40), int16(40), math.NaN(), 1.0, -1.0, 1e300, uint8(1), uint8(11))
	f.Fuzz(func(t *testing.T, pixels []byte, width, height int16, x0, y0, x1, y1 float64, beyond, window uint8) {
		s := &scene{frames: 6, size: image.Pt(int(width%128), int(height%128)), drawn: make([]int, 6)}
		if s.size.X < 0 || s.size.Y < 0 {
			s.size = image.Pt(0, 0)
		}
		c := painted{s, pixels}
		marks := []Placed{{0, 1, x0, y0}, {0, 4, x1, y1}, {1, 4, x0, y1}}
		o := Options{Before: int(beyond % 8), After: int(beyond / 8), Window: int(window), Levels: int(window % 7), MemoryBytes: int64(pixelsOf(pixels, 0)) * 50}
		tracks, err := Follow(t.Context(), c, marks, o)
		if err != nil {
			require.Nil(t, tracks)
			return
		}
		require.Len(t, tracks, 2)
		for _, tr := range tracks {
			sound(t, s, tr)
		}
		require.Equal(t, Marked, tracks[0].At(1).State)
		require.Equal(t, Marked, tracks[0].At(4).State)
		require.Equal(t, x1, tracks[0].At(4).X)
	})
}

// painted is a clip of pictures made from a few bytes.
type painted struct {
	*scene
	pixels []byte
}

func (p painted) Gray(_ context.Context, n int, dst *image.Gray) error {
	for i := range dst.Pix {
		dst.Pix[i] = pixelsOf(p.pixels, i+n*3)
	}
	return nil
}

func pixelsOf(pixels []byte, i int) uint8 {
	if len(pixels) == 0 {
		return 0
	}
	return pixels[i%len(pixels)] + uint8(i*i>>5)
}

// TestJudge: what is followed one way is believed where the other way was lost, and
// not where that came to the other mark and missed it.
func TestJudge(t *testing.T) {
	const n = 4
	from, to := &Placed{Frame: 0, X: 10, Y: 10}, &Placed{Frame: n, X: 50, Y: 10}
	g := gap{first: 0, last: n, from: from, to: to, observations: make([]Observation, n+1)}
	o := Options{}.withDefaults(image.Pt(1920, 1080))
	way := func(off float64, last int) []footprint {
		w := make([]footprint, n+1)
		for i := range w {
			if i <= last {
				w[i] = footprint{x: 10 + 10*float64(i) + off*float64(i)/n, y: 10, there: true}
			}
		}
		return w
	}
	back := func(off float64, first int) []footprint {
		w := make([]footprint, n+1)
		for i := range w {
			if i >= first {
				w[i] = footprint{x: 10 + 10*float64(i) + off*float64(n-i)/n, y: 10, there: true}
			}
		}
		return w
	}
	for _, c := range []struct {
		name            string
		ahead, backward []footprint
		want            verdict
	}{
		{"both come near", way(3, n), back(-3, 0), bothClose},
		{"one near, one lost", way(3, n), back(0, 3), aheadOnly},
		{"the other way round", way(0, 1), back(-3, 0), backOnly},
		{"one near, one beside", way(3, n), back(2*o.Apart, 0), alone},
		{"both beside", way(2*o.Apart, n), back(2*o.Apart, 0), alone},
	} {
		w := g.judge(c.ahead, c.backward, &o)
		assert.Equal(t, c.want, w.verdict, c.name)
	}
}

// TestJudgeBridges: two ways that end near each other, on the two sides of a time in which
// the point was hidden, hold for the time before it and after it; not where that was
// long, and not where they end apart.
func TestJudgeBridges(t *testing.T) {
	const n = 40
	from, to := &Placed{Frame: 0, X: 10, Y: 10}, &Placed{Frame: n, X: 50, Y: 10}
	g := gap{first: 0, last: n, from: from, to: to, observations: make([]Observation, n+1)}
	o := Options{}.withDefaults(image.Pt(1920, 1080))
	ways := func(last, first int, beside float64) (ahead, backward []footprint) {
		ahead, backward = make([]footprint, n+1), make([]footprint, n+1)
		for i := range ahead {
			if i <= last {
				ahead[i] = footprint{x: 10, y: 10, there: true}
			}
			if i >= first {
				backward[i] = footprint{x: 10 + beside, y: 10, there: true}
			}
		}
		return ahead, backward
	}
	for _, c := range []struct {
		last, first int
		beside      float64
		want        verdict
	}{
		{10, 10 + mostHidden, 0, bridged},
		{10, 11, 0, bridged},
		{10, 11 + mostHidden, 0, alone},
		{10, 10, 0, alone}, // both are there: they should have met their marks
		{10, 15, o.Apart / 2, bridged},
		{10, 15, o.Apart/2 + 0.1, alone},
	} {
		ahead, backward := ways(c.last, c.first, c.beside)
		w := g.judge(ahead, backward, &o)
		assert.Equal(t, c.want, w.verdict, "%+v", c)
		assert.Equal(t, []int{c.last, c.first}, []int{w.lastF, w.firstB})
	}
}
