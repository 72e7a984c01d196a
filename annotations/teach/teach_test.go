package teach

import (
	"context"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"turngauge/annotations"
	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

// cameras are those of the demo: what is seen of its golfer is known to the pixel.
var cameras = map[geometry.View]geometry.Camera{
	geometry.FaceOn:      camera(r3.Vec{X: 0.17, Y: 1.03, Z: 4.24}, r3.Vec{X: 0.045, Y: 1.08}, 1387),
	geometry.DownTheLine: camera(r3.Vec{X: -4.78, Y: 0.96, Z: 0.41}, r3.Vec{Y: 1.07, Z: 0.27}, 1423),
}

func camera(at, target r3.Vec, focal float64) geometry.Camera {
	return geometry.Camera{Position: at, Rotation: geometry.LookAt(at, target, 0), FocalPx: focal, Width: 1920, Height: 1080}
}

// finder is how a made-up program errs: standard deviations of a coordinate, as parts of what
// it states of itself, alike everywhere, alike at a key position, and anew in each picture.
type finder struct{ everywhere, here, anew float64 }

const statedPx, statedShared = 9.5, 6.0 // about what proposals have of a hip

var positions = []geometry.PositionName{geometry.Address, geometry.Top, geometry.Impact}

// visit makes a lesson of swings of one golfer whose marks a finder has proposed. truth has
// the places by swing, as proposed marks.
func (f finder) visit(swings int, r *rand.Rand) (l, truth *annotations.Lesson) {
	l = annotations.NewLesson()
	l.Student = annotations.Student{StatureM: 1.72, StatureSDM: 0.01, Sex: geometry.Female}
	own := math.Sqrt(statedPx*statedPx - statedShared*statedShared)
	everywhere, here := map[class][2]float64{}, map[geometry.PositionName]map[class][2]float64{}
	pair := func(sd float64) [2]float64 { return [2]float64{sd * r.NormFloat64(), sd * r.NormFloat64()} }
	for _, p := range positions {
		here[p] = map[class][2]float64{}
	}
	for _, view := range []geometry.View{geometry.FaceOn, geometry.DownTheLine} {
		for p := range geometry.Buckle {
			k := class{view, p}
			everywhere[k] = pair(f.everywhere * statedShared)
			for _, name := range positions {
				here[name][k] = pair(f.here * own)
			}
		}
	}
	truth = l.Clone()
	for i := range swings {
		p := golfer.MaraFirstVisit()
		p.PelvisTurnTopDegrees += 3 * r.NormFloat64()
		m := golfer.New(p)
		s := annotations.Swing{ID: "s" + strconv.Itoa(i+1), Club: annotations.Club{Name: "7-iron"}, Clips: []annotations.Clip{
			{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080, FocalPx: 1387, Stand: 1},
			{ID: "dl", View: geometry.DownTheLine, Width: 1920, Height: 1080, FocalPx: 1423, Stand: 1},
		}}
		is := s
		for n, name := range positions {
			s.Positions = append(s.Positions, annotations.Position{Name: name, Frames: []annotations.FrameRef{{Clip: "fo", Index: 100 * n, PTSUnknown: true}, {Clip: "dl", Index: 100 * n, PTSUnknown: true}}})
			pose := m.At(m.Events()[name])
			for _, c := range s.Clips {
				view := cameras[c.View]
				for p := range geometry.Buckle {
					at, err := view.Project(pose.Points[p])
					if err != nil {
						panic(err)
					}
					k, anew := class{c.View, p}, pair(f.anew*own)
					mark := annotations.Mark{Clip: c.ID, Position: name, Point: p, At: at, SDPx: statedPx, SharedBiasPx: statedShared, State: geometry.Proposed}
					is.Marks = append(is.Marks, mark)
					mark.At.X = math.Round(mark.At.X + everywhere[k][0] + here[name][k][0] + anew[0])
					mark.At.Y = math.Round(mark.At.Y + everywhere[k][1] + here[name][k][1] + anew[1])
					s.Marks = append(s.Marks, mark)
				}
			}
		}
		is.Positions = s.Positions
		l.Swings, truth.Swings = append(l.Swings, s), append(truth.Swings, is)
	}
	return l, truth
}

// correct has a hand put marks of a swing to their true places, with its own error; which
// chooses, nil means all.
func correct(t *testing.T, e *annotations.Editor, truth *annotations.Lesson, swing int, r *rand.Rand, which func(m annotations.Mark) bool) {
	t.Helper()
	for _, m := range truth.Swings[swing].Marks {
		if which != nil && !which(m) {
			continue
		}
		sd := geometry.DefaultSigmaPx(m.Point, geometry.Placed, truth.Swings[swing].Clip(m.Clip).View)
		m.At.X, m.At.Y = m.At.X+sd*r.NormFloat64(), m.At.Y+sd*r.NormFloat64()
		m.SDPx, m.SharedBiasPx, m.State = 0, 0, geometry.Placed
		require.NoError(t, e.Apply(annotations.SetMark{Swing: truth.Swings[swing].ID, Mark: m}))
	}
}

// off is the root mean square error of a lesson's proposed marks from a swing on, of a
// coordinate, and the share of them within two of their standard deviations.
func off(l, truth *annotations.Lesson, from int) (rms, inside float64, n int) {
	for i := from; i < len(l.Swings); i++ {
		for _, m := range l.Swings[i].Marks {
			is, _ := truth.Swings[i].Mark(m.Clip, m.Position, m.Point)
			if m.State != geometry.Proposed {
				continue
			}
			for _, d := range [2]float64{m.At.X - is.At.X, m.At.Y - is.At.Y} {
				n++
				rms += d * d
				if math.Abs(d) < 2*m.SDPx {
					inside++
				}
			}
		}
	}
	return math.Sqrt(rms / float64(n)), inside / float64(n), n
}

// TestOneSwingTeachesTheOthers corrects one swing of made-up visits, by hands of the usual
// error (2.5 px and 8 mm), and looks at the marks of the others.
func TestOneSwingTeachesTheOthers(t *testing.T) {
	t.Parallel()
	hand := geometry.DefaultSigmaPx(geometry.TrailHip, geometry.Placed, geometry.FaceOn)
	for _, c := range []struct {
		what  string
		f     finder
		share float64 // of the error that is left, at most
	}{
		{"as stated", finder{1, 0.85, 0.53}, 0.75},
		{"as on the demo's visit, half of what is stated", finder{0.5, 0.44, 0.22}, 0.95},
		{"twice as far off as stated", finder{2, 1.7, 1.05}, 0.8},
		{"there is nothing to correct", finder{0, 0, 0.02}, 100},
		{"nothing lasts, and it is as good as a hand", finder{0, 0, hand / math.Sqrt(statedPx*statedPx-statedShared*statedShared)}, 1.09},
		{"nothing lasts, and it is as bad as stated", finder{0, 0, 1.3}, 1.14},
	} {
		r := rand.New(rand.NewPCG(18, 3))
		var before, after, inside, n float64
		for range 8 {
			l, truth := c.f.visit(3, r)
			e := annotations.NewEditor(l)
			b, _, _ := off(l, truth, 1)
			correct(t, e, truth, 0, r, nil)
			taught, err := Apply(e, nil)
			require.NoError(t, err)
			require.Positive(t, taught)
			a, in, _ := off(e.Lesson(), truth, 1)
			before, after, inside, n = before+b*b, after+a*a, inside+in, n+1
		}
		before, after, inside = math.Sqrt(before/n), math.Sqrt(after/n), inside/n
		t.Logf("%s: %.1f px before, %.1f after, %.1f %% within two standard deviations", c.what, before, after, 100*inside)
		assert.Less(t, after, c.share*before, c.what)
		if c.f.everywhere <= 1 {
			assert.Greater(t, inside, 0.91, c.what) // 0.954 of a normal distribution
		}
	}
}

// Which swings can learn of which, and what is never touched.
func TestWhatDoesNotTeach(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(18, 6))
	made, truth := finder{1, 0.85, 0.5}.visit(4, r)
	other := func(change func(l *annotations.Lesson)) *annotations.Lesson {
		l := made.Clone()
		change(l)
		e := annotations.NewEditor(l)
		correct(t, e, truth, 0, rand.New(rand.NewPCG(1, 1)), func(m annotations.Mark) bool { return m.Position != geometry.Impact })
		_, err := Apply(e, nil)
		require.NoError(t, err)
		return e.Lesson()
	}
	changed := func(l *annotations.Lesson, clip string, swing int) (n int) {
		for i, m := range l.Swings[swing].Marks {
			if m.Clip == clip && m.At != made.Swings[swing].Marks[i].At {
				n++
			}
		}
		return n
	}
	whole := 3 * int(geometry.Buckle)
	l := other(func(*annotations.Lesson) {})
	assert.Equal(t, whole, changed(l, "fo", 1), "also at impact, by what is the same everywhere")

	l = other(func(l *annotations.Lesson) { l.Swings[2].Clips[0].Stand = 2 })
	assert.Zero(t, changed(l, "fo", 2), "the phone was bumped before")
	assert.Equal(t, whole, changed(l, "dl", 2), "and the other was not")
	assert.Equal(t, whole, changed(l, "fo", 1))

	l = other(func(l *annotations.Lesson) {
		for i := range l.Swings {
			l.Swings[i].Clips[0].Stand = 0
		}
		for i := range l.Swings[2].Marks { // the golfer half as large again
			m := &l.Swings[2].Marks[i]
			m.At = geometry.ImagePt{X: 960 + 1.5*(m.At.X-960), Y: 540 + 1.5*(m.At.Y-540)}
		}
		for i := range l.Swings[3].Marks { // the phone turned a little: all by as much
			l.Swings[3].Marks[i].At.X += 40
		}
	})
	assert.Equal(t, whole, changed(l, "fo", 1), "where nobody knows whether it stood still, the sizes tell")
	for i := range l.Swings[2].Marks {
		if m := l.Swings[2].Marks[i]; m.Clip == "fo" {
			assert.True(t, m.Seen.None(), "another place of the phone")
		}
	}
	for i, m := range l.Swings[3].Marks {
		if m.Clip == "fo" {
			was := made.Swings[3].Marks[i].At
			assert.Less(t, math.Abs(m.At.X-40-was.X), 4*statedPx, "a phone that was turned sees him off by the same")
			assert.False(t, m.Seen.None())
		}
	}

	l = other(func(l *annotations.Lesson) {
		l.Swings[1].Tried, l.Swings[2].Club.Name = "lead foot turned in", "driver"
	})
	all, _, _ := off(made, truth, 1)
	for swing := 1; swing < 4; swing++ {
		only := l.Clone()
		only.Swings = only.Swings[swing : swing+1]
		is := truth.Clone()
		is.Swings = is.Swings[swing : swing+1]
		rms, _, _ := off(only, is, 0)
		t.Logf("swing %d: %.1f px of %.1f", swing+1, rms, all)
		assert.Less(t, rms, all)
		if swing < 3 {
			assert.Greater(t, l.Swings[swing].Marks[0].SDPx, 1.1*l.Swings[3].Marks[0].SDPx, "of a swing that is not like it only what is the same everywhere is known")
		}
	}
	l = other(func(l *annotations.Lesson) { l.Swings[1].Clips[0].Mirrored = true })
	assert.Zero(t, changed(l, "fo", 1))
}

