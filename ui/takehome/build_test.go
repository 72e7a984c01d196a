package takehome

import (
	"bytes"
	"context"
	"image/jpeg"
	"image/png"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/annotations"
	"turngauge/annotations/words"
	"turngauge/geometry"
	"turngauge/geometry/fit"
)

func TestTheSheetSaysWhatTheCoachFound(t *testing.T) {
	l, path := fixture(t)
	before := earlier(l)
	found(l)
	steps, total := 0, 0
	s := build(t, Request{Lesson: l, Path: path, Earlier: before, Progress: func(done, of int) {
		assert.Greater(t, done, steps)
		steps, total = done, of
	}})
	assert.LessOrEqual(t, steps, total)
	assert.Equal(t, []string{"2 May 2026", "Coach Odalys Brandt", "Fjordholm practice ground", "7-iron"}, s.facts())
	assert.Equal(t, "Three things to know about your swing, and what to do about it until we meet again.", s.Lead)
	require.Len(t, s.Findings, 3)
	f := s.Findings[0]
	assert.Equal(t, []string{"31°", "25 to 37°", "Pelvis turn at the top", "below"}, []string{f.Number, f.Interval, s.Found[0].Name, string(f.Verdict)})
	assert.Equal(t, "31°, 95 % interval 25 to 37°; we look for 40 to 60°; below; last time "+toldNow(t, l, before, "pelvis turn", geometry.Top), s.Found[0].Scale.Says)
	assert.Nil(t, s.Findings[2].Picture)
	require.Len(t, s.Found, 2)
	require.Len(t, s.Strip, mostInStrip)
	assert.Equal(t, []string{"Address", "Top", "Impact", "Finish"}, []string{s.Strip[0].Caption, s.Strip[1].Caption, s.Strip[2].Caption, s.Strip[3].Caption})
	require.Len(t, s.Plans, 2, "before and now")
	assert.Contains(t, s.Plans[0].Says, "4 April 2026")
	assert.Equal(t, "4 April 2026", s.Earlier)
	// The toe was marked elsewhere, so the flare has really changed, and nothing
	// that does not rest on it has.
	require.NotEmpty(t, s.Changes)
	assert.Equal(t, "Lead foot flare at address", s.Changes[0].Name)
	assert.True(t, s.Changes[0].Known)
	for _, c := range s.Changes[1:] {
		if c.Name == "Balance at address" { // of which the toe is the front edge
			continue
		}
		assert.False(t, c.Known, c.Name)
		assert.Equal(t, "can't tell", c.Word)
	}
	assert.Contains(t, s.Cautions, "licensed professional")
	assert.Equal(t, 2, strings.Count(s.How, ". ")+1, "two sentences: %s", s.How)
	for _, n := range s.Notes { // the findings were not taken from these marks
		assert.Contains(t, n, "as when it was taken")
	}
}

// A swing with a mistake of the whole has a sheet without numbers: what was found
// before the mistake was made is left out, what the coach wrote himself stays.
func TestAMistakeLeavesNoNumberOnTheSheet(t *testing.T) {
	l, path := fixture(t)
	before := earlier(l)
	found(l)
	l.Student.Handed = geometry.LeftHanded
	s := build(t, Request{Lesson: l, Path: path, Earlier: before})
	require.Len(t, s.Findings, 1)
	assert.Equal(t, "The grip is as it should be: keep it.", s.Findings[0].Text)
	assert.Empty(t, s.Numbers)
	assert.Empty(t, s.Changes)
	for _, p := range s.Plans {
		assert.NotContains(t, p.Says, "2 May 2026")
	}
	assert.Contains(t, s.Notes, "There are no numbers on the sheet: the marks fit a right-handed golfer, but the student is set down as left-handed.")
	assert.Contains(t, s.Notes, "2 findings are left out: the numbers are withheld.")
	assert.Equal(t, "Half swings with the trail heel against a wall.", s.Work.Drill)

	// An earlier lesson with a mistake is no comparison.
	l.Student.Handed = geometry.RightHanded
	before.Student.Handed = geometry.LeftHanded
	s = build(t, Request{Lesson: l, Path: path, Earlier: before})
	assert.Empty(t, s.Changes)
	assert.NotEmpty(t, s.Numbers)
	assert.Contains(t, s.Notes, "The sheet compares with nothing. Of the earlier lesson, the marks fit a right-handed golfer, but the student is set down as left-handed.")
}

