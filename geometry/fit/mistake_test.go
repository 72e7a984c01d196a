package fit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// mistakeRow is a way to make a mistake of the whole swing.
type mistakeRow struct {
	name string
	o    filmOptions
	make func(r *rand.Rand, f *film) geometry.Swing
	want geometry.MistakeKind // "" for none
}

func cloned(sw geometry.Swing) geometry.Swing {
	sw.Marks, sw.Clips = slices.Clone(sw.Marks), slices.Clone(sw.Clips)
	return sw
}

// off moves every mark by so many pixels.
func off(px float64) func(r *rand.Rand, f *film) geometry.Swing {
	return func(r *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		for i := range sw.Marks {
			s, c := math.Sincos(uniform(r, 0, 2*math.Pi))
			sw.Marks[i].At.X += px * c
			sw.Marks[i].At.Y += px * s
		}
		return sw
	}
}

func mirrored(clip int) func(r *rand.Rand, f *film) geometry.Swing {
	return func(_ *rand.Rand, f *film) geometry.Swing {
		sw := f.swing
		flipClip(&sw, clip)
		return sw
	}
}

func asMade(_ *rand.Rand, f *film) geometry.Swing { return f.swing }

var mistakeRows = []mistakeRow{
	{"sound, noise x0.5", noiseRows[0].o, asMade, ""},
	{"sound, noise x1", noiseRows[1].o, asMade, ""},
	{"sound, noise x1.5", noiseRows[2].o, asMade, ""},
	{"sound, noise x2", noiseRows[3].o, asMade, ""},
	{"sound, mixed", with(func(o *filmOptions) {
		o.placing = map[geometry.PointClass]float64{geometry.FootClass: 0.003, geometry.HipClass: 0.025}
	}), asMade, ""},
	{"sound, hips 20 mm off at all positions", with(func(o *filmOptions) { o.lasting = map[geometry.PointClass]float64{geometry.HipClass: 0.02} }), asMade, ""},
	{"5 % of marks 15-50 px off", with(func(o *filmOptions) { o.heavy = 0.05 }), asMade, ""},
	{"15 % of marks 15-50 px off", with(func(o *filmOptions) { o.heavy = 0.15 }), asMade, ""},
	{"sound, face-on alone", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} }), asMade, ""},
	{"sound, face-on alone, noise x2", with(func(o *filmOptions) { o.views, o.scale = []geometry.View{geometry.FaceOn}, 2 }), asMade, ""},
	{"views swapped", with(func(*filmOptions) {}), func(_ *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		sw.Clips[0].View, sw.Clips[1].View = sw.Clips[1].View, sw.Clips[0].View
		return sw
	}, geometry.ViewsSwapped},
	{"other hand", with(func(*filmOptions) {}), func(_ *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		sw.Golfer.Handed = geometry.LeftHanded - sw.Golfer.Handed
		return sw
	}, geometry.OtherHand},
	{"face-on clip mirrored", with(func(*filmOptions) {}), mirrored(0), geometry.ClipMirrored},
	{"down-the-line clip mirrored", with(func(*filmOptions) {}), mirrored(1), geometry.ClipMirrored},
	{"every mark 20 px off", with(func(*filmOptions) {}), off(20), ""},
	{"every mark 50 px off", with(func(*filmOptions) {}), off(50), geometry.NoOneBody},
	{"down-the-line clip of another golfer", with(func(*filmOptions) {}), func(r *rand.Rand, f *film) geometry.Swing {
		g := makeFilm(r, f.o)
		sw := cloned(f.swing)
		sw.Clips[1] = g.swing.Clips[1]
		sw.Marks = slices.DeleteFunc(sw.Marks, func(m geometry.Mark) bool { return m.Clip == 1 })
		for _, m := range g.swing.Marks {
			if m.Clip == 1 {
				sw.Marks = append(sw.Marks, m)
			}
		}
		return sw
	}, geometry.NotOneSwing},
	{"a position of one clip from its neighbour", with(func(*filmOptions) {}), func(r *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		clip, pos := r.IntN(2), 1+r.IntN(5)
		from := pos + 1
		sw.Marks = slices.DeleteFunc(sw.Marks, func(m geometry.Mark) bool { return m.Clip == clip && m.Position == pos })
		for pt := geometry.Point(0); pt < geometry.Ball; pt++ {
			m, ok := f.mark(r, clip, from, pt, 0)
			m.Position = pos
			if ok {
				if sw.Golfer.Handed == geometry.LeftHanded {
					m.At.X = float64(sw.Clips[clip].Width) - m.At.X
				}
				sw.Marks = append(sw.Marks, m)
			}
		}
		return sw
	}, geometry.OtherInstant},
	{"face-on camera 40 degrees off its line", with(func(o *filmOptions) { o.yaw = [2]float64{40, 0} }), asMade, geometry.CameraOffLine},
	{"down-the-line camera 40 degrees off its line", with(func(o *filmOptions) { o.yaw = [2]float64{0, 40} }), asMade, geometry.CameraOffLine},
	{"face-on alone, named down-the-line", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} }), func(_ *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		sw.Clips[0].View = geometry.DownTheLine
		return sw
	}, geometry.ViewsSwapped},
	{"face-on alone, other hand", with(func(o *filmOptions) { o.views = []geometry.View{geometry.FaceOn} }), func(_ *rand.Rand, f *film) geometry.Swing {
		sw := cloned(f.swing)
		sw.Golfer.Handed = geometry.LeftHanded - sw.Golfer.Handed
		return sw
	}, geometry.OtherHand},
}