// TestHandsAreLeftAlone: marks that a hand has put, taken, hidden or followed stay as they
// are, one step of undo takes all back, teaching twice changes nothing, and further
// corrections teach anew from where the program saw the points.
func TestHandsAreLeftAlone(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(18, 8))
	l, truth := finder{1, 0.85, 0.5}.visit(3, r)
	states := map[geometry.Point]geometry.MarkState{geometry.LeadHip: geometry.Placed, geometry.TrailHip: geometry.Hidden, geometry.LeadKnee: geometry.Tracked}
	for i := range l.Swings[1].Marks {
		m := &l.Swings[1].Marks[i]
		if s, ok := states[m.Point]; ok {
			m.State = s
			if s == geometry.Hidden {
				*m = annotations.Mark{Clip: m.Clip, Position: m.Position, Point: m.Point, State: s}
			}
		}
	}
	e := annotations.NewEditor(l)
	assert.Empty(t, Marks(l, nil), "nothing is corrected yet")
	correct(t, e, truth, 0, r, nil)
	before := e.Lesson()
	o := For(before)
	assert.Equal(t, 6*int(geometry.Buckle), o.Moved)
	assert.Equal(t, 2, o.Swings)
	assert.Contains(t, o.Tells(), strconv.Itoa(o.Moved)+" marks moved by hand (foot, ")
	n, err := Apply(e, nil)
	require.NoError(t, err)
	assert.Equal(t, len(o.Marks), n)
	after := e.Lesson()
	assert.Equal(t, before.Swings[0], after.Swings[0], "where the corrections are")
	for i, m := range after.Swings[1].Marks {
		if _, ok := states[m.Point]; ok {
			assert.Equal(t, before.Swings[1].Marks[i], m)
			continue
		}
		assert.Equal(t, geometry.Proposed, m.State)
		assert.Less(t, m.SDPx, statedPx)
		assert.LessOrEqual(t, m.SharedBiasPx, m.SDPx)
		assert.Equal(t, before.Swings[1].Marks[i].At, m.Seen.At)
	}
	assert.Empty(t, Marks(after, nil), "they are taught already")

	// A second swing, corrected as it was taught: what is known of the third is known better.
	correct(t, e, truth, 1, r, nil)
	for _, m := range e.Lesson().Swings[1].Marks {
		if m.Point == geometry.LeadShoulder {
			was, _ := before.Swings[1].Mark(m.Clip, m.Position, m.Point)
			assert.Equal(t, was.At, m.Seen.At, "not where it was taught to be")
		}
	}
	_, err = Apply(e, nil)
	require.NoError(t, err)
	var one, two float64
	for i := range after.Swings[2].Marks {
		one, two = one+after.Swings[2].Marks[i].SDPx, two+e.Lesson().Swings[2].Marks[i].SDPx
	}
	assert.Less(t, two, one)

	for e.Lesson() != before {
		_, ok := e.Undo()
		require.True(t, ok)
	}
	_, ok := e.Redo()
	require.True(t, ok)
	assert.Equal(t, after, e.Lesson(), "one step")
}

