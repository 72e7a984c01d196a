package words

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"turngauge/geometry"
	"turngauge/geometry/motion"
)

func TestMissing(t *testing.T) {
	pelvis := geometry.DefinitionOf("pelvis turn").Needs[0]
	feet := geometry.DefinitionOf("lead foot flare").Needs[0]
	buckle := &geometry.Suggestion{Point: geometry.Buckle, MarkAt: geometry.Top, View: geometry.FaceOn,
		HalfWidthNow: 25.4, HalfWidthThen: 3.81, Measure: "sway", At: geometry.Top, Unit: geometry.Centimetres}
	open := geometry.Missing{Why: geometry.LeftOpen, HalfWidth: 25.4, Unit: geometry.Centimetres, Best: buckle}
	for _, c := range []struct {
		m              geometry.Missing
		metric, inches string
	}{
		{geometry.Missing{Why: geometry.NotMarked, Wanted: []geometry.Wanted{
			{Need: pelvis, Positions: []geometry.PositionName{geometry.Address, geometry.Top}}, {Need: feet, Positions: []geometry.PositionName{geometry.Address}}}},
			"mark both hips (the buckle and the tailbone sharpen it) at address and at the top; the lead heel and toe at address", ""},
		{geometry.Missing{Why: geometry.OneViewOnly, Wanted: []geometry.Wanted{{Need: feet, Positions: []geometry.PositionName{geometry.Address}, View: geometry.FaceOn}}},
			"one view alone does not give it: mark the lead heel and toe at address face-on", ""},
		{geometry.Missing{Why: geometry.NotDefined}, "the marked points lie so that it is not defined: check them", ""},
		{open, "these marks give it to ±25.4 cm only: mark the buckle at the top face-on: ±25.4 becomes ±3.8",
			"these marks give it to ±10.0 in only: mark the buckle at the top face-on: ±10.0 becomes ±1.5"},
		{geometry.Missing{Why: geometry.LeftOpen, HalfWidth: 25.4, Unit: geometry.Degrees}, "these marks give it to ±25.4° only", ""},
		{geometry.Missing{Why: geometry.Ambiguous, Best: buckle}, "from one view it could also be turned the other way: mark the buckle at the top face-on", ""},
		{geometry.Missing{Why: geometry.Ambiguous}, "from one view it could also be turned the other way: add the other view", ""},
		{geometry.Missing{Why: geometry.NoTempo}, "set address, top and impact in one clip, in order of time", ""},
		{geometry.Missing{Why: geometry.NoPosition, Position: geometry.Top}, "set the position top", ""},
		{geometry.Missing{Why: geometry.NoSuchMeasure}, "there is no such measure at this position", ""},
		{geometry.Missing{Why: geometry.BadInput, Fault: &geometry.InputFault{What: geometry.StatureOutOfRange, Value: 172}},
			"a stature of 172.00 m is out of range: enter it in metres", ""},
	} {
		if c.inches == "" {
			c.inches = c.metric
		}
		assert.Equal(t, c.metric, Missing(&c.m, false))
		assert.Equal(t, c.inches, Missing(&c.m, true))
	}
	assert.Equal(t, "these marks give it to ±25.4 deg only", MissingNamed(&geometry.Missing{Why: geometry.LeftOpen, HalfWidth: 25.4, Unit: geometry.Degrees}))
}

// TestEveryMistakeHasItsSentence: no two mistakes of a swing read the same.
func TestEveryMistakeHasItsSentence(t *testing.T) {
	seen := map[string]bool{}
	for _, what := range []geometry.MistakeKind{geometry.ViewsSwapped, geometry.OtherHand, geometry.ClipMirrored, geometry.OtherInstant,
		geometry.NotOneSwing, geometry.CameraOffLine, geometry.NoOneBody} {
		text := Missing(&geometry.Missing{Why: geometry.Mistaken, Mistake: &geometry.Mistake{What: what}}, false)
		assert.False(t, seen[text], text)
		seen[text] = true
	}
}

