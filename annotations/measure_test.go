package annotations

import (
	"context"
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
	"turngauge/geometry/golfer"
)

var update = flag.Bool("update", false, "write the marked lesson of testdata anew")

// filmed returns a lesson with Mara's swing marked where two virtual phones
// see her points, each mark off by 1.5 px of seeded noise. A left-hander is
// her mirror image, filmed from where a left-hander is filmed from.
func filmed(handed geometry.Handed) *Lesson {
	return filmedBy(handed, geometry.Camera{FocalPx: 1400, Width: 1920, Height: 1080}, false)
}

// filmedBy films face-on with a camera of a focal length and a size of picture.
// What falls outside a picture is marked where it must be, or else hidden.
func filmedBy(handed geometry.Handed, faceOn geometry.Camera, outside bool) *Lesson {
	const fps = 240
	model := golfer.Mara()
	cameras := []geometry.Camera{
		{Position: geometry.WorldPt{X: 0.15, Y: 1.05, Z: 4.2}, FocalPx: faceOn.FocalPx, Width: faceOn.Width, Height: faceOn.Height},
		{Position: geometry.WorldPt{X: -4.6, Y: 1.15, Z: 0.35}, FocalPx: 1450, Width: 1920, Height: 1080},
	}
	cameras[0].Rotation = geometry.LookAt(cameras[0].Position, geometry.WorldPt{X: 0.05, Y: 0.95}, 0.01)
	cameras[1].Rotation = geometry.LookAt(cameras[1].Position, geometry.WorldPt{Y: 0.9, Z: 0.3}, -0.015)
	s := Swing{
		ID: "s1", Label: "7-iron, full swing", Club: Club{Name: "7-iron", LengthM: model.Params.Club.Length},
		Clips: []Clip{
			{ID: "fo", View: geometry.FaceOn, Width: faceOn.Width, Height: faceOn.Height, TimeBase: [2]int64{1, 90000}},
			{ID: "dl", View: geometry.DownTheLine, Width: 1920, Height: 1080, TimeBase: [2]int64{1, 90000}},
		},
	}
	rng := rand.New(rand.NewPCG(5, 6))
	see := func(clip int, p geometry.WorldPt) geometry.ImagePt {
		at, err := cameras[clip].Project(p)
		if err != nil {
			panic(err)
		}
		at.X += 1.5 * rng.NormFloat64()
		at.Y += 1.5 * rng.NormFloat64()
		if handed == geometry.LeftHanded {
			at.X = float64(cameras[clip].Width) - at.X
		}
		return at
	}
	s.Clips[0].GroundLines = []GroundLine{{LengthM: 1.22, Along: geometry.AlongTargetLine, Ends: [2]geometry.ImagePt{
		see(0, geometry.WorldPt{X: -0.61, Z: 0.95}), see(0, geometry.WorldPt{X: 0.61, Z: 0.95})}}}
	events := model.Events()
	for _, name := range geometry.KeyPositions {
		t := events[name]
		pose := model.At(t)
		p := Position{Name: name}
		for c, clip := range s.Clips {
			index := int(math.Round((t + 0.5 + 0.2*float64(c)) * fps))
			p.Frames = append(p.Frames, FrameRef{Clip: clip.ID, Index: index, PTS: int64(index) * 90000 / fps})
			for k := range geometry.Point(geometry.NumPoints) {
				if k == geometry.Ball && (name == geometry.Finish) {
					continue
				}
				m := Mark{Clip: clip.ID, Position: name, Point: k, At: see(c, pose.Points[k])}
				if at := m.At; !outside && (at.X < 0 || at.X > float64(clip.Width) || at.Y < 0 || at.Y > float64(clip.Height)) {
					m.At, m.State = geometry.ImagePt{}, geometry.Hidden
				}
				s.Marks = append(s.Marks, tidy(m))
			}
		}
		s.Positions = append(s.Positions, p)
	}
	return &Lesson{
		ID: "01JTB0000000000000000000AA", Title: "A marked swing", Date: "2026-05-02",
		Student: Student{Name: "Mara Lindqvist", Handed: handed, StatureM: model.Params.Stature, StatureSDM: 0.01, MassKg: model.Params.MassKg, Sex: geometry.Female},
		Coach:   "Odalys Brandt", Place: "Fjordholm practice ground",
		Swings: []Swing{s},
	}
}