// TestResultsThatAreThereAreTaken gives the sheet a result with a number that the
// marks don't give.
func TestResultsThatAreThereAreTaken(t *testing.T) {
	l, path := fixture(t)
	r, err := annotations.Evaluate(context.Background(), l, 0, annotations.Options{Targets: annotations.DefaultTargets()})
	require.NoError(t, err)
	build := func(results ...*annotations.Result) *Sheet {
		s, err := Build(context.Background(), &Request{Lesson: l, Path: path, Results: results})
		require.NoError(t, err)
		return s
	}
	anew, known := build(), build(r)
	assert.Equal(t, anew.Numbers, known.Numbers)
	i := slices.IndexFunc(r.Measures, func(m annotations.Measured) bool { return m.Target != nil })
	r.Measures[i].Value += 1000
	assert.NotEqual(t, anew.Numbers, build(r).Numbers)
}

// toldNow measures a lesson through the geometry package.
func toldNow(t *testing.T, now, l *annotations.Lesson, name string, position geometry.PositionName) string {
	problem, _ := annotations.Problem(l, 0)
	solution, err := fit.NewSolver().Solve(context.Background(), problem)
	require.NoError(t, err)
	measures, _ := solution.Measures()
	for _, m := range measures {
		if m.Name == name && m.Position == position {
			return words.Told(m.Unit, false).Value(m.Value)
		}
	}
	t.Fatalf("%s is not measured", name)
	return ""
}

func TestAFindingsPictureIsItsFrame(t *testing.T) {
	l, path := fixture(t)
	found(l)
	s := build(t, Request{Lesson: l, Path: path})
	sw := &l.Swings[0]
	for i, c := range []struct {
		view     geometry.View
		position geometry.PositionName
		blue     int // more than grey
		caption  string
	}{
		{geometry.FaceOn, geometry.Top, 0, "Face-on, at the top (frame 31)"},
		{geometry.DownTheLine, geometry.Address, 40, "Down the line, at address (frame 17)"},
	} {
		p := s.Findings[i].Picture
		require.NotNil(t, p)
		assert.Equal(t, c.caption, p.Caption)
		img, err := jpeg.Decode(bytes.NewReader(p.JPEG))
		require.NoError(t, err)
		assert.Equal(t, p.Width, img.Bounds().Dx())
		ref, ok := sw.FrameOf(sw.ClipOf(c.view).ID, c.position)
		require.True(t, ok)
		// A corner, where nothing is drawn: brightness, of which green is most,
		// tells the frame, as a neighbour differs by 3 levels; both codecs round
		// the colour more coarsely.
		r, g, b, _ := img.At(2, 2).RGBA()
		assert.InDelta(t, grey(ref.Index), g>>8, 1.5)
		assert.InDelta(t, c.blue, int(b>>8)-int(r>>8), 10)
		lines := 0
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, g, b, _ := img.At(x, y).RGBA(); max(r, g, b)-min(r, g, b) > 70<<8 {
					lines++
				}
			}
		}
		assert.Greater(t, lines, 20, "the lines that matter are drawn")
		assert.Less(t, lines, p.Width*p.Height/10)
	}
}

