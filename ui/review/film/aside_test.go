package film

import (
	"image"
	"image/color"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/review"
	"turngauge/geometry"
	"turngauge/geometry/motion"
	"turngauge/ui/curves"
	"turngauge/ui/takehome"
)

// drawn is a frame of a film, and what was to be told of it.
func drawn(t *testing.T, l *annotations.Lesson, path string, size takehome.Size, s review.State) (*image.RGBA, *Film) {
	t.Helper()
	id := annotations.NewID()
	f, err := Open(t.Context(), Request{Lesson: l, Path: path, Size: size, Review: recordedAs(t, id, path, 1, nil, map[float64]review.State{0: s})})
	require.NoError(t, err)
	t.Cleanup(f.Close)
	f.notes = nil // that it has no voice
	img := image.NewRGBA(image.Rectangle{Max: f.size})
	require.NoError(t, f.Painter(img).Draw(t.Context(), 0))
	return img, f
}

// count counts the pixels of a colour in a part of a picture.
func count(img *image.RGBA, r image.Rectangle, c color.NRGBA) (n int) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if p := img.RGBAAt(x, y); p.R == c.R && p.G == c.G && p.B == c.B {
				n++
			}
		}
	}
	return n
}

// What was open beside the pictures is beside them in the film, or below them where it is
// upright; what isn't known isn't.
func TestAside(t *testing.T) {
	l, path := fixture(t)
	l.Prescription.Feel = "Let the lead heel press down first"
	fo := l.Swings[0].ClipOf(geometry.FaceOn).ID
	top, _ := l.Swings[0].FrameOf(fo, geometry.Top)
	state := review.State{Swing: l.Swings[0].ID, Position: "top", Views: []review.View{view(l, fo, top.Index)}, Panels: []string{fromAbove}}
	wide, upright := image.Rect(960, 0, 1280, 612), image.Rect(0, 700, 720, 1088)
	img, f := drawn(t, l, path, takehome.Screen, state)
	assert.Greater(t, count(img, wide, accent), 50, "the hips")
	assert.Empty(t, f.Notes())
	img, _ = drawn(t, l, path, takehome.Phone, state)
	assert.Greater(t, count(img, upright, accent), 50)

	for _, panels := range [][]string{nil, {fromAbove}} {
		state.Panels, state.Position = panels, "finish"
		without := *l
		without.Swings = slices.Clone(l.Swings)
		without.Swings[0].Marks = nil
		img, _ = drawn(t, &without, path, takehome.Screen, state)
		assert.InDelta(t, grey(top.Index), img.RGBAAt(1100, 300).R, 4, "%v: the picture has the room, where nothing is known", panels)
	}
	state.Panels = []string{findings}
	img, _ = drawn(t, l, path, takehome.Screen, state)
	assert.Greater(t, count(img, wide, bright), 100, "what is prescribed")
	state.Panels = []string{Curves}
	_, f = drawn(t, l, path, takehome.Screen, state)
	assert.Equal(t, []string{"The curves that were open are not shown here: making the film follows the swing for them."}, f.Notes())
}