func TestMistake(t *testing.T) {
	sw := &geometry.Swing{
		Clips:     []geometry.Clip{{View: geometry.FaceOn}, {View: geometry.DownTheLine}},
		Positions: []geometry.Position{{Name: geometry.Address}, {Name: geometry.Top}},
	}
	for _, c := range []struct {
		m              geometry.Mistake
		is, ask, mends string
	}{
		{geometry.Mistake{What: geometry.ViewsSwapped, Clip: -1, Position: -1}, "the two views look swapped: the marks fit one golfer only with the views the other way round",
			"swap the views of the two clips", "Swap the views"},
		{geometry.Mistake{What: geometry.OtherHand, Clip: -1, Position: -1}, "the marks fit a left-handed golfer, but the student is set down as right-handed",
			"make the student left-handed, or, if a selfie camera filmed, say of each clip that it is mirrored", "Make the student left-handed"},
		{geometry.Mistake{What: geometry.ClipMirrored, Clip: 1, Position: -1}, "the down-the-line clip looks like a mirror image, as some selfie cameras film",
			"say of the down-the-line clip that it is mirrored", "It is mirrored"},
		{geometry.Mistake{What: geometry.OtherInstant, Clip: 0, Position: 1}, "at the top the face-on clip shows another instant than the other clip",
			"choose the frame of the top again in the face-on clip, or clear it there", "Go to the top"},
		{geometry.Mistake{What: geometry.NotOneSwing, Clip: -1, Position: -1, AgreePx: 9.4, MendedPx: 2.2},
			"the two clips do not show one swing: marks agree to 2 px in each clip by itself, to 9 px in both together",
			"choose two clips of the same swing, or make a swing of each clip", ""},
		{geometry.Mistake{What: geometry.CameraOffLine, Clip: 0, Position: -1}, "the camera of the face-on clip stood far off its line",
			"the numbers allow for it, and are less sure for it: film square to the target line next time", ""},
		{geometry.Mistake{What: geometry.NoOneBody, Clip: 1, Position: 0, AgreePx: 14.2}, "the marks do not fit one body: they agree to no better than 14 px, and least at address in the down-the-line clip",
			"look for swapped sides, for points on the wrong thing, and for a clip of another golfer", ""},
	} {
		assert.Equal(t, c.is, Mistake(sw, &c.m))
		assert.Equal(t, c.ask, MistakeAsk(sw, &c.m))
		assert.Equal(t, c.mends, Mending(sw, &c.m))
	}
	sw.Clips[1].Mirrored = true
	again := &geometry.Mistake{What: geometry.ClipMirrored, Clip: 1, Position: -1}
	assert.Equal(t, "the down-the-line clip is set down as a mirror image, and its marks fit only if it is none", Mistake(sw, again))
	assert.Equal(t, "say of the down-the-line clip that it is not mirrored", MistakeAsk(sw, again))
	assert.Equal(t, "It is not mirrored", Mending(sw, again))
	sw.Clips, sw.Golfer.Handed = sw.Clips[:1], geometry.LeftHanded
	alone := &geometry.Mistake{What: geometry.ViewsSwapped, Clip: -1, Position: -1}
	assert.Equal(t, "this clip looks filmed down-the-line, not face-on: the marks fit one golfer only so", Mistake(sw, alone))
	assert.Equal(t, "Make it down-the-line", Mending(sw, alone))
	assert.Equal(t, "Make the student right-handed", Mending(sw, &geometry.Mistake{What: geometry.OtherHand, Clip: -1, Position: -1}))
}

func TestAgreement(t *testing.T) {
	assert.Equal(t, "your marks agree to 1.9 px (1.3 to 2.8)", Agreement(1.91, 1.28, 2.84))
	assert.Equal(t, "your marks agree to 14 px (11 to 19)", Agreement(14.2, 10.9, 18.8))
	sw := &geometry.Swing{Positions: []geometry.Position{{Name: geometry.Address}, {Name: geometry.Impact}}}
	assert.Equal(t, "the hips at impact fit one body 2.4 times less well than the rest", Misfit(sw, &geometry.Misfit{Class: geometry.HipClass, Position: 1, Times: 2.44}))
	assert.Equal(t, "the head at address fits one body 3.0 times less well than the rest", Misfit(sw, &geometry.Misfit{Class: geometry.HeadClass, Times: 3}))
}

// TestEveryFaultHasItsSentence: no two faults of the input read the same.
func TestEveryFaultHasItsSentence(t *testing.T) {
	seen := map[string]bool{}
	for what := geometry.NotANumber; what <= geometry.MarkOutside; what++ {
		text := inputFault(&geometry.InputFault{What: what, Point: geometry.LeadKnee, Position: geometry.Top, View: geometry.FaceOn})
		assert.False(t, seen[text], text)
		seen[text] = true
	}
	assert.True(t, seen["the lead knee at the top is marked twice in the face-on clip: remove one"])
	assert.True(t, seen["the mark of the lead knee at the top in the face-on clip is not in the picture: place it again"])
}

func TestSuspect(t *testing.T) {
	sw := &geometry.Swing{
		Clips: []geometry.Clip{{View: geometry.FaceOn}}, Positions: []geometry.Position{{Name: geometry.Top}},
		Marks: []geometry.Mark{{Point: geometry.LeadKnee}, {Point: geometry.TrailKnee}},
	}
	assert.Equal(t, "the lead knee at the top in the face-on clip is 61 px from where the other marks put it", Suspect(sw, &geometry.Suspect{Other: -1, ResidualPx: 60.6}))
	assert.Equal(t, "the lead knee and the trail knee look swapped at the top in the face-on clip", Suspect(sw, &geometry.Suspect{Other: 1, Swapped: true}))
}