// truths are measures worked out from the golfer's points by school geometry.
func truths() map[string]float64 {
	model := golfer.Mara()
	events := model.Events()
	address, top := model.At(events[geometry.Address]).Points, model.At(events[geometry.Top]).Points
	heading := func(p [geometry.NumPoints]geometry.WorldPt, lead geometry.Point) float64 {
		a, b := p[lead.Opposite()], p[lead]
		return math.Atan2(b.Z-a.Z, b.X-a.X) * 180 / math.Pi
	}
	pelvis := heading(top, geometry.LeadHip) - heading(address, geometry.LeadHip)
	torso := heading(top, geometry.LeadShoulder) - heading(address, geometry.LeadShoulder)
	toe, heel := address[geometry.LeadToe], address[geometry.LeadHeel]
	middle := func(p [geometry.NumPoints]geometry.WorldPt) float64 {
		return (p[geometry.LeadHip].X + p[geometry.TrailHip].X) / 2
	}
	return map[string]float64{
		"pelvis turn": pelvis, "torso turn": torso, "separation": torso - pelvis,
		"lead foot flare": math.Atan2(toe.X-heel.X, toe.Z-heel.Z) * 180 / math.Pi,
		"sway":            100 * (middle(top) - middle(address)),
	}
}

// report measures a lesson.
func report(l *Lesson, t Targets) (*Report, error) {
	results, err := EvaluateAll(context.Background(), l, Options{Targets: t})
	if err != nil {
		return nil, err
	}
	return ReportOf(l, results), nil
}

func (r *SwingReport) measure(t *testing.T, name string, at geometry.PositionName) MeasureReport {
	t.Helper()
	for _, m := range r.Measures {
		if m.Name == name && m.Position == at {
			return m
		}
	}
	require.Failf(t, "not measured", "%s at %s; missing: %v", name, at, r.Missing)
	return MeasureReport{}
}

// TestMeasureFindsTheTruth measures a marked swing and its mirror image.
func TestMeasureFindsTheTruth(t *testing.T) {
	for _, handed := range []geometry.Handed{geometry.RightHanded, geometry.LeftHanded} {
		l := filmed(handed)
		require.NoError(t, l.Validate())
		r, err := report(l, DefaultTargets())
		require.NoError(t, err)
		s := &r.Swings[0]
		require.NotNil(t, s.Fit)
		assert.Equal(t, geometry.Converged, s.Fit.Status)
		assert.Empty(t, s.Fit.Suspects)
		for name, want := range truths() {
			at := geometry.Top
			if name == "lead foot flare" {
				at = geometry.Address
			}
			m := s.measure(t, name, at)
			// Three standard deviations: five measures twice, and the marks
			// are drawn from one seed.
			assert.InDelta(t, want, m.Value, 3*m.SD, "%s, hand %d", name, handed)
			assert.Less(t, m.SD, 8.0, name)
			assert.InDelta(t, 1.96*m.SD, (m.High95-m.Low95)/2, 0.01*m.SD+1e-3, name)
			if m.Target != nil {
				assert.NotEmpty(t, m.Verdict)
			}
		}
		e := golfer.Mara().Events()
		assert.InDelta(t, (e[geometry.Top]-e[geometry.Address])/(e[geometry.Impact]-e[geometry.Top]),
			s.measure(t, "tempo", geometry.Impact).Value, 0.1, "frames of 1/240 s")
	}
}

func TestProblemKeepsWhatIsKnown(t *testing.T) {
	l := exampleLesson(t)
	l.Student.Handed = geometry.LeftHanded
	p, refs := Problem(l, 0)
	assert.Equal(t, geometry.Golfer{Handed: geometry.LeftHanded, StatureM: 1.72, StatureSigmaM: 0.01, MassKg: 66, Sex: geometry.Female}, p.Golfer)
	assert.Equal(t, 0.94, p.ClubLengthM)
	require.Len(t, p.Clips, 2)
	assert.Equal(t, 1387.0, p.Clips[0].FocalPx)
	assert.Equal(t, geometry.GroundLine{LengthM: 1.22, Along: geometry.AlongTargetLine,
		Ends: [2]geometry.ImagePt{{X: 512, Y: 955.5}, {X: 1405, Y: 957}}}, p.Clips[0].GroundLines[0])
	require.Len(t, p.Positions, 2)
	assert.Equal(t, 0.05, p.Positions[0].Seconds[0], "4500 ticks of 1/90000 s")
	assert.True(t, math.IsNaN(p.Positions[0].Seconds[1]), "the clip gives no time base")
	assert.True(t, math.IsNaN(p.Positions[1].Seconds[1]), "no frame is chosen")
	assert.InDelta(t, 0.95/228, p.Positions[0].FrameSeconds[0], 1e-12, "228 frames in 0.95 s")
	assert.Zero(t, p.Positions[0].FrameSeconds[1])
	require.Len(t, p.Marks, 3)
	assert.Equal(t, MarkRefs{0, 1, 2}, refs)
	assert.Equal(t, geometry.Mark{Clip: 0, Position: 0, Point: geometry.LeadHip, At: geometry.ImagePt{X: 1001.5, Y: 577}, SigmaPx: 2.5, LowConfidence: true}, p.Marks[0])
	assert.Equal(t, geometry.Mark{Clip: 1, Position: 0, Point: geometry.LeadHip, State: geometry.Hidden}, p.Marks[2])
}