// TestOneWrongCorrectionTeachesNothing: what lay off by far more than it can was something
// else, in that picture.
func TestOneWrongCorrectionTeachesNothing(t *testing.T) {
	t.Parallel()
	l, truth := finder{0.5, 0.4, 0.2}.visit(2, rand.New(rand.NewPCG(18, 9)))
	for i := range truth.Swings[0].Marks {
		truth.Swings[0].Marks[i].At.X += 100
	}
	e := annotations.NewEditor(l)
	correct(t, e, truth, 0, rand.New(rand.NewPCG(18, 10)), func(m annotations.Mark) bool { return m.Point == geometry.LeadHip })
	assert.Empty(t, Marks(e.Lesson(), nil))
}

// TestTheDocumentKeepsWhereAProgramSawAPoint, with what this program does not know, and
// reads documents without it as ever.
func TestTheDocumentKeepsWhereAProgramSawAPoint(t *testing.T) {
	t.Parallel()
	l, truth := finder{1, 0.85, 0.5}.visit(2, rand.New(rand.NewPCG(18, 11)))
	old, err := l.Encode()
	require.NoError(t, err)
	assert.NotContains(t, string(old), "seen_at")
	e := annotations.NewEditor(l)
	correct(t, e, truth, 0, rand.New(rand.NewPCG(18, 12)), func(m annotations.Mark) bool { return m.Point == geometry.LeadHip })
	data, err := e.Lesson().Encode()
	require.NoError(t, err)
	assert.Equal(t, 6, strings.Count(string(data), `"seen_at"`))
	back, warnings, err := annotations.Decode([]byte(strings.Replace(string(data), `"seen_at": {`, `"seen_at": {"by": "next year",`, 1)))
	require.NoError(t, err)
	assert.NotEmpty(t, warnings)
	again, err := back.Encode()
	require.NoError(t, err)
	assert.Contains(t, string(again), "next year")
	assert.Equal(t, len(Marks(e.Lesson(), nil)), len(Marks(back, nil)))
	for _, bad := range [][2]string{{`"sd_px": 9.5`, `"sd_px": -1`}, {`"shared_bias_px": 6`, `"shared_bias_px": 20`}, {`"x":`, `"z":`}} {
		_, rest, _ := strings.Cut(string(data), `"seen_at"`)
		text := strings.Replace(string(data), rest, strings.Replace(rest, bad[0], bad[1], 1), 1)
		require.NotEqual(t, string(data), text)
		_, _, err := annotations.Decode([]byte(text))
		assert.ErrorContains(t, err, "seen_at", bad[1])
	}
}

