package main

import (
	"image"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/ui/bench"
	"turngauge/ui/demo"
	"turngauge/video"
	"turngauge/video/pose"
	"turngauge/video/track"
)

const (
	// wide is how far a proposed mark may lie from the truth, as a part of the
	// golfer's height, before this coach drags it.
	wide = 0.025
	// handPx is how far the coach's own marks stray.
	handPx = 1.5
	// mostTop is how many marks he may have to drag or place until the turns at
	// the top are measured, and mostImpact how many more for impact. The goal is
	// ten in all.
	mostTop, mostImpact = 11, 10
)

// turning are the points that the turns live on: he places those that he can
// see and that are not proposed.
var turning = []geometry.Point{
	geometry.LeadHip, geometry.TrailHip, geometry.LeadShoulder, geometry.TrailShoulder,
	geometry.Buckle, geometry.Tailbone, geometry.Breastbone, geometry.UpperBack,
}

// proposing is a coach who knows the truth and begins with what is proposed.
type proposing struct {
	t       *testing.T
	b       *bench.Bench
	truth   *demo.Truth
	readers [bench.NumStages]*video.Reader
	finder  *pose.Finder
	hand    *rand.Rand

	seen, near       int // points proposed that can be seen, and those within wide
	guessed, guesses int // points proposed that can't, and those within wide
	dragged, placed  []string
}

// propose is what the window does on A.
func (c *proposing) propose(name geometry.PositionName) {
	require.Empty(c.t, c.b.GoToPosition(name))
	list, note := c.b.Follow()
	require.Empty(c.t, note)
	for _, f := range list {
		var found []bench.Found
		if len(f.Marks) > 0 {
			var marks []track.Placed
			for _, m := range f.Marks {
				marks = append(marks, track.Placed{Point: int(m.Point), Frame: m.Frame, X: m.At.X, Y: m.At.Y})
			}
			tracks, err := track.Follow(c.t.Context(), followed{c.readers[f.Stage]}, marks, track.Options{Before: f.Before, After: f.After})
			require.NoError(c.t, err)
			for i := range tracks {
				if s := tracks[i].At(f.Frame); s.State != track.Lost && s.Sigma < 0.012*1080 {
					found = append(found, bench.Found{Point: geometry.Point(tracks[i].Point), At: geometry.ImagePt{X: s.X, Y: s.Y}, SigmaPx: s.Sigma, State: geometry.Tracked})
				}
			}
		}
		missing := f.Missing(found)
		for _, x := range f.Look(c.finder, wholePicture(c.t, c.readers[f.Stage], f.Frame)) {
			if slices.Contains(missing, x.Point) {
				found = append(found, x)
			}
		}
		_, note := c.b.TakeFollowed(f, found)
		require.Empty(c.t, note)
	}
}

// wholePicture reads a frame in full size.
func wholePicture(t *testing.T, r *video.Reader, n int) *image.RGBA {
	t.Helper()
	frame, err := r.Read(t.Context(), n)
	require.NoError(t, err)
	defer frame.Release()
	im := image.NewRGBA(frame.Bounds())
	require.NoError(t, frame.Render(im, frame.Bounds()))
	return im
}

// correct drags what lies off, places what the turns need, and takes the rest.
func (c *proposing) correct(name geometry.PositionName) {
	for i, clip := range c.truth.Clips {
		frame := c.truth.Position(name).Frame(clip.ID)
		height := c.truth.StatureM * clip.FocalPx / math.Hypot(clip.PositionM[0], clip.PositionM[2])
		for _, p := range bench.Useful(c.b.Stages[i].View, name) {
			at, visible := frame.Pixel(p)
			m, proposed := c.b.Swing().Mark(clip.ID, name, p)
			near := math.Hypot(m.At.X-at.X, m.At.Y-at.Y) <= wide*height
			what := strings.Join([]string{string(name), clip.ID, p.String()}, " ")
			switch {
			case proposed && !visible:
				c.guessed++
				if near {
					c.guesses++
				}
				continue
			case proposed && near:
				c.seen++
				c.near++
				continue
			case proposed:
				c.seen++
				c.dragged = append(c.dragged, what)
			case visible && slices.Contains(turning, p):
				c.placed = append(c.placed, what)
			default:
				continue
			}
			at.X, at.Y = at.X+handPx*c.hand.NormFloat64(), at.Y+handPx*c.hand.NormFloat64()
			require.NoError(c.t, c.b.Editor().Apply(annotations.SetMark{Swing: c.b.Swing().ID, Mark: annotations.Mark{
				Clip: clip.ID, Position: name, Point: p, At: at, State: geometry.Placed,
			}}))
		}
	}
	c.b.AcceptAll()
}