func TestAsk(t *testing.T) {
	s := &geometry.Suggestion{Point: geometry.LeadHip, MarkAt: geometry.Impact, View: geometry.DownTheLine, ByHand: true,
		HalfWidthNow: 5.684, HalfWidthThen: 3.8, Measure: "pelvis turn", At: geometry.Impact, Unit: geometry.Degrees}
	assert.Equal(t, "mark the lead hip at impact down-the-line by hand: ±5.7 becomes ±3.8", Advice(s, true))
	assert.Equal(t, "pelvis turn, impact, ± 5.7 becomes ± 3.8", Gain(s, false))
}

func TestTrouble(t *testing.T) {
	assert.Equal(t, "add a clip; set a key position", Trouble(&geometry.Insufficient{Missing: []geometry.Missing{
		{Why: geometry.BadInput, Fault: &geometry.InputFault{What: geometry.NoClips}}, {Why: geometry.BadInput, Fault: &geometry.InputFault{What: geometry.NoPositions}}}}))
	hips := []geometry.Point{geometry.LeadHip, geometry.TrailHip}
	shoulders := []geometry.Point{geometry.LeadShoulder, geometry.TrailShoulder}
	assert.Equal(t, "there are no curves: two clips of the swing are needed, one face-on and one down the line; set impact in both clips: it is what puts them on one clock; "+
		"set top in both clips; mark both hips at the top face-on; mark a shoulder at address down-the-line; "+
		"the marks at the key positions can't be measured yet: the fit did not settle; check the marks for swapped sides or the wrong view; "+
		"no point could be followed through the clips",
		Trouble(&motion.NoCurves{Lacks: []motion.Lack{{What: motion.NoSecondView}, {What: motion.NoImpact}, {What: motion.NoPosition, Position: geometry.Top},
			{What: motion.NoPoints, Points: hips, Position: geometry.Top, View: geometry.FaceOn},
			{What: motion.NoPoints, Points: shoulders, Any: true, Position: geometry.Address, View: geometry.DownTheLine},
			{What: motion.NoKeyFit, Err: geometry.ErrNotConverged}, {What: motion.NoTracks}}}))
	assert.Equal(t, "something else", Trouble(errors.New("something else")))
}

func TestReversalAndPeak(t *testing.T) {
	r := &motion.Reversal{Known: true, PelvisFirst: 0.995, Lead: 0.042, Low95: 0.011, High95: 0.073}
	assert.Empty(t, Seen(&motion.Seen{}), "nothing was looked at")
	assert.Equal(t, "Belt and trousers could be followed in 31 of 40 frames: the pelvis turn rests on them too.", Seen(&motion.Seen{Came: motion.ClothUsed, Frames: 40, Followed: 31}))
	assert.Contains(t, Seen(&motion.Seen{Came: motion.ClothOneView, Frames: 40, Followed: 3}), "too few of one view")
	assert.Contains(t, Seen(&motion.Seen{Came: motion.ClothDenied, Frames: 40, Followed: 39}), "as the marks deny")
	assert.Contains(t, Seen(&motion.Seen{Came: motion.ClothUnseen, Frames: 40, Followed: 2}), "plain, hidden or in the dark")
	assert.Contains(t, Seen(&motion.Seen{Came: motion.ClothLoose, Frames: 40, Followed: 30}), "as one piece")
	assert.Equal(t, "The pelvis turns round before the torso, by 42 ms (11 to 73), with a probability of over 99 %.", Reversal(r))
	r.PelvisFirst, r.Lead, r.Low95, r.High95 = 0.05, -0.042, -0.073, -0.011
	assert.Equal(t, "The torso turns round before the pelvis, by 42 ms (11 to 73), with a probability of 95 %.", Reversal(r))
	r.PelvisFirst, r.Low95, r.High95 = 0.7, -0.02, 0.05
	assert.Equal(t, "Can't tell whether pelvis or torso turns round first: the pelvis with a probability of 70 %, from 50 ms before the torso to 20 ms after it.", Reversal(r))
	assert.True(t, strings.HasSuffix(Reversal(&motion.Reversal{Why: motion.TooShort}), "top and impact are too close together."))
	p := &motion.Peak{Known: true, Value: 52.4, Low95: 48.1, High95: 56.8, Seconds: -0.204, SecondsLow95: -0.22, SecondsHigh95: -0.18}
	assert.Equal(t, "Peak separation 52° (48 to 57), 204 ms before impact (180 to 220).", Peak(p))
	assert.Contains(t, Peak(&motion.Peak{Why: motion.LostAtTop}), "mark them there")
}