// Curves that were open are in the film: each as a line in its band, with the interval of
// where the pictures are, and nothing where they are not known.
func TestPlot(t *testing.T) {
	l, path := fixture(t)
	s := &l.Swings[0]
	fo := s.ClipOf(geometry.FaceOn).ID
	followed := &curves.Followed{Clips: []curves.Clip{{ID: fo}}}
	fit := &motion.Curves{Shift: []float64{0}, Curves: []motion.Curve{{Name: "pelvis turn", Unit: geometry.Degrees}}}
	for n := range 58 {
		at := float64(n)/40 - 1
		followed.Clips[0].Seconds = append(followed.Clips[0].Seconds, at)
		fit.Seconds = append(fit.Seconds, at)
		fit.Curves[0].Values = append(fit.Curves[0].Values, motion.Value{Known: n < 40, Value: 40, Low95: 34, High95: 46})
	}
	for _, size := range []takehome.Size{takehome.Screen, takehome.Phone} {
		state := review.State{Swing: s.ID, Views: []review.View{view(l, fo, 20)}, Panels: []string{Curves}}
		f, err := Open(t.Context(), Request{
			Lesson: l, Path: path, Size: size, Motion: &takehome.Motion{Swing: s.ID, Followed: followed, Fit: fit},
			Review: recordedAs(t, annotations.NewID(), path, 1, nil, map[float64]review.State{0: state}),
		})
		require.NoError(t, err)
		defer f.Close()
		img := image.NewRGBA(image.Rectangle{Max: f.size})
		require.NoError(t, f.Painter(img).Draw(t.Context(), 0))
		plot := image.Rect(0, 400, f.size.X, f.size.Y)
		line := image.Rectangle{}
		for y := plot.Min.Y; y < plot.Max.Y; y++ {
			for x := range f.size.X {
				if c := img.RGBAAt(x, y); c.R == 0x56 && c.G == 0xb4 && c.B == 0xe9 && x > 80 {
					line = line.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		assert.InDelta(t, 39.0/57, float64(line.Max.X-44)/float64(f.size.X-60), 0.03, "it ends where it isn't known any more")
		assert.Greater(t, count(img, plot, accent), 100, "where the pictures are")
		side := f.sides[review.Other{Swing: s.ID}]
		at, ok := side.instant(&state.Views[0])
		assert.True(t, ok)
		assert.InDelta(t, -0.5, at, 1e-9)
	}
}

// The film shows the curves that the coach had chosen, lengths on a scale of their own, and
// speeds where he showed those; and how fast the clips played.
func TestChosenCurves(t *testing.T) {
	l, path := fixture(t)
	s := &l.Swings[0]
	fo := s.ClipOf(geometry.FaceOn).ID
	followed := &curves.Followed{Clips: []curves.Clip{{ID: fo}}}
	fit := &motion.Curves{Shift: []float64{0}}
	for k, name := range []string{"pelvis turn", "torso turn", "separation", "sway"} {
		fit.Curves = append(fit.Curves, motion.Curve{Name: name, Unit: geometry.Degrees})
		if k == 3 {
			fit.Curves[k].Unit = geometry.Centimetres
		}
	}
	for n := range 58 {
		at := float64(n)/40 - 1
		followed.Clips[0].Seconds, fit.Seconds = append(followed.Clips[0].Seconds, at), append(fit.Seconds, at)
		for k := range fit.Curves {
			fit.Curves[k].Values = append(fit.Curves[k].Values, motion.Value{Known: true, Value: float64(n - 12*k), Low95: float64(n - 12*k - 6), High95: float64(n - 12*k + 6), Rate: float64(n + 9*k), RateLow95: float64(n + 9*k - 5), RateHigh95: float64(n + 9*k + 5)})
		}
	}
	sway, pelvis := curves.Looks[3].Dark, curves.Looks[0].Dark
	for _, size := range []takehome.Size{takehome.Screen, takehome.Phone} {
		for _, c := range []struct {
			shown        *review.Curves
			pelvis, sway bool
		}{
			{nil, true, false},
			{&review.Curves{Names: []string{"sway"}}, false, true},
			{&review.Curves{Names: []string{"sway", "pelvis turn"}, Speeds: true}, true, true},
			{&review.Curves{}, false, false},
		} {
			state := review.State{Swing: s.ID, Slow: 8, Views: []review.View{view(l, fo, 20)}, Panels: []string{Curves}, Curves: c.shown}
			f, err := Open(t.Context(), Request{
				Lesson: l, Path: path, Size: size, Motion: &takehome.Motion{Swing: s.ID, Followed: followed, Fit: fit},
				Review: recordedAs(t, annotations.NewID(), path, 1, nil, map[float64]review.State{0: state}),
			})
			require.NoError(t, err)
			defer f.Close()
			img := image.NewRGBA(image.Rectangle{Max: f.size})
			require.NoError(t, f.Painter(img).Draw(t.Context(), 0))
			plot := image.Rect(0, f.size.Y/2, f.size.X, f.size.Y)
			assert.Equal(t, c.pelvis, count(img, plot, pelvis) > 100, "%v", c.shown)
			assert.Equal(t, c.sway, count(img, plot, sway) > 100, "%v", c.shown)
		}
	}
	assert.Equal(t, "8 times slower than life", pace(8))
	assert.Equal(t, "as fast as in life", pace(1))
	assert.Empty(t, pace(0))
}

// A swing that lay over another does in the film, as strongly; where they can't be aligned
// they stand beside each other, and it is said why.
func TestOver(t *testing.T) {
	l, path := fixture(t)
	fo := l.Swings[0].ClipOf(geometry.FaceOn).ID
	other := view(l, fo, 50)
	other.Other = true
	state := review.State{Swing: l.Swings[0].ID, Other: &review.Other{Swing: l.Swings[0].ID}, Views: []review.View{view(l, fo, 10), other}, Over: 0.25}
	img, f := drawn(t, l, path, takehome.Screen, state)
	assert.Empty(t, f.Notes())
	assert.InDelta(t, 0.75*float64(grey(10))+0.25*float64(grey(50)), float64(img.RGBAAt(640, 300).R), 4)

	without := *l
	without.Swings = slices.Clone(l.Swings)
	without.Swings[0].Marks = nil
	img, f = drawn(t, &without, path, takehome.Screen, state)
	require.Len(t, f.Notes(), 1)
	assert.Contains(t, f.Notes()[0], "stand beside each other. To lay one swing over the other, mark feet and ball")
	assert.InDelta(t, grey(10), img.RGBAAt(320, 300).R, 4)
	assert.InDelta(t, grey(50), img.RGBAAt(960, 300).R, 4)
}

// The place on a clip's curves is that of the frame shown, on the clock that both clips are
// brought to by adding their shifts (motion.Curves.Shift), and the number that of the
// nearest instant of the fit.
func TestWhereOnTheCurves(t *testing.T) {
	s := &side{
		followed: &curves.Followed{Clips: []curves.Clip{{ID: "fo", Seconds: []float64{0, 0.1, 0.2}}, {ID: "dl", Seconds: []float64{1, 1.1, 1.2}}}},
		motion:   &motion.Curves{Seconds: []float64{0, 0.25, 0.5}, Shift: []float64{0.3, -0.9}, Curves: []motion.Curve{{Values: []motion.Value{{Value: 1}, {Value: 2}, {Value: 3}}}}},
	}
	for _, c := range []struct {
		view    review.View
		seconds float64
		value   float64
	}{{review.View{Clip: "fo", Frame: 1}, 0.4, 3}, {review.View{Clip: "dl", Frame: 2}, 0.3, 2}, {review.View{Clip: "dl", Frame: 0}, 0.1, 1}} {
		at, ok := s.instant(&c.view)
		assert.True(t, ok)
		assert.InDelta(t, c.seconds, at, 1e-12)
		assert.InDelta(t, c.value, nearest(s.motion, &s.motion.Curves[0], at).Value, 0)
	}
	for _, v := range []review.View{{Clip: "other"}, {Clip: "fo", Frame: 3}, {Clip: "fo", Other: true}} {
		_, ok := s.instant(&v)
		assert.False(t, ok)
	}
}