// TestTaughtMarksMeasureBetter: the pelvis turn of a swing that nobody has touched.
func TestTaughtMarksMeasureBetter(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(18, 14))
	l, truth := finder{1, 0.9, 0.3}.visit(2, r)
	measure := func(l *annotations.Lesson) *annotations.Measured {
		x, err := annotations.Evaluate(context.Background(), l, 1, annotations.Options{})
		require.NoError(t, err)
		m := x.Find("pelvis turn", geometry.Top)
		require.NotNil(t, m)
		return m
	}
	is := measure(truth).Value
	before := measure(l)
	e := annotations.NewEditor(l)
	correct(t, e, truth, 0, r, nil)
	_, err := Apply(e, nil)
	require.NoError(t, err)
	after := measure(e.Lesson())
	t.Logf("truly %.1f; before %.1f (%.1f to %.1f), after %.1f (%.1f to %.1f)", is, before.Value, before.Low95, before.High95, after.Value, after.Low95, after.High95)
	assert.Less(t, after.High95-after.Low95, before.High95-before.Low95)
	assert.True(t, after.Low95 < is && is < after.High95)
}

// TestWhatIsLookedForOnClothes: the buckle that a hand has marked at the top of one swing is
// wanted in those that were swung alike before a phone that stood, from where the trunk is.
func TestWhatIsLookedForOnClothes(t *testing.T) {
	t.Parallel()
	l, truth := finder{}.visit(4, rand.New(rand.NewPCG(18, 15)))
	for i := range l.Swings {
		for k := range l.Swings[i].Clips {
			l.Swings[i].Clips[k].File = "take.mp4"
		}
	}
	l.Swings[2].Tried = "lead foot turned in"
	l.Swings[3].Clips[0].Stand = 2
	assert.Empty(t, Wants(l, "s2"))
	e := annotations.NewEditor(l)
	pose := golfer.Mara().At(golfer.Mara().Events()[geometry.Top])
	view := cameras[geometry.FaceOn]
	at, err := view.Project(pose.Points[geometry.Buckle])
	require.NoError(t, err)
	buckle := annotations.Mark{Clip: "fo", Position: geometry.Top, Point: geometry.Buckle, At: at}
	require.NoError(t, e.Apply(annotations.SetMark{Swing: "s1", Mark: buckle}))
	list := Wants(e.Lesson(), "s2")
	require.Len(t, list, 1)
	w := list[0]
	assert.Equal(t, [3]any{"s2", geometry.Top, geometry.Buckle}, [3]any{w.Swing, w.Position, w.Mark.Point})
	assert.Equal(t, [2]int{100, 100}, [2]int{w.Frame, w.FromFrame})
	assert.InDelta(t, 330, w.PxPerM, 40, "the demo's camera, at the golfer")
	a, _ := truth.Swings[0].Mark("fo", geometry.Top, geometry.LeadHip)
	b, _ := truth.Swings[1].Mark("fo", geometry.Top, geometry.LeadHip)
	assert.InDelta(t, at.X+b.At.X-a.At.X, w.About.X, 8)
	for _, id := range []string{"s1", "s3", "s4"} {
		assert.Empty(t, Wants(e.Lesson(), id), id)
	}
	o := For(e.Lesson())
	assert.False(t, o.Empty())
	assert.Equal(t, "What you marked on belt and shirt can be looked for in 1 other swing", o.Tells())
	require.NoError(t, e.Apply(annotations.SetMark{Swing: "s2", Mark: annotations.Mark{Clip: "fo", Position: geometry.Top, Point: geometry.Buckle, State: geometry.Hidden}}))
	assert.Empty(t, Wants(e.Lesson(), "s2"), "a hand has said that it can't be seen")
}