func TestTooLittleGivesReasonsAndNoNumbers(t *testing.T) {
	l := NewLesson()
	l.Swings = []Swing{{ID: "a"}}
	r, err := report(l, nil)
	require.NoError(t, err)
	assert.False(t, r.Measured())
	assert.NotEmpty(t, r.Swings[0].Missing)
	data, err := json.Marshal(r)
	require.NoError(t, err)
	assert.Contains(t, string(data), `"measures":[]`)
}

func TestEvaluateStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := EvaluateAll(ctx, filmed(geometry.RightHanded), Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestSuspectsAreNamedByTheirPlaceInTheDocument(t *testing.T) {
	l := filmed(geometry.RightHanded)
	s := &l.Swings[0]
	bad := s.MarkIndex("fo", geometry.Top, geometry.LeadKnee)
	s.Marks[bad].At.X += 120
	r, err := report(l, DefaultTargets())
	require.NoError(t, err)
	require.NotEmpty(t, r.Swings[0].Fit.Suspects)
	x := r.Swings[0].Fit.Suspects[0]
	assert.Equal(t, bad, x.Mark)
	assert.Equal(t, "lead knee", x.Point)
	assert.Equal(t, "fo", x.Clip)
}

// TestMarkedLessonInTestdata checks that the lesson of testdata is in the
// program's own layout; -update writes it anew from the golfer as it is now.
func TestMarkedLessonInTestdata(t *testing.T) {
	path := filepath.Join("..", "testdata", "lessons", "marked.json")
	if *update {
		require.NoError(t, Save(path, filmed(geometry.RightHanded)))
	}
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	l, _, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, string(got), encoded(t, l))
}

func TestDefaultTargets(t *testing.T) {
	names := map[string]geometry.Unit{}
	for _, d := range geometry.Definitions() {
		names[d.Name] = d.Unit
	}
	for _, x := range DefaultTargets() {
		assert.Contains(t, names, x.Measure)
		assert.Less(t, x.Range.Low, x.Range.High, x.Measure)
		assert.True(t, strings.HasPrefix(x.Source, "default, coach may edit: "), x.Measure)
		assert.Greater(t, len(x.Source), 40, "a source, or that it has none")
	}
}

func TestTargetsFindTheMostParticular(t *testing.T) {
	ts := append(DefaultTargets(),
		Target{Measure: "pelvis turn", Position: geometry.Top, Sex: geometry.Female, Range: geometry.Range{Low: 45, High: 65}},
		Target{Measure: "pelvis turn", Position: geometry.Top, Clubs: Driver, Range: geometry.Range{Low: 50, High: 70}},
		Target{Measure: "pelvis turn", Position: geometry.Top, Clubs: Driver, Range: geometry.Range{Low: 51, High: 71}})
	for _, c := range []struct {
		at    geometry.PositionName
		clubs ClubGroup
		sex   geometry.Sex
		low   float64
	}{
		{geometry.Top, MidIron, geometry.Male, 40},
		{geometry.Top, MidIron, geometry.Female, 45},
		{geometry.Top, Driver, geometry.Female, 51},
		{geometry.Impact, Driver, geometry.Female, -50},
	} {
		x, ok := ts.Find("pelvis turn", c.at, c.clubs, c.sex)
		require.True(t, ok)
		assert.Equal(t, c.low, x.Range.Low)
	}
	_, ok := ts.Find("pelvis turn", geometry.Delivery, Driver, geometry.Male)
	assert.False(t, ok)
	_, ok = ts.Find("stance width over shoulder breadth", geometry.Address, AnyClub, geometry.Male)
	assert.False(t, ok, "without a club there is no range for it")
}