func TestSheetsOfLittle(t *testing.T) {
	t.Parallel()
	t.Run("one view", func(t *testing.T) {
		l, path := fixture(t)
		oneView(found(l), geometry.DownTheLine)
		l.Student.StatureM, l.Student.StatureSDM = 0, 0
		s := build(t, Request{Lesson: l, Path: path})
		require.NotNil(t, s.Findings[0].Picture, "the other view will do")
		assert.Contains(t, s.Findings[0].Picture.Caption, "Down the line")
		assert.Contains(t, strings.Join(s.Next, " "), "Film the swing face-on as well")
		assert.Contains(t, s.How, "a single clip filmed down the line")
	})
	t.Run("no findings", func(t *testing.T) {
		l, path := fixture(t)
		s := build(t, Request{Lesson: l, Path: path})
		assert.Empty(t, s.Findings)
		assert.Contains(t, s.Lead, "Your coach has taken no finding from this swing.")
		assert.NotEmpty(t, s.Numbers)
		assert.NotEmpty(t, s.Next)
	})
	t.Run("can't tell", func(t *testing.T) {
		l, path := fixture(t)
		for i := range l.Swings[0].Marks { // marks that scatter, as their coach says
			l.Swings[0].Marks[i].SDPx = 12
		}
		oneView(l, geometry.FaceOn)
		narrow := annotations.Target{Measure: "pelvis height change", Position: geometry.Impact, Range: geometry.Range{Low: -1, High: 1}}
		s := build(t, Request{Lesson: l, Path: path, Targets: annotations.Targets{narrow}})
		require.NotEmpty(t, s.Numbers)
		for _, n := range s.Numbers {
			assert.Equal(t, geometry.CantTell, n.Verdict, n.Name)
		}
		assert.Contains(t, s.Lead, "Nothing can be told yet")
		assert.NotEmpty(t, s.Next, "what would settle it")
	})
	t.Run("nothing marked", func(t *testing.T) {
		l, path := fixture(t)
		l.Swings[0].Marks = nil
		s := build(t, Request{Lesson: l, Path: path})
		assert.Contains(t, s.Lead, "Nothing could be measured")
		assert.NotEmpty(t, s.Next)
		assert.Empty(t, s.Numbers)
		assert.Empty(t, s.Plans)
		assert.Contains(t, s.How, "Nothing was marked")
	})
	t.Run("clips gone", func(t *testing.T) {
		l, _ := fixture(t)
		found(l)
		s := build(t, Request{Lesson: l, Path: filepath.Join(t.TempDir(), "lesson.json")})
		assert.Nil(t, s.Findings[0].Picture)
		said := strings.Join(s.Notes, "\n")
		assert.NotContains(t, said, "..")
		assert.Contains(t, said, "face-on clip can't be read")
		assert.Contains(t, said, "down-the-line clip can't be read")
	})
	t.Run("another clip", func(t *testing.T) {
		l, path := fixture(t)
		found(l)
		l.Swings[0].ClipOf(geometry.FaceOn).Width += 2
		s := build(t, Request{Lesson: l, Path: path})
		assert.Nil(t, s.Findings[0].Picture)
		assert.Contains(t, strings.Join(s.Notes, "\n"), "480 × 270 pixels, the clip that was marked 482 × 270")
	})
}

// A left-hander's sheet is the right-hander's in the mirror: the same numbers,
// the target on the other side.
func TestALeftHandersSheet(t *testing.T) {
	l, path := fixture(t)
	right := build(t, Request{Lesson: l, Path: path})
	left := build(t, Request{Lesson: leftHanded(l.Clone()), Path: path})
	assert.Contains(t, right.PlanNote, "target to the right")
	assert.Contains(t, left.PlanNote, "target to the left")
	require.Equal(t, len(right.Numbers), len(left.Numbers))
	for i := range right.Numbers {
		assert.Equal(t, right.Numbers[i].Number, left.Numbers[i].Number, right.Numbers[i].Name)
	}
	a, b := &right.Plans[0], &left.Plans[0]
	require.Len(t, b.Shapes, len(a.Shapes))
	for i := range a.Shapes {
		if len(a.Shapes[i].Path) == 0 {
			continue
		}
		lo, hi := bounds(a.Shapes[i].Path)
		mlo, mhi := bounds(b.Shapes[i].Path)
		// The two fits take their own steps; they end within a millimetre.
		assert.InDelta(t, a.Width-hi.X, mlo.X, 1, "shape %d", i)
		assert.InDelta(t, a.Width-lo.X, mhi.X, 1, "shape %d", i)
		assert.InDelta(t, lo.Y, mlo.Y, 1, "shape %d", i)
	}
}

