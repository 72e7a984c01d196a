package annotations

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"turngauge/geometry"
)

// bounded is a lesson with one of everything that has limits.
func bounded() *Lesson {
	l := NewLesson()
	l.Swings = []Swing{{
		ID: "s1", Clips: []Clip{{ID: "fo", View: geometry.FaceOn, Width: 1920, Height: 1080, GroundLines: []GroundLine{{Ends: [2]geometry.ImagePt{{X: 10, Y: 10}, {X: 50, Y: 50}}}}}},
		Positions: []Position{{Name: geometry.Address, Frames: []FrameRef{{Clip: "fo"}}}},
		Marks:     []Mark{{Clip: "fo", Position: geometry.Address, Point: geometry.LeadHip, At: geometry.ImagePt{X: 100, Y: 100}}},
	}}
	return l
}

// TestLimitsOfTheDocument brings each number of a document to the last value that it may
// have and beyond. The limits are those that the faults state, the format's own.
func TestLimitsOfTheDocument(t *testing.T) {
	require.NoError(t, bounded().Validate())
	nan, inf := math.NaN(), math.Inf(1)
	clip := func(l *Lesson) *Clip { return &l.Swings[0].Clips[0] }
	line := func(l *Lesson) *GroundLine { return &clip(l).GroundLines[0] }
	frame := func(l *Lesson) *FrameRef { return &l.Swings[0].Positions[0].Frames[0] }
	mark := func(l *Lesson) *Mark { return &l.Swings[0].Marks[0] }
	for _, c := range []struct {
		at       string
		set      func(l *Lesson, v float64)
		in, over []float64
	}{
		{"student.stature_m", func(l *Lesson, v float64) { l.Student.StatureM = v }, []float64{0, 0.8, 2.6}, []float64{0.79, 2.61, 172, nan}},
		{"student.stature_sd_m", func(l *Lesson, v float64) { l.Student.StatureSDM = v }, []float64{0, 0.0001, 0.5}, []float64{0.00009, 0.51, -1}},
		{"student.mass_kg", func(l *Lesson, v float64) { l.Student.MassKg = v }, []float64{0, 10, 350}, []float64{9.9, 350.1, inf}},
		{"swings[0].club.length_m", func(l *Lesson, v float64) { l.Swings[0].Club.LengthM = v }, []float64{0, 0.3, 1.6}, []float64{0.29, 1.61, 45}},
		{"swings[0].clips[0].width", func(l *Lesson, v float64) { clip(l).Width = int(v) }, []float64{1920, 16384}, []float64{15, 16385, 0}},
		{"swings[0].clips[0].height", func(l *Lesson, v float64) { clip(l).Height = int(v) }, []float64{1080, 16384}, []float64{15, 16385, -1}},
		{"swings[0].clips[0].filmed_fps", func(l *Lesson, v float64) { clip(l).FilmedFPS = v }, []float64{0, 1, 20000}, []float64{0.9, 20001, nan}},
		{"swings[0].clips[0].focal_px", func(l *Lesson, v float64) { clip(l).FocalPx = v }, []float64{0, 384, 57600}, []float64{383, 57601, -1}},
		{"swings[0].clips[0].focal_rel_sd", func(l *Lesson, v float64) { clip(l).FocalRelSD = v }, []float64{0, 0.0001, 1}, []float64{0.00009, 1.01}},
		{"swings[0].clips[0].golfer_at[0]", func(l *Lesson, v float64) { clip(l).GolferAt.X = v }, []float64{-480, 2400}, []float64{-481, 2401, nan}},
		{"swings[0].clips[0].golfer_at[1]", func(l *Lesson, v float64) { clip(l).GolferAt.Y = v }, []float64{-270, 1350}, []float64{-271, 1351}},
		{"swings[0].clips[0].ground_lines[0].length_m", func(l *Lesson, v float64) { line(l).LengthM = v }, []float64{0, 0.05, 100}, []float64{0.049, 101, nan}},
		{"swings[0].clips[0].ground_lines[0].sd_px", func(l *Lesson, v float64) { line(l).SDPx = v }, []float64{0, 0.01, 1000}, []float64{0.009, 1001}},
		{"swings[0].clips[0].ground_lines[0].ends[1][0]", func(l *Lesson, v float64) { line(l).Ends[1].X = v }, []float64{-480, 2400}, []float64{-481, 2401}},
		{"swings[0].clips[0].ground_lines[0].ends", func(l *Lesson, v float64) { line(l).Ends[1] = geometry.ImagePt{X: v, Y: v} }, []float64{11}, []float64{10}},
		{"swings[0].positions[0].frames[0].index", func(l *Lesson, v float64) { frame(l).Index = int(v) }, []float64{0, 100_000_000}, []float64{-1, 100_000_001}},
		{"swings[0].positions[0].frames[0].pts", func(l *Lesson, v float64) { frame(l).PTS = int64(v) }, []float64{-maxInteger, maxInteger}, []float64{-2 * maxInteger, 2 * maxInteger}},
		{"swings[0].marks[0].sd_px", func(l *Lesson, v float64) { mark(l).SDPx = v }, []float64{0, 0.01, 1000}, []float64{0.009, 1001, nan}},
		{"swings[0].marks[0].shared_bias_px", func(l *Lesson, v float64) { mark(l).SDPx, mark(l).SharedBiasPx = 5, v }, []float64{0, 0.01, 5}, []float64{0.009, 5.01}},
		{"swings[0].marks[0].x", func(l *Lesson, v float64) { mark(l).At.X = v }, []float64{-1920, 3840}, []float64{-1921, 3841, nan}},
		{"swings[0].marks[0].y", func(l *Lesson, v float64) { mark(l).At.Y = v }, []float64{-1080, 2160}, []float64{-1081, 2161}},
		{"swings[0].marks[0].point", func(l *Lesson, v float64) { mark(l).Point = geometry.Point(v) }, []float64{0, float64(geometry.NumPoints - 1)}, []float64{float64(geometry.NumPoints)}},
		{"swings", func(l *Lesson, v float64) {
			l.Swings = many[Swing](l.Swings, v, func(s *Swing, i int) { *s = Swing{ID: fmt.Sprint(i)} })
		}, []float64{1000}, []float64{1001}},
		{"swings[0]", func(l *Lesson, v float64) {
			l.Swings[0].Clips = many(l.Swings[0].Clips, v, func(c *Clip, i int) { c.ID = fmt.Sprint("c", i) })
		}, []float64{1, 16}, []float64{17}},
		{"swings[0]", func(l *Lesson, v float64) {
			l.Swings[0].Positions = many(l.Swings[0].Positions, v, func(p *Position, i int) { p.Name = geometry.PositionName(fmt.Sprint(i)) })
		}, []float64{64}, []float64{65}},
		{"swings[0].clips[0].ground_lines", func(l *Lesson, v float64) {
			clip(l).GroundLines = many(clip(l).GroundLines, v, func(*GroundLine, int) {})
		}, []float64{32}, []float64{33}},
		{"notes", func(l *Lesson, v float64) { l.Notes = strings.Repeat("x", int(v)) }, []float64{20_000}, []float64{20_001}},
		{"question", func(l *Lesson, v float64) { l.Question = strings.Repeat("x", int(v)) }, []float64{20_000}, []float64{20_001}},
		{"title", func(l *Lesson, v float64) { l.Title = strings.Repeat("ø", int(v)) }, []float64{200}, []float64{201}},
		{"swings[0].clips[0].file", func(l *Lesson, v float64) { clip(l).File = strings.Repeat("x", int(v)) }, []float64{4096}, []float64{4097}},
	} {
		for _, v := range c.in {
			l := bounded()
			c.set(l, v)
			if c.at == "swings[0]" || c.at == "swings" {
				l.Swings[0].Marks = nil
			}
			err := l.Validate()
			if err != nil {
				assert.NotContains(t, err.Error(), c.at+":", "%v", v)
			}
		}
		for _, v := range c.over {
			l := bounded()
			c.set(l, v)
			err := l.Validate()
			if assert.Error(t, err, "%s of %v", c.at, v) {
				assert.Contains(t, err.Error(), c.at+":", "%v", v)
			}
		}
	}
}

