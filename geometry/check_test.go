package geometry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sound is a swing that can be fitted as far as [Swing.Check] can tell.
func sound() Swing {
	return Swing{
		Golfer: Golfer{StatureM: 1.7}, ClubLengthM: 0.95,
		Clips: []Clip{
			{View: FaceOn, Width: 1920, Height: 1080, FocalPx: 1500, GroundLines: []GroundLine{{LengthM: 1, Ends: [2]ImagePt{{X: 100, Y: 900}, {X: 500, Y: 900}}}}},
			{View: DownTheLine, Width: 1080, Height: 1920},
		},
		Positions: []Position{
			{Name: Address, FrameSeconds: []float64{0.01, 0.01}, OffSeconds: []float64{0, 0}},
			{Name: Top, FrameSeconds: []float64{0.01, 0.01}},
		},
		Marks: []Mark{{Point: LeadHip, At: ImagePt{X: 900, Y: 500}, SigmaPx: 5, SharedBiasPx: 3}, {Clip: 1, Position: 1, Point: Head, State: Hidden, At: ImagePt{X: math.NaN()}}},
	}
}

// TestCheckAtItsLimits brings each number of a swing to the last value that is taken and
// beyond it. The limits are those that the package states.
func TestCheckAtItsLimits(t *testing.T) {
	good := sound()
	require.Nil(t, good.Check())
	type change = func(*Swing, float64)
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name     string
		what     FaultKind
		set      change
		in, over []float64
	}{
		{"stature", StatureOutOfRange, func(s *Swing, v float64) { s.Golfer.StatureM = v }, []float64{0, 0.8, 2.6}, []float64{0.79, 2.61, 170}},
		{"stature", NotANumber, func(s *Swing, v float64) { s.Golfer.StatureM = v }, nil, []float64{nan}},
		{"its deviation", NotANumber, func(s *Swing, v float64) { s.Golfer.StatureSigmaM = v }, []float64{0.01}, []float64{nan, inf}},
		{"mass", NotANumber, func(s *Swing, v float64) { s.Golfer.MassKg = v }, []float64{70}, []float64{inf}},
		{"club", ClubOutOfRange, func(s *Swing, v float64) { s.ClubLengthM = v }, []float64{0, 0.3, 1.6}, []float64{0.29, 1.61, -1}},
		{"click", ClickOutOfRange, func(s *Swing, v float64) { s.ClickSigmaPx = v }, []float64{0, 200}, []float64{-0.1, 200.1}},
		{"width", NoPictureSize, func(s *Swing, v float64) { s.Clips[1].Width = int(v) }, []float64{16, 1 << 16}, []float64{15, 1<<16 + 1}},
		{"height", NoPictureSize, func(s *Swing, v float64) { s.Clips[1].Height = int(v) }, []float64{16, 1 << 16}, []float64{15, 1<<16 + 1}},
		{"focal length", FocalOutOfRange, func(s *Swing, v float64) { s.Clips[1].FocalPx = v }, []float64{0, 0.2 * 1920, 30 * 1920}, []float64{-1, 383, 57601, nan}},
		{"its deviation", FocalOutOfRange, func(s *Swing, v float64) { s.Clips[0].FocalRelSigma = v }, []float64{0, 2}, []float64{-0.01, 2.01, inf}},
		{"stick", StickOutOfRange, func(s *Swing, v float64) { s.Clips[0].GroundLines[0].LengthM = v }, []float64{0, 100}, []float64{-0.1, 100.1, nan}},
		{"its marks", StickOutOfRange, func(s *Swing, v float64) { s.Clips[0].GroundLines[0].SigmaPx = v }, []float64{0, 9}, []float64{-0.1, nan}},
		{"first end", StickOutOfRange, func(s *Swing, v float64) { s.Clips[0].GroundLines[0].Ends[0].X = v }, []float64{-3839, 5759}, []float64{-3840, 5760, nan}},
		{"second end", StickOutOfRange, func(s *Swing, v float64) { s.Clips[0].GroundLines[0].Ends[1].Y = v }, []float64{-2159, 3239}, []float64{-2160, 3240, inf}},
		{"between the ends", StickTooShort, func(s *Swing, v float64) { s.Clips[0].GroundLines[0].Ends[1].X = 100 + v }, []float64{2}, []float64{1.9, 0}},
		{"frame", FrameRateOutOfRange, func(s *Swing, v float64) { s.Positions[1].FrameSeconds[1] = v }, []float64{0, 10}, []float64{-0.01, 10.1, nan}},
		{"off", FrameRateOutOfRange, func(s *Swing, v float64) { s.Positions[0].OffSeconds[1] = v }, []float64{0, 10}, []float64{-0.01, 10.1, inf}},
		{"mark's x", MarkOutside, func(s *Swing, v float64) { s.Marks[0].At.X = v }, []float64{-3839, 5759}, []float64{-3840, 5760, nan}},
		{"mark's y", MarkOutside, func(s *Swing, v float64) { s.Marks[0].At.Y = v }, []float64{-2159, 3239}, []float64{-2160, 3240}},
		{"mark's deviation", MarkOutside, func(s *Swing, v float64) { s.Marks[0].SigmaPx = v }, []float64{3, 9}, []float64{2.9, -1, inf}},
		{"what it shares", MarkOutside, func(s *Swing, v float64) { s.Marks[0].SharedBiasPx = v }, []float64{0, 5}, []float64{-0.1, 5.1, nan}},
		{"mark's clip", StrayMark, func(s *Swing, v float64) { s.Marks[1].Clip = int(v) }, []float64{0, 1}, []float64{-1, 2}},
		{"mark's position", StrayMark, func(s *Swing, v float64) { s.Marks[1].Position = int(v) }, []float64{0, 1}, []float64{-1, 2}},
		{"mark's point", StrayMark, func(s *Swing, v float64) { s.Marks[1].Point = Point(v) }, []float64{0, float64(NumPoints - 1)}, []float64{float64(NumPoints)}},
	} {
		for _, v := range c.in {
			s := sound()
			c.set(&s, v)
			assert.Nil(t, s.Check(), "%s of %v", c.name, v)
		}
		for _, v := range c.over {
			s := sound()
			c.set(&s, v)
			bad := s.Check()
			if assert.NotNil(t, bad, "%s of %v", c.name, v) {
				require.NotNil(t, bad.Missing[0].Fault)
				assert.Equal(t, c.what, bad.Missing[0].Fault.What, "%s of %v", c.name, v)
			}
		}
	}
}

