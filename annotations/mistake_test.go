package annotations

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations/words"
	"turngauge/geometry"
)

func swapViews(l *Lesson) {
	c := l.Swings[0].Clips
	c[0].View, c[1].View = c[1].View, c[0].View
}

// mirror flips the marks of a clip, and its stick, as a camera does that saves
// what its owner sees of himself.
func mirror(l *Lesson, clip int) {
	s := &l.Swings[0]
	c := &s.Clips[clip]
	flip := func(p *geometry.ImagePt) { p.X = float64(c.Width) - p.X }
	for i := range s.Marks {
		if m := &s.Marks[i]; m.Clip == c.ID && m.State != geometry.Hidden {
			flip(&m.At)
		}
	}
	for i := range c.GroundLines {
		flip(&c.GroundLines[i].Ends[0])
		flip(&c.GroundLines[i].Ends[1])
	}
}

// scatter moves every mark by a normal error of so many pixels.
func scatter(l *Lesson, px float64) {
	r := rand.New(rand.NewPCG(3, 4))
	for i := range l.Swings[0].Marks {
		if m := &l.Swings[0].Marks[i]; m.State != geometry.Hidden {
			m.At.X += px * r.NormFloat64()
			m.At.Y += px * r.NormFloat64()
		}
	}
}

// A lesson with a mistake of the whole has no number and no finding anywhere: not
// in the result, not in the report, not in the table; and everywhere it says what
// mends it.
func TestAMistakeOfTheWholeLessonWithholdsEveryNumber(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(*Lesson)
		what geometry.MistakeKind
		says string
	}{
		{"views swapped", swapViews, geometry.ViewsSwapped, "Swap the views of the two clips."},
		{"other hand", func(l *Lesson) { l.Student.Handed = geometry.LeftHanded }, geometry.OtherHand, "Make the student right-handed"},
		{"one clip mirrored", func(l *Lesson) { mirror(l, 1) }, geometry.ClipMirrored, "Say of the down-the-line clip that it is mirrored."},
		{"marked without care", func(l *Lesson) { scatter(l, 25) }, geometry.NoOneBody, "Look for swapped sides"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			l := filmed(geometry.RightHanded)
			c.make(l)
			r, err := Evaluate(context.Background(), l, 0, Options{Targets: DefaultTargets(), Rules: DefaultRules()})
			require.NoError(t, err)
			require.NotNil(t, r.Mistake())
			assert.Equal(t, c.what, r.Mistake().What)
			assert.Empty(t, r.Measures)
			assert.Empty(t, r.Findings)
			report := ReportOf(l, []*Result{r})
			assert.False(t, report.Measured())
			data, err := json.Marshal(report)
			require.NoError(t, err)
			assert.Contains(t, string(data), `"mistake":{"what":"`+string(c.what)+`","ask":"`)
			assert.Contains(t, string(data), `"measures":[]`)
			reason := report.Swings[0].Missing[0].Reason
			for _, m := range report.Swings[0].Missing {
				assert.Equal(t, reason, m.Reason, "every measure is withheld for it: %s", m.Name)
			}
			assert.Contains(t, words.Sentence(report.Swings[0].Fit.Mistake.Ask)+".", c.says)
			assert.True(t, report.Swings[0].Fit.Spoilt())
		})
	}
}