func TestTargetsTravelAsJSON(t *testing.T) {
	ts := append(DefaultTargets(), Target{Measure: "sway", Sex: geometry.Male, Range: geometry.Range{Low: math.Inf(-1), High: 3}, Source: "Odalys Brandt"})
	data, err := json.Marshal(ts)
	require.NoError(t, err)
	var back Targets
	require.NoError(t, json.Unmarshal(data, &back))
	assert.Equal(t, ts, back)
	err = json.Unmarshal([]byte(`[{"measure":"sway","low":3,"high":1},{"low":1},{"measure":"a","low":1,"sex":"x"},{"measure":"a"},{"measure":"a","low":1,"clubs":"spoon"}]`), &back)
	require.Error(t, err)
	for _, want := range []string{"[0]: low 3 is above high 1", "[1].measure: is missing", `[2].sex: "x" is not known`, "[3]: has neither low nor high", `[4].clubs: "spoon" is not known`} {
		assert.ErrorContains(t, err, want)
	}
}

func TestClubGroups(t *testing.T) {
	for name, want := range map[string]ClubGroup{
		"7-iron": MidIron, "7 Iron": MidIron, "5i": MidIron, "9-iron": ShortIron, "pitching wedge": ShortIron, "PW": ShortIron,
		"Driver": Driver, "3-wood": AnyClub, "4 hybrid": AnyClub, "": AnyClub, "putter": AnyClub,
	} {
		assert.Equal(t, want, Club{Name: name}.Group(), name)
	}
}

func TestRoundedHasNoNegativeZero(t *testing.T) {
	assert.False(t, math.Signbit(Rounded(-1e-9)))
	assert.Equal(t, 1.2346, Rounded(1.23456))
}

func BenchmarkMeasure(b *testing.B) {
	l := filmed(geometry.RightHanded)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := report(l, DefaultTargets()); err != nil {
			b.Fatal(err)
		}
	}
}

// TestTakenMarksAreToldApart: the fit must know which marks were taken as they
// were proposed. One of those is the only one of its kind, while marks that came
// of following check each other, so its intervals are wider.
func TestTakenMarksAreToldApart(t *testing.T) {
	l := filmed(geometry.RightHanded)
	widths := func(state geometry.MarkState) map[string]float64 {
		c := l.Clone()
		for i := range c.Swings[0].Marks {
			if m := &c.Swings[0].Marks[i]; m.Point == geometry.Head && m.State != geometry.Hidden {
				m.State, m.SDPx, m.SharedBiasPx = state, 9, 5
			}
		}
		require.NoError(t, c.Validate())
		r, err := Evaluate(context.Background(), c, 0, Options{})
		require.NoError(t, err)
		out := map[string]float64{}
		for _, m := range r.Measures {
			out[m.Name+" @ "+string(m.Position)] = m.Sigma
		}
		return out
	}
	taken, tracked := widths(geometry.Placed), widths(geometry.Tracked)
	const measure = "head travel to target @ top"
	require.Positive(t, tracked[measure])
	assert.Greater(t, taken[measure], 1.001*tracked[measure])
}

// TestDefaultRangesAreThere holds the ranges of the turns, by which a lesson is judged
// first, to the figures that the sources beside them give, and every range to a measure
// that exists and a position at which it does.
func TestDefaultRangesAreThere(t *testing.T) {
	ts := DefaultTargets()
	for _, c := range []struct {
		measure string
		at      geometry.PositionName
		want    geometry.Range
	}{
		{"pelvis turn", geometry.Top, geometry.Range{Low: 40, High: 60}},      // 55 and 53 deg, McTeigue et al. 1994
		{"torso turn", geometry.Top, geometry.Range{Low: 80, High: 100}},      // 87 deg, McTeigue et al. 1994
		{"separation", geometry.Top, geometry.Range{Low: 30, High: 50}},       // their difference, 32 deg
		{"pelvis turn", geometry.Impact, geometry.Range{Low: -50, High: -30}}, // common practice, no source
		{"torso turn", geometry.Impact, geometry.Range{Low: -40, High: -15}},  // common practice, no source
	} {
		got, ok := ts.Find(c.measure, c.at, AnyClub, geometry.SexUnset)
		require.True(t, ok, "%s at %s", c.measure, c.at)
		assert.Equal(t, c.want, got.Range, "%s at %s", c.measure, c.at)
	}
	for _, x := range ts {
		if x.Measure == "tempo" {
			continue // no measure of a position
		}
		d := geometry.DefinitionOf(x.Measure)
		require.NotNil(t, d, x.Measure)
		assert.Less(t, x.Range.Low, x.Range.High, x.Measure)
		assert.True(t, x.Position == "" || d.AppliesTo(x.Position), "%s at %s", x.Measure, x.Position)
		assert.NotEmpty(t, x.Source)
	}
}