// TestCheckNamesWhatIsWrong: all faults are told, each with where it is.
func TestCheckNamesWhatIsWrong(t *testing.T) {
	faults := func(change func(*Swing)) (out []InputFault) {
		s := sound()
		change(&s)
		bad := s.Check()
		require.NotNil(t, bad)
		for _, m := range bad.Missing {
			require.Equal(t, BadInput, m.Why)
			out = append(out, *m.Fault)
		}
		return out
	}
	assert.Equal(t, []InputFault{{What: NoView, Clip: 1}}, faults(func(s *Swing) { s.Clips[1].View = ViewUnset }))
	assert.Equal(t, []InputFault{{What: NoPictureSize, Clip: 1, Width: 0, Height: 1920}}, faults(func(s *Swing) { s.Clips[1].Width = 0 }))
	assert.Equal(t, []InputFault{{What: PositionTwice, Position: Address}}, faults(func(s *Swing) { s.Positions[1].Name = Address }))
	assert.Equal(t, []InputFault{{What: StatureOutOfRange, Value: 17}, {What: ClubOutOfRange, Value: 9}}, faults(func(s *Swing) { s.Golfer.StatureM, s.ClubLengthM = 17, 9 }))
	twice := faults(func(s *Swing) { s.Marks = append(s.Marks, s.Marks[0]) })
	assert.Equal(t, []InputFault{{What: MarkTwice, Point: LeadHip, Position: Address, View: FaceOn}}, twice)
	assert.Equal(t, []InputFault{{What: NoClips}, {What: StrayMark, Mark: 0}, {What: StrayMark, Mark: 1}}, faults(func(s *Swing) { s.Clips = nil }))
	assert.Equal(t, NoPositions, faults(func(s *Swing) { s.Positions = nil })[0].What)

	// Nothing is wrong, only missing: the first point of the simplest measure.
	s := sound()
	s.Marks = s.Marks[1:]
	bad := s.Check()
	require.NotNil(t, bad)
	require.Len(t, bad.Missing, 1)
	assert.Equal(t, NotMarked, bad.Missing[0].Why)
	require.Len(t, bad.Missing[0].Wanted, 1)
	assert.Equal(t, []PositionName{Address}, bad.Missing[0].Wanted[0].Positions)
}

// TestSameButMarks changes each thing that decides a fit by itself, and each that does not.
func TestSameButMarks(t *testing.T) {
	whole := func() Swing {
		s := sound()
		s.Marking = UsualMarking()
		return s
	}
	a := whole()
	for name, change := range map[string]func(*Swing){
		"marks": func(s *Swing) { s.Marks = nil }, "their places": func(s *Swing) { s.Marks[0].At.X++ },
		"times": func(s *Swing) { s.Positions[0].Seconds = []float64{1, 2} }, "clock": func(s *Swing) { s.Clips[0].Clock = ClockOpen },
		"nothing": func(*Swing) {},
	} {
		b := whole()
		change(&b)
		assert.True(t, a.SameButMarks(&b), name)
		assert.True(t, b.SameButMarks(&a), name)
	}
	for name, change := range map[string]func(*Swing){
		"golfer": func(s *Swing) { s.Golfer.StatureM++ }, "hand": func(s *Swing) { s.Golfer.Handed = LeftHanded }, "club": func(s *Swing) { s.ClubLengthM++ },
		"click": func(s *Swing) { s.ClickSigmaPx++ }, "no marking": func(s *Swing) { s.Marking = nil }, "marking": func(s *Swing) { s.Marking.Mean[0]++ },
		"fewer clips": func(s *Swing) { s.Clips = s.Clips[:1] }, "fewer positions": func(s *Swing) { s.Positions = s.Positions[:1] },
		"view": func(s *Swing) { s.Clips[1].View = FaceOn }, "width": func(s *Swing) { s.Clips[1].Width++ }, "height": func(s *Swing) { s.Clips[1].Height++ },
		"focal": func(s *Swing) { s.Clips[1].FocalPx++ }, "its deviation": func(s *Swing) { s.Clips[1].FocalRelSigma++ },
		"off line": func(s *Swing) { s.Clips[1].OffLine = true }, "mirrored": func(s *Swing) { s.Clips[1].Mirrored = true },
		"no stick": func(s *Swing) { s.Clips[0].GroundLines = nil }, "stick": func(s *Swing) { s.Clips[0].GroundLines[0].LengthM++ },
		"position": func(s *Swing) { s.Positions[1].Name = Impact }, "frame": func(s *Swing) { s.Positions[1].FrameSeconds[1] *= 2 },
		"off": func(s *Swing) { s.Positions[0].OffSeconds[0] = 0.1 },
	} {
		b := whole()
		change(&b)
		assert.False(t, a.SameButMarks(&b), name)
		assert.False(t, b.SameButMarks(&a), name)
	}
}