// What mends a mistake is one edit, which undo takes back; then the numbers are
// those of the lesson without the mistake, in the document, too.
func TestAMistakeIsMendedByOneEdit(t *testing.T) {
	sound, err := report(filmed(geometry.RightHanded), nil)
	require.NoError(t, err)
	want := sound.Swings[0].measure(t, "pelvis turn", geometry.Top)
	for name, make := range map[string]func(*Lesson){
		"views":  swapViews,
		"hand":   func(l *Lesson) { l.Student.Handed = geometry.LeftHanded },
		"mirror": func(l *Lesson) { mirror(l, 0) },
		// set down as mirrored, and is not
		"not mirrored": func(l *Lesson) { l.Swings[0].Clips[1].Mirrored = true },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := filmed(geometry.RightHanded)
			make(l)
			r, err := Evaluate(context.Background(), l, 0, Options{})
			require.NoError(t, err)
			mend, ok := r.Mend()
			require.True(t, ok)
			e := NewEditor(l)
			require.NoError(t, e.Apply(mend))
			label, ok := e.CanUndo()
			assert.True(t, ok)
			assert.Equal(t, mend.Label(), label)

			data, err := e.Lesson().Encode()
			require.NoError(t, err)
			assert.Equal(t, name == "mirror", strings.Contains(string(data), `"mirrored": true`))
			read, warnings, err := Decode(data)
			require.NoError(t, err)
			assert.Empty(t, warnings)
			r, err = Evaluate(context.Background(), read, 0, Options{})
			require.NoError(t, err)
			assert.Nil(t, r.Mistake())
			got := r.Find("pelvis turn", geometry.Top)
			require.NotNil(t, got)
			assert.InDelta(t, want.Value, got.Value, 0.01)
			assert.InDelta(t, want.SD, got.Sigma, 0.01)
			_, ok = r.Mend()
			assert.False(t, ok, "there is nothing left to mend")

			e.Undo()
			assert.Equal(t, l, e.Lesson())
		})
	}
	_, _, err = Decode([]byte(`{"kind": "turngauge-lesson", "version": 1, "student": {"handed": "right"}, "swings": [{"id": "s",
		"clips": [{"id": "c", "view": "face-on", "width": 640, "height": 480, "mirrored": "yes"}], "positions": [], "marks": []}]}`))
	assert.ErrorContains(t, err, "swings[0].clips[0].mirrored: must be true or false, not a text")
}

// The report says how well a sound lesson is marked. Its marks err by 1.5 px with
// nothing lasting, against the usual error of 2.5 px and 8 mm.
func TestReportSaysHowWellASwingIsMarked(t *testing.T) {
	l := filmed(geometry.RightHanded)
	rep, err := report(l, nil)
	require.NoError(t, err)
	f := rep.Swings[0].Fit
	assert.Nil(t, f.Mistake)
	require.NotNil(t, f.ToldPx)
	assert.InDelta(t, 1.5, *f.ToldPx, 0.25)
	assert.Less(t, *f.ToldLow95, *f.ToldPx)
	assert.Less(t, *f.ToldPx, *f.ToldHigh95)
	require.Len(t, f.Noise, geometry.NumClasses)
	for i, n := range f.Noise {
		assert.Equal(t, geometry.PointClass(i).String(), n.Class)
		assert.Less(t, n.Low95, n.Scale)
		assert.Less(t, n.Scale, n.High95)
		assert.Less(t, n.Low95, 1.0, n.Class)
	}
	assert.Empty(t, f.Misfits)

	// Hips on the wrong place at impact, in both views, are named.
	for i := range l.Swings[0].Marks {
		if m := &l.Swings[0].Marks[i]; m.Position == geometry.Impact && (m.Point == geometry.LeadHip || m.Point == geometry.TrailHip) {
			m.At.Y += 22 * float64(1-2*(i%2))
			m.At.X -= 18
		}
	}
	rep, err = report(l, nil)
	require.NoError(t, err)
	f = rep.Swings[0].Fit
	require.NotEmpty(t, f.Misfits)
	assert.Equal(t, "hip", f.Misfits[0].Class)
	assert.Equal(t, geometry.Impact, f.Misfits[0].Position)
	assert.Regexp(t, `(?i)the hips at impact fit one body \d+\.\d times less well than the rest`, f.Misfits[0].Reason)
}

// With few marks there is nothing to tell, and the interval of a scale is wide.
func TestFewMarksDoNotSayHowWellTheyAgree(t *testing.T) {
	l := filmed(geometry.RightHanded)
	s := &l.Swings[0]
	var few []Mark
	for _, m := range s.Marks {
		if m.Clip == "fo" && m.Position == geometry.Address && (m.Point == geometry.LeadHip || m.Point == geometry.TrailHip || m.Point == geometry.LeadToe) {
			few = append(few, m)
		}
	}
	s.Marks = few
	rep, err := report(l, nil)
	require.NoError(t, err)
	f := rep.Swings[0].Fit
	require.NotNil(t, f)
	assert.Nil(t, f.ToldPx)
	for _, n := range f.Noise {
		assert.Greater(t, n.High95/n.Low95, 5.0, n.Class)
	}
}