// many are as many entries, each like the first but for what is changed of it.
func many[T any](list []T, n float64, change func(*T, int)) []T {
	out := make([]T, int(n))
	for i := range out {
		out[i] = list[0]
		change(&out[i], i)
	}
	return out
}

// TestWhyAFileCantBeWritten: the usual errors of write(2) and open(2) are put into words,
// and can still be told apart.
func TestWhyAFileCantBeWritten(t *testing.T) {
	for cause, says := range map[error]string{
		syscall.ENOSPC: "disk is full", syscall.EDQUOT: "share of the disk", syscall.EROFS: "read-only", syscall.EACCES: "may not write", syscall.EPERM: "may not write",
		syscall.ENOENT: "not there any more", syscall.ENOTDIR: "not there any more", syscall.EIO: "reports a fault",
	} {
		err := Explain(&fs.PathError{Op: "write", Path: "x", Err: cause})
		assert.ErrorContains(t, err, says)
		assert.ErrorIs(t, err, cause)
		assert.NotContains(t, err.Error(), "write x")
	}
	other := errors.New("something else")
	assert.Equal(t, other, Explain(other))
}

// TestTimesOfFrames: thirty frames at 30000/1001 a second last 1.001 s (SMPTE ST 12-1), told
// by their time base or by the rate they were filmed at; half a second in ticks of 2/90000.
func TestTimesOfFrames(t *testing.T) {
	for _, c := range []struct {
		clip  Clip
		frame FrameRef
		want  float64
	}{
		{Clip{TimeBase: [2]int64{1001, 30000}}, FrameRef{PTS: 30}, 1.001},
		{Clip{FilmedFPS: 30000.0 / 1001}, FrameRef{Index: 30}, 1.001},
		{Clip{TimeBase: [2]int64{1, 25}, FilmedFPS: 240}, FrameRef{Index: 240, PTS: 240}, 1},
		{Clip{TimeBase: [2]int64{2, 90000}}, FrameRef{PTS: 22500}, 0.5},
		{Clip{TimeBase: [2]int64{1, 90000}}, FrameRef{PTS: -900}, -0.01},
	} {
		assert.InDelta(t, c.want, c.clip.Seconds(c.frame), 1e-12)
	}
	assert.True(t, math.IsNaN((&Clip{}).Seconds(FrameRef{PTS: 30})))
	assert.True(t, math.IsNaN((&Clip{TimeBase: [2]int64{1, 25}}).Seconds(FrameRef{PTS: 30, PTSUnknown: true})))
}