// TestHandCorrectionsOfTheDemoSwing counts what a coach does by hand to measure
// the turns of the demo swing at the top and at impact from proposed marks. What
// hides behind the body he leaves as the network guesses it.
func TestHandCorrectionsOfTheDemoSwing(t *testing.T) {
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	l, _, err := annotations.Load(filepath.Join(dir, demo.MarkedFile))
	require.NoError(t, err)
	l.Swings[0].Marks = nil
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	c := proposing{t: t, b: bench.New(annotations.NewEditor(l), l.Swings[0].ID), truth: truth, finder: finder, hand: rand.New(rand.NewPCG(1, 2))}
	for i, clip := range truth.Clips {
		src, err := video.Open(filepath.Join(dir, clip.File))
		require.NoError(t, err)
		c.readers[i] = video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(256 << 20)})
		defer c.readers[i].Close()
		c.b.OpenFilm(i, src)
	}
	atTop := 0
	for _, name := range []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact} {
		c.propose(name)
		c.correct(name)
		if name == geometry.Top {
			atTop = len(c.dragged) + len(c.placed)
		}
	}
	t.Logf("%d by hand for address and the top, %d more for impact", atTop, len(c.dragged)+len(c.placed)-atTop)
	assert.LessOrEqual(t, atTop, mostTop)
	assert.LessOrEqual(t, len(c.dragged)+len(c.placed)-atTop, mostImpact)
	t.Logf("%d visible points proposed, %d within %.1f %% of the height; of %d hidden ones %d",
		c.seen, c.near, 100*wide, c.guessed, c.guesses)
	t.Logf("%d dragged: %s", len(c.dragged), strings.Join(c.dragged, ", "))
	t.Logf("%d placed: %s", len(c.placed), strings.Join(c.placed, ", "))

	report, err := annotations.Measure(t.Context(), c.b.Lesson(), nil, annotations.DefaultTargets())
	require.NoError(t, err)
	told, outside := 0, 0
	for _, m := range report.Swings[0].Measures {
		want, ok := truth.Position(m.Position).Measures[m.Name]
		if !ok {
			continue
		}
		told++
		if math.Abs(m.Value-want) > 1.96*m.SD {
			outside++
		}
		if slices.Contains([]string{"pelvis turn", "torso turn", "separation"}, m.Name) {
			t.Logf("%s, %s: %.1f ± %.1f deg, truly %.1f", m.Name, m.Position, m.Value, 1.96*m.SD, want)
			assert.LessOrEqual(t, math.Abs(m.Value-want), 3*m.SD, "%s at %s", m.Name, m.Position)
		}
	}
	t.Logf("%d of %d measures outside their 95 %% intervals", outside, told)
	assert.LessOrEqual(t, float64(outside), 0.15*float64(told))
	assert.Greater(t, told, 40)
}

// TestClubOfTheDemoSwing holds the club that is proposed at every key position in
// both views, and the ball at address, against the truth. Down the line the shaft points at the camera
// when it is level and at the top: there nothing is to be said.
func TestClubOfTheDemoSwing(t *testing.T) {
	dir := demoFolder(t)
	truth, err := demo.LoadTruth(filepath.Join(dir, demo.TruthFile))
	require.NoError(t, err)
	finder, err := pose.NewFinder()
	require.NoError(t, err)
	shafts, silent, balls := 0, 0, 0
	for i, clip := range truth.Clips {
		src, err := video.Open(filepath.Join(dir, clip.File))
		require.NoError(t, err)
		r := video.NewReader(src, video.ReaderOptions{Budget: video.NewBudget(256 << 20)})
		defer r.Close()
		height := truth.StatureM * clip.FocalPx / math.Hypot(clip.PositionM[0], clip.PositionM[2])
		for _, name := range geometry.KeyPositions {
			frame := truth.Position(name).Frame(clip.ID)
			f := bench.Following{
				View: []geometry.View{geometry.FaceOn, geometry.DownTheLine}[i], Position: name,
				StatureM: truth.StatureM, ClubM: truth.ClubLengthM,
			}
			said := false
			for _, x := range f.Look(finder, wholePicture(t, r, frame.Index)) {
				switch x.Point {
				case geometry.Ball:
					balls++
				case geometry.Grip, geometry.Clubhead:
					said = true
				default:
					continue
				}
				at, _ := frame.Pixel(x.Point)
				off := math.Hypot(x.At.X-at.X, x.At.Y-at.Y)
				t.Logf("%s, %s: %s %.1f %% of the height off", name, clip.View, x.Point, 100*off/height)
				assert.Less(t, off, 0.05*height, "%s, %s: %s", name, clip.View, x.Point)
				assert.Less(t, off, 3.5*x.SigmaPx, "%s, %s: %s", name, clip.View, x.Point)
			}
			if said {
				shafts++
			} else {
				silent++
			}
		}
	}
	t.Logf("a shaft in %d pictures, silence in %d; the ball in %d of the two at address", shafts, silent, balls)
	assert.GreaterOrEqual(t, shafts, 8)
	assert.Equal(t, 1, balls, "face-on; down the line the clubhead hides it")
}