func TestWhichSwing(t *testing.T) {
	l := annotations.NewLesson()
	r := Request{Lesson: l}
	_, err := Build(context.Background(), &r)
	assert.ErrorIs(t, err, ErrNoSwing)
	l.Swings = []annotations.Swing{{ID: "a"}, {ID: "b", Marks: []annotations.Mark{{}}}, {ID: "c", Marks: []annotations.Mark{{}}}}
	i, err := r.swingIndex()
	require.NoError(t, err)
	assert.Equal(t, 1, i, "the first with marks")
	l.Swings[2].Findings = []annotations.Finding{{ID: "f"}}
	i, _ = r.swingIndex()
	assert.Equal(t, 2, i, "the first with findings")
	r.Swing = "a"
	i, _ = r.swingIndex()
	assert.Equal(t, 0, i)
	r.Swing = "z"
	_, err = r.swingIndex()
	assert.ErrorIs(t, err, ErrNoSwing)
	assert.ErrorContains(t, err, `"a", "b" and "c"`)
}

func TestWritingStops(t *testing.T) {
	l, path := fixture(t)
	ctx, cancel := context.WithCancel(context.Background())
	pdf := filepath.Join(filepath.Dir(path), "sheet.pdf")
	found(l)
	_, err := Write(ctx, Request{Lesson: l, Path: path, PDF: pdf, Progress: func(int, int) { cancel() }})
	assert.ErrorIs(t, err, context.Canceled)
	assert.NoFileExists(t, pdf)
}

func TestAFileThatCantBeWritten(t *testing.T) {
	l, path := fixture(t)
	_, err := Write(context.Background(), Request{Lesson: l, Path: path, PDF: filepath.Join(filepath.Dir(path), "no", "such", "sheet.pdf")})
	assert.ErrorContains(t, err, "sheet.pdf can't be written")
	assert.NotContains(t, err.Error(), ".sheet.pdf", "nothing of the temporary file")
}

func TestAFindingWithoutARange(t *testing.T) {
	l, path := fixture(t)
	found(l)
	f := &l.Swings[0].Findings[0]
	f.Position = geometry.Delivery
	f.Measure, f.Value, f.Low95, f.High95, f.Unit = "head travel to target", -9, -12, -6, geometry.Centimetres
	s := build(t, Request{Lesson: l, Path: path, Imperial: true})
	g := s.Findings[0]
	assert.Empty(t, g.Verdict, "there is no range to be below of")
	assert.Equal(t, "Your head travel to target at delivery was away 3.5 inches.", g.Plain)
	assert.Equal(t, "away 3.5 in, 95 % interval away 2.4 to 4.7 in", s.Found[0].Scale.Says)
	require.NotNil(t, g.Picture)
}

// TestTheWallPictureShowsTheFirstPage: as wide as the paper, with the photographs in it,
// the same every time.
func TestTheWallPictureShowsTheFirstPage(t *testing.T) {
	l, path := fixture(t)
	found(l)
	s := build(t, Request{Lesson: l, Path: path, Academy: Academy{Name: "Fjordholm Golf Academy", Address: "Strandvej 4"}})
	data, err := s.Image(A4)
	require.NoError(t, err)
	again, err := s.Image(A4)
	require.NoError(t, err)
	assert.Equal(t, data, again)
	keep(t, "wall.png", data)
	im, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	assert.InDelta(t, 595.28*imageScale, im.Bounds().Dx(), 1) // ISO 216: A4 is 210 mm wide
	grey, ink := 0, 0
	for y := range im.Bounds().Dy() {
		for x := range im.Bounds().Dx() {
			switch r, g, b, _ := im.At(x, y).RGBA(); {
			case r == g && g == b && r>>8 > 40 && r>>8 < 220:
				grey++ // the clips are of one grey
			case r>>8 < 40:
				ink++
			}
		}
	}
	assert.Greater(t, grey, 4*100*100, "photographs")
	assert.Greater(t, ink, 2000, "words")
}