// usualTurns are ranges that a turn at the top is judged against (facts A4).
var usualTurns = map[string]geometry.Range{"pelvis turn": {Low: 40, High: 60}, "torso turn": {Low: 80, High: 100}}

func TestAccuracyWithMistakes(t *testing.T) {
	if !*accuracy {
		t.Skip("make accuracy")
	}
	for k := range mistakeRows {
		row := &mistakeRows[k]
		if !strings.Contains(row.name, *accuracyRows) {
			continue
		}
		said := map[geometry.MistakeKind]int{}
		var wrong, sure, missed, given, n int
		var half, expected float64
		eachGolfer(*accuracyN, func(i int) (*film, *Solution, error) {
			r := rand.New(rand.NewPCG(*accuracySeed, uint64(i)))
			o := row.o
			if i%4 == 3 {
				o.handed = geometry.LeftHanded
			}
			f := makeFilm(r, o)
			sol, err := NewSolver().Solve(context.Background(), row.make(r, f))
			return f, sol, err
		}, func(f *film, sol *Solution, err error) {
			n++
			if err != nil {
				said["not converged"]++
				return
			}
			kind := geometry.MistakeKind("")
			if sol.Mistake != nil {
				kind = sol.Mistake.What
			}
			said[kind]++
			asserted, firmly, right := false, false, 1.0
			for name, target := range usualTurns {
				m, miss := sol.Measure(name, geometry.Top)
				if miss != nil {
					continue
				}
				given++
				truth := f.truth[name+" / top"]
				half += geometry.Z95 * m.Sigma
				if math.Abs(m.Value-truth) > geometry.Z95*m.Sigma {
					missed++
				}
				j := geometry.Judge(m.Value, m.Sigma, target, geometry.Decided)
				asserted = asserted || !j.Verdict.True(truth, target)
				if j.Verdict != geometry.CantTell {
					right *= j.Probability
				}
				j = geometry.Judge(m.Value, m.Sigma, target, 0.9)
				firmly = firmly || j.Verdict.TwoSided() && !j.Verdict.True(truth, target)
			}
			expected += 1 - right
			if asserted {
				wrong++
			}
			if firmly {
				sure++
			}
		})
		fmt.Printf("%-46s asserted wrongly %4.1f %% (stated %4.1f; two-sided at 0.9 %4.1f)  turns given %4d missed %5.1f %% half %4.1f  said %v\n", row.name, 100*float64(wrong)/float64(n), 100*expected/float64(n), 100*float64(sure)/float64(n), given, 100*float64(missed)/math.Max(1, float64(given)), half/math.Max(1, float64(given)), said)
	}
}

// A few swings of each mistake that is to be named, and sound ones, which are not:
// the full table is that of make accuracy.
func TestMistakesAreNamedAndMended(t *testing.T) {
	t.Parallel()
	for k := range mistakeRows {
		row := &mistakeRows[k]
		switch row.name {
		case "sound, noise x2", "views swapped", "other hand", "face-on clip mirrored", "down-the-line clip of another golfer":
		default:
			continue
		}
		for i := range uint64(films(1, 4)) {
			r := rand.New(rand.NewPCG(21, i))
			f := makeFilm(r, row.o)
			sw := row.make(r, f)
			sol, err := NewSolver().Solve(context.Background(), sw)
			require.NoError(t, err)
			if row.want == "" {
				assert.Nil(t, sol.Mistake, row.name)
				continue
			}
			require.NotNil(t, sol.Mistake, row.name)
			assert.Equal(t, row.want, sol.Mistake.What)
			measures, missing := sol.Measures()
			assert.Empty(t, measures)
			assert.NotEmpty(t, missing)
			mended, ok := sol.Mistake.Mend(sw)
			if row.want == geometry.NotOneSwing {
				assert.False(t, ok)
				continue
			}
			require.True(t, ok)
			assert.Greater(t, sol.Mistake.AgreePx, 1.5*sol.Mistake.MendedPx)
			again, err := NewSolver().Solve(context.Background(), mended)
			require.NoError(t, err)
			assert.Nil(t, again.Mistake)
			want, got := valuesOf(solve(t, f.swing)), valuesOf(again)
			require.NotEmpty(t, got)
			for name, m := range want {
				assert.InDelta(t, m.Value, got[name].Value, 0.05, name)
			}
		}
	}
}