// TestBoundsOfATarget: an end that is not told is none, whichever it is.
func TestBoundsOfATarget(t *testing.T) {
	low, high, inf := 40.0, 60.0, math.Inf(1)
	for _, c := range []struct {
		target *TargetReport
		want   geometry.Range
		text   string
	}{
		{nil, geometry.Range{Low: -inf, High: inf}, ""}, {&TargetReport{Low: &low, High: &high}, geometry.Range{Low: 40, High: 60}, "40 to 60"},
		{&TargetReport{High: &high}, geometry.Range{Low: -inf, High: 60}, "up to 60"}, {&TargetReport{Low: &low}, geometry.Range{Low: 40, High: inf}, "from 40"},
	} {
		assert.Equal(t, c.want, c.target.Bounds())
		assert.Equal(t, c.text, c.target.String())
	}
}

// TestReportOfOneMeasureIsMeasured: a single number is one.
func TestReportOfOneMeasureIsMeasured(t *testing.T) {
	assert.False(t, (&Report{Swings: []SwingReport{{}, {}}}).Measured())
	assert.True(t, (&Report{Swings: []SwingReport{{}, {Measures: make([]MeasureReport, 1)}}}).Measured())
}

// TestAnOpenGroupIsWhatUndoTakesBack: while a gesture goes on, Undo names it.
func TestAnOpenGroupIsWhatUndoTakesBack(t *testing.T) {
	e := NewEditor(bounded())
	e.Begin("Drag a mark")
	_, ok := e.CanUndo()
	assert.False(t, ok, "nothing was done in it")
	require.NoError(t, e.Apply(RemoveSwing{Swing: "s1"}))
	label, ok := e.CanUndo()
	assert.True(t, ok)
	assert.Equal(t, "Drag a mark", label)
	label, ok = e.Undo()
	assert.True(t, ok)
	assert.Equal(t, "Drag a mark", label)
	assert.Len(t, e.Lesson().Swings, 1)
}
